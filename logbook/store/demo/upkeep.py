"""The demo season's rules for upkeep, and what was put off."""

from datetime import UTC, datetime
from typing import Any

from logbook.errors import BadInput
from logbook.records.upkeep import UpkeepRule
from logbook.store.book import Book
from logbook.store.demo.plans import Plan

_LIMITS = ("nights", "months", "hours_of_use", "step_c")


def read_upkeep(tables: dict[str, Any], where: str) -> tuple[Plan, ...]:
    """The rules and pauses of a season. Raises BadInput naming `where` for what is missing."""
    try:
        return (
            *(_rule(table) for table in tables.get("rule", ())),
            *(_pause(table) for table in tables.get("pause", ())),
        )
    except KeyError as error:
        raise BadInput(f"{where}: {error.args[0]} is missing") from error


def _rule(table: dict[str, Any]) -> Plan:
    limits = {f"every_{name}": table[name] for name in _LIMITS if name in table}
    moved = table.get("after_transport", False)
    rule = UpkeepRule(table["action"], table.get("part"), **limits, after_transport=moved)
    return Plan(_instant(table["at"]), lambda book: book.upkeep.add(rule))


def _pause(table: dict[str, Any]) -> Plan:
    action, until = table["action"], _instant(table["until"])

    def keep(book: Book) -> None:
        found = (each for each in book.upkeep.rules() if each.rule.action == action)
        record = next(found, None)
        if record is None:
            raise BadInput(f"there is no rule {action}")
        book.upkeep.snooze(record.id, until)

    return Plan(_instant(table["at"]), keep)


def _instant(at: datetime) -> datetime:
    return at.astimezone(UTC)
