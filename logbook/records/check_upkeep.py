"""What a rule for upkeep must be before it is saved."""

from logbook.errors import BadInput
from logbook.records import checks
from logbook.records.upkeep import UpkeepRule


def checked_rule(rule: UpkeepRule) -> UpkeepRule:
    """`rule` as it will be saved. Raises BadInput saying what cannot be, or what is missing."""
    checked = UpkeepRule(
        checks.line(rule.action, "what is to be done", 200, wanted=True),
        checks.maybe_line(rule.part_name, "the part's name", 120),
        checks.maybe_whole(rule.every_nights, "every so many nights", 1, 1000),
        checks.maybe_whole(rule.every_months, "every so many months", 1, 240),
        checks.maybe_number(rule.every_hours_of_use, "every so many hours", 0.5, 1e5, "h"),
        checks.maybe_number(rule.every_step_c, "a step in temperature", 0.5, 60, "°C"),
        rule.after_transport,
    )
    limits = (
        checked.every_nights,
        checked.every_months,
        checked.every_hours_of_use,
        checked.every_step_c,
    )
    if not checked.after_transport and all(limit is None for limit in limits):
        raise BadInput("Say when it falls due: nights, months, hours, a step in °C, or transport.")
    return checked
