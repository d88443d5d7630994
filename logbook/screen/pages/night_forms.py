"""Forms of the Night page: moving an entry, and how to be reminded."""

from dataclasses import replace
from datetime import datetime

from logbook.errors import BadInput
from logbook.screen import night_flow
from logbook.screen.desk import Desk
from logbook.screen.form import Field, Form
from logbook.screen.reading import surroundings
from logbook.screen.reminding import Wishes, read_wishes, step_of
from logbook.screen.view import REMINDERS
from logbook.store.line import timed_again
from logbook.store.line_around import Unclear
from logbook.store.line_names import moving_target
from logbook.store.line_signs import plain
from logbook.store.line_times import moment_of, time_words
from logbook.store.records import EntryRecord, NewEntry, TargetCopy
from logbook.store.words import spell


class MoveForm(Form[night_flow.Job]):
    """Another time or another object for an entry; its words stay, and so does the old entry."""

    def __init__(self, desk: Desk, record: EntryRecord) -> None:
        self._desk, self._record = desk, record
        entry = record.content
        fields = [
            Field(
                "at",
                "It happened at",
                desk.clock_words(entry.happened_utc),
                check=lambda typed: time_words(self._instant(typed), str(desk.zone)),
            )
        ]
        if entry.kind in ("object", "frames", "meridian"):
            fields.append(
                Field(
                    "object",
                    "Of which object",
                    entry.target.name if entry.target else "",
                    hint="m31, veil, moon",
                    required=entry.kind == "object" and entry.action == "start",
                    check=lambda typed: self._target(typed).name,
                )
            )
        intro = f"{spell(entry)}. The old time and object stay in its history."
        super().__init__("Move an entry", fields, intro)

    def answer(self, values: dict[str, str]) -> night_flow.Job:
        entry = self._record.content
        moved = replace(entry, happened_utc=self._instant(values["at"]))
        if "object" in values:
            typed = values["object"]
            moved = replace(moved, target=self._target(typed) if typed else None)
        if moved == entry:
            raise BadInput("nothing is different: another time or object, or Escape")
        moved = self._retyped(moved)
        said = f"{spell(moved)} · {time_words(moved.happened_utc, str(self._desk.zone))}"
        return night_flow.correct_entry(self._record.id, moved, said)

    def _retyped(self, moved: NewEntry) -> NewEntry:
        """Its words with the new time before them; an object's line names the new object."""
        text, zone = moved.text, str(self._desk.zone)
        if moved.kind == "object" and moved.target != self._record.content.target:
            text = f"{moved.action} {moved.target.name if moved.target else ''}".strip()
        if moved.happened_utc != self._record.content.happened_utc:
            text = timed_again(text, moved.happened_utc, zone)
        return replace(moved, text=text)

    def _instant(self, typed: str) -> datetime:
        """Raises BadInput."""
        if typed == self._desk.clock_words(self._record.content.happened_utc):
            return self._record.content.happened_utc  # to the second
        try:
            moment = moment_of(plain(f"{typed} note"), surroundings(self._desk))
        except Unclear as problem:
            raise BadInput(str(problem)) from problem
        if not moment.said:
            raise BadInput("a time of this night: 22:15, or 10 min ago")
        return moment.happened_utc

    def _target(self, typed: str) -> TargetCopy:
        """Raises BadInput."""
        now = self._record.content.target
        if now is not None and typed == now.name:
            return now
        found = moving_target(typed) or self._desk.sky.find(typed)
        if found is None:
            raise BadInput(f"there is no object {typed[:40]}")
        return found


class RemindersForm(Form[night_flow.Job]):
    """The bell, and what a reminder waits for."""

    def __init__(self, desk: Desk) -> None:
        wishes = read_wishes(desk.view.reminders_line)
        fields = [
            Field("bell", "Bell", "on" if wishes.bell else "off", "on or off", check=_on_or_off),
            Field("focus", "Focus again after", f"{wishes.focus_step_c:g}", check=_degrees),
            Field("dew", "Dew margin under", f"{wishes.dew_margin_c:g}", check=_degrees),
        ]
        intro = "Reminders take no key and stop nothing; the bell is the terminal's own."
        super().__init__("How to be reminded", fields, intro)

    def answer(self, values: dict[str, str]) -> night_flow.Job:
        bell = _on_or_off(values["bell"]) == "on"
        wishes = Wishes(bell, step_of(values["focus"]), step_of(values["dew"]))
        return night_flow.choose(REMINDERS, wishes.line())


def _on_or_off(typed: str) -> str:
    said = {"on": "on", "yes": "on", "off": "off", "no": "off"}.get(typed.casefold(), "")
    if not said:
        raise BadInput("on or off")
    return said


def _degrees(typed: str) -> str:
    return f"{step_of(typed):g} °C"
