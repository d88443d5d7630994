"""Forms of upkeep: work that was done, a rule, a day until which it is put off."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from rich.text import Text
from textual.widgets import Static

from logbook.entryline.format import spell, total_words
from logbook.entryline.upkeep import upkeep_line
from logbook.errors import BadInput
from logbook.kit.parts.upkeep_cautions import upkeep_cautions
from logbook.records.check_upkeep import checked_rule
from logbook.records.entries import EntryRecord, UpkeepDone
from logbook.records.photo_path import photo_remark
from logbook.records.upkeep import Due, UpkeepRule
from logbook.records.upkeep_match import counts_for
from logbook.screen.dialogs.field import Field, any_text
from logbook.screen.dialogs.form import Form
from logbook.screen.dialogs.upkeep_fields import DONE_FIELDS
from logbook.screen.pages.upkeep import jobs as upkeep_jobs
from logbook.screen.pages.upkeep.typed import (
    read_amount,
    read_day_to_come,
    read_step_c,
    read_when,
    read_whole,
    read_yes,
)
from logbook.screen.services import jobs as night_flow
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.services.typed_values import meant
from logbook.screen.services.understand_line import read_line

if TYPE_CHECKING:
    from logbook.entryline.context import Understood

_NOTHING = UpkeepDone("")
_BY_DAY = "It goes into the night in progress if it was done in it, else by day into no night."


def part_names(desk: Desk) -> tuple[str, ...]:
    return tuple(each.part.name for each in desk.view.parts)


def caution_words(action: str, part_name: str | None) -> str:
    """What may hurt in this work, a line each; "" for most work."""
    return "\n".join(f"! {each}" for each in upkeep_cautions(action, part_name))


class DoneForm(Form[Job]):
    """What was done, when, how long it took and what it cost; it ends as an entry line.

    due -- the rule it is done for, which fills in part and action.
    record -- the entry to correct; without one a new entry is added, in the night in progress if it
        happened in it, else by day.
    """

    def __init__(
        self, desk: Desk, due: Due | None = None, record: EntryRecord | None = None
    ) -> None:
        self._desk, self._record = desk, record
        done = (record.content.upkeep if record else None) or _NOTHING
        if due is not None:
            done = replace(done, action=due.record.rule.action, part_name=due.record.rule.part_name)
        heading = (
            "Correct what was done; the old text is kept" if record else "Upkeep that was done"
        )
        about = f"entry {record.id}" if record else f"rule {due.record.id}" if due else ""
        fields = _done_fields(desk, done, due, _when_before(desk, record))
        super().__init__(heading, fields, _BY_DAY, about=about)

    def draw(self, values: dict[str, str]) -> None:
        """Work that can hurt is cautioned about as it is typed."""
        words = caution_words(values["action"], values["part"]) or _BY_DAY
        intro = Text(words, style="" if words == _BY_DAY else "bold")
        self.query_one(".form-intro", Static).update(intro)

    def answer(self, values: dict[str, str]) -> Job:
        action = f"{values['action']}; {values['remark']}" if values["remark"] else values["action"]
        part = _part_meant(self._desk, values["part"])
        understood = _understood(self._desk, {**values, "action": action, "part": part})
        assert understood.entry is not None
        entry, said = understood.entry, understood.said
        if values["when"]:
            entry = replace(entry, happened_utc=self._happened(values["when"]))
            said = f"{spell(entry)} · {values['when']}"
        if self._record is not None:
            return night_flow.correct_entry(self._record.id, entry, said)
        return night_flow.keep_understood(replace(understood, entry=entry, said=said), None)

    def _happened(self, typed: str) -> datetime:
        if self._record is not None and typed == _when_before(self._desk, self._record):
            return self._record.content.happened_utc  # to the second
        return read_when(self._desk, typed)


def _when_before(desk: Desk, record: EntryRecord | None) -> str:
    """When the entry to correct happened, as it might be typed."""
    return f"{desk.local(record.content.happened_utc):%Y-%m-%d %H:%M}" if record else ""


def _done_fields(desk: Desk, done: UpkeepDone, due: Due | None, when: str) -> list[Field]:
    action, _, remark = done.action.partition("; ")
    values = {
        "part": done.part_name,
        "action": action,
        "minutes": None if done.minutes is None else total_words(60.0 * done.minutes),
        "cost": None if done.cost is None else f"{done.cost:.2f}",
        "before": done.before,
        "after": done.after,
        "photo": done.photo_path,
    }
    checks: dict[str, Callable[[str], str]] = {
        "part": partial(_part_said, desk),
        "action": partial(_action_said, due),
        "minutes": partial(_time_said, desk),
        "cost": partial(_cost_said, desk),
        "photo": _photo_said,
    }
    part, work, *more = (
        replace(each, value=values[each.name] or "", check=checks.get(each.name, any_text))
        for each in DONE_FIELDS
    )
    at = Field(
        "when",
        "When",
        when,
        "now; or 15:30, a date",
        False,
        lambda typed: f"{read_when(desk, typed):%a %d %b %Y %H:%M}",
        help="When it was done. Empty: now. A day alone is its noon.",
        example="15:30, yesterday, 2026-03-14 15:30",
    )
    rest = Field(
        "remark",
        "Remark",
        remark,
        "may stay empty",
        False,
        help="Anything else; it is saved as typed and not read.",
        example="next time with distilled water only",
    )
    return [part, work, at, *more, rest]


def _part_said(desk: Desk, typed: str) -> str:
    try:
        return meant(typed, part_names(desk), "one of")
    except BadInput:
        return "none of your parts; saved by that name"


def _part_meant(desk: Desk, typed: str) -> str:
    try:
        return meant(typed, part_names(desk), "") if typed else ""
    except BadInput:
        return typed


def _action_said(due: Due | None, typed: str) -> str:
    if due is None:
        return ""
    action = due.record.rule.action
    if counts_for(action, typed):
        return "counts for the rule"
    return f"does not count for: {action}"


def _time_said(desk: Desk, typed: str) -> str:
    done = _done(desk, {"action": "work", "minutes": typed})
    if done.minutes is None:
        raise BadInput("25, 25 min, 1 h 20 min, 1.5 h")
    return total_words(60.0 * done.minutes)


def _cost_said(desk: Desk, typed: str) -> str:
    done = _done(desk, {"action": "work", "cost": typed})
    if done.cost is None:
        raise BadInput("a number: 4.50")
    return f"{done.cost:.2f}"


def _photo_said(typed: str) -> str:
    return photo_remark(typed) or "there; saved as text, never opened"


def _done(desk: Desk, values: dict[str, str]) -> UpkeepDone:
    entry = _understood(desk, values).entry
    return (entry.upkeep if entry else None) or _NOTHING


def _understood(desk: Desk, values: dict[str, str]) -> "Understood":
    """Raises BadInput with what is wrong."""
    understood = read_line(desk, upkeep_line(values))
    if understood.entry is None or understood.entry.upkeep is None:
        raise BadInput(understood.problem or "say what was done")
    return understood


class RuleForm(Form[Job]):
    """A rule: what, on which part, and when it falls due.

    due -- the rule to change; None for a new one. others -- the rules there are.
    """

    def __init__(self, desk: Desk, due: Due | None, others: Sequence[Due]) -> None:
        self._desk, self._due, self._others = desk, due, others
        rule = due.record.rule if due else UpkeepRule("")
        heading = f"Change the rule {due.name}" if due else "A rule for upkeep"
        intro = (
            "It falls due at the first of its limits; give one at least. It counts from the last "
            "time that work with these words was logged, else from today."
        )
        about = f"{due.record.id}" if due else ""
        super().__init__(heading, _rule_fields(desk, rule), intro, about=about)

    def answer(self, values: dict[str, str]) -> Job:
        rule = checked_rule(
            UpkeepRule(
                values["action"],
                _one_of_the_parts(self._desk, values["part"]) if values["part"] else None,
                read_whole(values["nights"], "nights"),
                read_whole(values["months"], "months"),
                read_amount(values["hours"], "hours"),
                read_step_c(values["step"]),
                read_yes(values["moved"]),
            )
        )
        if self._due is None:
            _refuse_twice(rule, self._others)
            return upkeep_jobs.add_rule(rule)
        if rule == self._due.record.rule:
            raise BadInput("nothing was changed; Escape leaves")
        return upkeep_jobs.change_rule(self._due, rule)


def _one_of_the_parts(desk: Desk, typed: str) -> str:
    return meant(typed, part_names(desk), "one of")


def _refuse_twice(rule: UpkeepRule, others: Sequence[Due]) -> None:
    same = (rule.action.casefold(), rule.part_name)
    there = ((each.record.rule.action.casefold(), each.record.rule.part_name) for each in others)
    if same in there:
        raise BadInput("there is a rule of these words on this part: e changes it")


def _rule_fields(desk: Desk, rule: UpkeepRule) -> list[Field]:
    return [
        Field(
            "action",
            "What to do",
            rule.action,
            "mirror rinse",
            True,
            help="The work; what you log later counts for the rule if its words begin so.",
            example="mirror rinse",
        ),
        Field(
            "part",
            "On which part",
            rule.part_name or "",
            "empty: none",
            False,
            partial(_one_of_the_parts, desk),
            help="The part it is done on: its name, or how the name begins.",
            example="long tube",
        ),
        *_limit_fields(rule),
        Field(
            "moved",
            "After transport",
            "yes" if rule.after_transport else "no",
            "yes or no",
            False,
            lambda typed: "yes" if read_yes(typed) else "no",
            help="Whether it falls due whenever the kit was carried or knocked.",
            example="yes",
        ),
    ]


def _limit_fields(rule: UpkeepRule) -> tuple[Field, ...]:
    none = "empty: not by this"
    return (
        Field(
            "nights",
            "Every … nights",
            _typed(rule.every_nights),
            none,
            False,
            _nights,
            help="Due after so many nights of observing.",
            example="20",
        ),
        Field(
            "months",
            "Every … months",
            _typed(rule.every_months),
            none,
            False,
            _months,
            help="Due after so many months.",
            example="6",
        ),
        Field(
            "hours",
            "Every … hours",
            _typed(rule.every_hours_of_use),
            none,
            False,
            _hours,
            help="Due after so many hours of use.",
            example="50",
        ),
        Field(
            "step",
            "At a step in °C",
            _typed(rule.every_step_c),
            none,
            False,
            _step,
            help="Due when the nights have become so much warmer or colder.",
            example="10, or 18 F",
        ),
    )


def _typed(number: float | None) -> str:
    return "" if number is None else f"{number:g}"


def _nights(typed: str) -> str:
    return f"{read_whole(typed, 'nights')} nights"


def _months(typed: str) -> str:
    return f"{read_whole(typed, 'months')} months"


def _hours(typed: str) -> str:
    return f"{read_amount(typed, 'hours'):g} h of use"


def _step(typed: str) -> str:
    return f"{read_step_c(typed):g} °C warmer or colder"


class PutOffForm(Form[Job]):
    """The day until which a rule is put off."""

    def __init__(self, desk: Desk, due: Due) -> None:
        self._desk, self._due = desk, due
        hint = "2026-03-14, within the next 400 days"
        field = Field(
            "until",
            "Until",
            "",
            hint,
            check=self._said,
            help="The day from whose noon on it is due again.",
            example="2026-03-14",
        )
        intro = "It is quiet until noon of that day."
        super().__init__(f"Put off: {due.name}", [field], intro, about=f"{due.record.id}")

    def _said(self, typed: str) -> str:
        until = read_day_to_come(self._desk, typed)
        days = (until.date() - self._desk.local(self._desk.clock()).date()).days
        if not 0 < days <= 400:
            raise BadInput("a day to come, within the next 400 days")
        return f"{until:%A}, {days} days from now"

    def answer(self, values: dict[str, str]) -> Job:
        until = read_day_to_come(self._desk, values["until"])
        return upkeep_jobs.put_off(self._due, until, f"{until:%Y-%m-%d}")
