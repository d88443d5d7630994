"""Forms of the Night page: moving an entry, and how to be reminded."""

from dataclasses import replace
from datetime import datetime

from logbook.dates import read_date
from logbook.entryline.context import Unclear
from logbook.entryline.format import spell
from logbook.entryline.named import moving_target
from logbook.entryline.times import moment_of, time_words
from logbook.entryline.tokens import plain
from logbook.entryline.understand import timed_again
from logbook.errors import BadInput, NotFound
from logbook.records.entries import EntryRecord, NewEntry, NightRecord, TargetCopy
from logbook.screen.dialogs.confirm_time import Doubting
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.pages.night.reminding import Wishes, read_wishes, step_of
from logbook.screen.services import jobs
from logbook.screen.services.book_snapshot import REMINDERS
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.services.understand_line import surroundings
from logbook.sky.night.clock import local_hhmm, night_date, zone_of


class MoveForm(Doubting):
    """Another time, object or night for an entry; its words stay, and so does the old entry.

    night -- the one that the entry is in, where that is not the one in progress.
    """

    def __init__(self, desk: Desk, record: EntryRecord, night: NightRecord | None = None) -> None:
        self._desk, self._record = desk, record
        self._night_now = night or desk.view.night
        entry = record.content
        zone = zone_of(night.site.time_zone) if night else desk.zone
        self._at = local_hhmm(entry.happened_utc, zone)
        fields = [
            Field(
                "at",
                "Happened at",
                self._at,
                check=self._time_words,
                help="The time it happened, by the clock of that night's site.",
                example="22:15, or 10 min ago",
            )
        ]
        if entry.kind in ("object", "frames", "meridian"):
            fields.append(
                Field(
                    "object",
                    "Object",
                    entry.target.name if entry.target else "",
                    hint="m31, veil, moon",
                    required=entry.kind == "object" and entry.action == "start",
                    check=lambda typed: self._target(typed).name,
                    help="What was observed: a name or a number of the catalogue.",
                    example="m31, veil, moon",
                )
            )
        fields.append(
            Field(
                "night",
                "Night of",
                str(night.local_date if night else desk.night_date),
                hint="2026-03-14, yesterday",
                check=lambda typed: _night_words(self._night(typed)),
                help="The night it belongs to, by the date of its evening.",
                example="2026-03-14",
            )
        )
        intro = f"{spell(entry)}. The old stays in its history."
        super().__init__("Move an entry", fields, intro, about=f"{record.id}")

    def answer(self, values: dict[str, str]) -> Job:
        entry, night = self._record.content, self._night(values["night"])
        moved = replace(entry, happened_utc=self._instant(values["at"], night))
        if "object" in values:
            typed = values["object"]
            moved = replace(moved, target=self._target(typed) if typed else None)
        if moved == entry:
            raise BadInput("nothing is different: another time, night or object, or Escape")
        moved = self._retyped(moved, night)
        said = f"{spell(moved)} · {time_words(moved.happened_utc, night.site.time_zone)}"
        stays = night.id == self._record.night_id
        if not stays or moved.happened_utc != entry.happened_utc:
            self.doubt_time(night, moved.happened_utc)
        if not stays:
            return jobs.move_entry(self._record.id, moved, said, night)
        return jobs.correct_entry(self._record.id, moved, said)

    def _retyped(self, moved: NewEntry, night: NightRecord) -> NewEntry:
        """Its words with the new time before them; an object's line names the new object."""
        text, zone = moved.text, night.site.time_zone
        if moved.kind == "object" and moved.target != self._record.content.target:
            text = f"{moved.action} {moved.target.name if moved.target else ''}".strip()
        if moved.happened_utc != self._record.content.happened_utc:
            text = timed_again(text, moved.happened_utc, zone)
        return replace(moved, text=text)

    def _time_words(self, typed: str) -> str:
        """Of a night that cannot be read, nothing: that stands beside the night."""
        try:
            night = self._night(self.values()["night"])
        except BadInput:
            return ""
        return time_words(self._instant(typed, night), night.site.time_zone)

    def _night(self, typed: str) -> NightRecord:
        """The night that is shown, or another one of that date. Raises BadInput."""
        shown = self._night_now
        if shown is not None and typed == str(shown.local_date):
            return shown
        local_date = read_date(typed, self._desk.night_date)
        book = self._desk.book
        if book is None:
            raise BadInput("the book is not open yet")
        try:
            return book.nights.on(local_date)
        except NotFound as error:
            raise BadInput(str(error)) from error

    def _instant(self, typed: str, night: NightRecord) -> datetime:
        """Raises BadInput."""
        entry = self._record.content
        same = night.id == self._record.night_id
        if same and typed == self._at:
            return entry.happened_utc  # to the second
        around = replace(
            surroundings(self._desk), night_date=night.local_date, time_zone=night.site.time_zone
        )
        try:
            moment = moment_of(plain(f"{typed} note"), around)
        except Unclear as problem:
            raise BadInput(str(problem)) from problem
        if not moment.said:
            raise BadInput("a time of that night: 22:15, or 10 min ago")
        if night_date(moment.happened_utc, zone_of(night.site.time_zone)) != night.local_date:
            raise BadInput(f"that is not in the night of {night.local_date}")
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


def _night_words(night: NightRecord) -> str:
    return f"{night.local_date:%A}, {night.site.name}"


class RemindersForm(Form[Job]):
    """The bell, and what a reminder waits for."""

    def __init__(self, desk: Desk) -> None:
        wishes = read_wishes(desk.view.reminders_line)
        fields = [
            Field(
                "bell",
                "Bell",
                "on" if wishes.bell else "off",
                "on or off",
                check=_on_or_off,
                help="Whether the terminal's bell rings once for each reminder.",
                example="off",
            ),
            Field(
                "focus",
                "Focus again after",
                f"{wishes.focus_step_c:g}",
                check=_degrees,
                help="By how many degrees the air may change before you are reminded to refocus.",
                example="2",
            ),
            Field(
                "dew",
                "Dew margin under",
                f"{wishes.dew_margin_c:g}",
                check=_degrees,
                help="How near the air may come to its dew point before you are reminded.",
                example="2",
            ),
        ]
        intro = "Reminders take no key and stop nothing; the bell is the terminal's own."
        super().__init__("How to be reminded", fields, intro)

    def answer(self, values: dict[str, str]) -> Job:
        bell = _on_or_off(values["bell"]) == "on"
        wishes = Wishes(bell, step_of(values["focus"]), step_of(values["dew"]))
        return jobs.choose(REMINDERS, wishes.line())


def _on_or_off(typed: str) -> str:
    said = {"on": "on", "yes": "on", "off": "off", "no": "off"}.get(typed.casefold(), "")
    if not said:
        raise BadInput("on or off")
    return said


def _degrees(typed: str) -> str:
    return f"{step_of(typed):g} °C"
