"""Starting and ending a night: what was used last is proposed, Enter takes it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial

from rich.text import Text
from textual import on, work
from textual.message import Message
from textual.widgets import Static

from logbook.entryline.context import Understood
from logbook.entryline.format import spell_frames
from logbook.errors import BadInput, LogbookError
from logbook.records.entries import NewEntry, TargetCopy
from logbook.records.runs import running_object
from logbook.report.pages.night_short import sum_words
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.pages.night.now import order_left
from logbook.screen.services import jobs
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk, duration_words
from logbook.screen.services.typed_values import meant
from logbook.screen.services.understand_line import read_line
from logbook.store.history.tonight import FramesRun, frames_run, has_conditions

_CONDITIONS = ("conditions", "reading")
_EXAMPLE = "seeing 3/5 air 4.2 humidity 81"
_SKY_HELP = "Conditions and readings, as on the entry line; any of them, in any order."


@dataclass(frozen=True, slots=True)
class Open:
    """What a book still has open."""

    upkeep: tuple[str, ...] = ()
    projects: tuple[str, ...] = ()


def read_open(desk: Desk) -> Open:
    """Upkeep that is due and projects that want more hours; for worker threads."""
    if desk.book is None:
        return Open()
    due = [each for each in desk.book.upkeep.due() if each.is_due]
    owed = [each for each in desk.book.projects.all() if each.owed_hours > 0]
    return Open(
        tuple(f"{each.line.removeprefix('upkeep ')} ({each.reasons[0]})" for each in due),
        tuple(f"{each.target.name} {each.owed_hours:.1f} h" for each in owed),
    )


def _listed(what: str, things: Sequence[str], most: int = 3) -> str:
    more = f" and {len(things) - most} more" if len(things) > most else ""
    return f"{what}: {', '.join(things[:most])}{more}." if things else ""


class NightForm(Form[Job]):
    """A form whose first words are completed once the book was read for them."""

    def __init__(
        self,
        desk: Desk,
        heading: str,
        fields: Sequence[Field],
        intro: str,
        *,
        about: str,
        begin_in: str = "",
    ) -> None:
        super().__init__(heading, fields, intro, about=about, begin_in=begin_in)
        self.desk, self._said_first = desk, intro

    class Opened(Message):
        def __init__(self, found: Open) -> None:
            super().__init__()
            self.found = found

    def on_mount(self) -> None:
        super().on_mount()
        self._read()

    @work(thread=True, exclusive=True, exit_on_error=False)
    def _read(self) -> None:
        try:
            self.post_message(self.Opened(read_open(self.desk)))
        except LogbookError:  # the form works without
            return

    @on(Opened)
    def _opened(self, event: Opened) -> None:
        words = " ".join(each for each in (self._said_first, *self.also(event.found)) if each)
        self.query_one(".form-intro", Static).update(Text(words))

    def also(self, found: Open) -> tuple[str, ...]:
        """What is to be shown of it."""
        raise LogbookError("this form says nothing")


def _understood(desk: Desk, typed: str, kinds: tuple[str, ...], example: str) -> Understood:
    """A line typed into a field. Raises BadInput unless it is of one of these kinds."""
    understood = read_line(desk, typed)
    if understood.entry is None:
        raise BadInput(understood.problem or example)
    if understood.entry.kind not in kinds:
        raise BadInput(example)
    return understood


def _said_conditions(desk: Desk, typed: str) -> str:
    return _understood(desk, typed, _CONDITIONS, _EXAMPLE).said


class StartNight(NightForm):
    """F10, Enter: the night begins with last time's site, train and observer."""

    KEEP_WORDS = "Enter or ctrl+o: start the night   ↑ ↓: fields   Escape: leave"

    def __init__(self, desk: Desk) -> None:
        view = desk.view
        self._sites = {each.site.name: each.id for each in view.sites}
        self._trains = {each.train.name: each.id for each in view.trains}
        fields = [
            Field(
                "site",
                "Site",
                view.site.site.name if view.site else "",
                check=lambda typed: meant(typed, tuple(self._sites), "site, one of"),
                help="The place you observe from tonight: its name, or how the name begins.",
                example=next(iter(self._sites), "Hollow Edge"),
            ),
            Field(
                "train",
                "Train",
                view.train.train.name if view.train else "",
                hint="may stay empty",
                required=False,
                check=lambda typed: meant(typed, tuple(self._trains), "train, one of"),
                help="The train in use first: its name, or how the name begins.",
                example=next(iter(self._trains), "First train"),
            ),
            Field(
                "observer",
                "Observer",
                view.observer,
                hint="may stay empty",
                required=False,
                help="Who observes, as it is to stand in the night's record.",
                example="R. Quill",
            ),
            Field(
                "conditions",
                "Sky and air",
                hint=_EXAMPLE,
                required=False,
                check=partial(_said_conditions, desk),
                help=_SKY_HELP,
                example=_EXAMPLE,
            ),
        ]
        intro = f"It begins now, {desk.clock_words(desk.clock())}.{_order_words(desk)}"
        super().__init__(
            desk,
            "Start the night",
            fields,
            intro,
            about=str(desk.night_date),
            begin_in=fields[-1].name,  # all is proposed, so one Enter starts
        )

    def also(self, found: Open) -> tuple[str, ...]:
        return (_listed("Upkeep due", found.upkeep),)

    def answer(self, values: dict[str, str]) -> Job:
        site = meant(values["site"], tuple(self._sites), "site, one of")
        train_id = None
        if values["train"]:
            train_id = self._trains[meant(values["train"], tuple(self._trains), "train, one of")]
        typed, at = values["conditions"], self.desk.clock()
        sky = _understood(self.desk, typed, _CONDITIONS, _EXAMPLE).entry if typed else None
        return jobs.start_night(self._sites[site], train_id, values["observer"], at, sky)


def _order_words(desk: Desk) -> str:
    """What Choose has planned for this night."""
    order = desk.view.running_order(desk.night_date)
    if order is None or not order.items:
        return ""
    names = [each.target.name for each in order.items]
    return " " + _listed("The running order of Choose", names) + " g on the page starts the first."


class EndNight(NightForm):
    """Shows the night's sums and what is still open, asks only what is missing, ends it."""

    KEEP_WORDS = "ctrl+o: end the night   Enter: next, ends at the last   Escape: go on"

    def __init__(self, desk: Desk) -> None:
        night = desk.view.night
        assert night is not None
        self._night_id = night.id
        timeline = desk.view.timeline
        self._runs_on = running_object(timeline)
        self._going = frames_run(timeline)
        lasted = duration_words(ends_at(desk) - night.started_utc)
        intro = f"{lasted}: {sum_words(timeline) if timeline else 'no entries yet'}."
        if self._runs_on is not None:
            intro += f" {self._runs_on.name} still runs."
        fields = _missing(desk, self._runs_on, self._going)
        super().__init__(desk, "End the night", fields, intro, about=str(night.id))

    def also(self, found: Open) -> tuple[str, ...]:
        left = [each.target.name for each in order_left(self.desk)]
        return (
            _listed("Left of the running order", left),
            _listed("Projects", found.projects),
            _listed("Upkeep due", found.upkeep),
        )

    def answer(self, values: dict[str, str]) -> Job:
        at = ends_at(self.desk)
        entries = []
        if values.get("conditions"):
            sky = _understood(self.desk, values["conditions"], _CONDITIONS, _EXAMPLE).entry
            assert sky is not None
            entries.append(replace(sky, happened_utc=min(sky.happened_utc, at)))
        if self._runs_on is not None:
            entries.append(_stop(self.desk, self._runs_on, values["stopped"], at))
        if values["word"]:
            entries.append(NewEntry("note", at, values["word"]))
        return jobs.end_night(self._night_id, at, entries, _counted(self.desk, self._going, values))


def _missing(desk: Desk, runs_on: TargetCopy | None, going: FramesRun | None) -> list[Field]:
    """A field for what was not logged yet, and one for a last word."""
    fields = []
    if runs_on is not None:
        hint = "empty: with the night; or 02:40"
        fields.append(
            Field(
                "stopped",
                "It stopped at",
                "",
                hint,
                False,
                lambda typed: _understood_stop(desk, typed).said,
                help=f"When {runs_on.name} was ended. Empty: when the night ends.",
                example="02:40",
            )
        )
    if going is not None:
        done = str(going.done_by(ends_at(desk)))
        hint = f"of {going.wanted} wanted"
        fields.append(
            Field(
                "frames",
                "Frames taken",
                done,
                hint,
                True,
                _whole_words,
                help="How many of the frames under way were taken.",
                example="24",
            )
        )
    if not has_conditions(desk.view.timeline):
        fields.append(
            Field(
                "conditions",
                "Sky and air",
                "",
                _EXAMPLE,
                False,
                partial(_said_conditions, desk),
                help=_SKY_HELP,
                example=_EXAMPLE,
            )
        )
    word = Field(
        "word",
        "A last word",
        hint="may stay empty",
        required=False,
        help="A note to end the night with.",
        example="dew from two on; the second half is better",
    )
    return [*fields, word]


def _counted(
    desk: Desk, going: FramesRun | None, values: dict[str, str]
) -> tuple[int, NewEntry] | None:
    """The frames that were under way, with the count that was reached."""
    if going is None:
        return None
    count = _whole(values["frames"])
    if count == going.frames.count:
        return None
    records = desk.view.timeline
    old = next(each.content for each in records if each.id == going.entry_id)
    frames = replace(going.frames, count=count)
    text = spell_frames(frames).split(" (")[0]
    return going.entry_id, replace(old, frames=frames, text=text)


def _stop(desk: Desk, runs_on: TargetCopy | None, typed: str, at: datetime) -> NewEntry:
    if not typed:
        return NewEntry("object", at, "stop", action="stop", target=runs_on)
    entry = _understood_stop(desk, typed).entry
    assert entry is not None
    return entry


def _understood_stop(desk: Desk, typed: str) -> Understood:
    return _understood(desk, f"at {typed} stop", ("object",), "a time: 02:40")


def ends_at(desk: Desk) -> datetime:
    """Now; a night that was left open ended with its last entry."""
    night, timeline = desk.view.night, desk.view.timeline
    assert night is not None
    if not desk.night_is_past:
        return desk.clock()
    return timeline[-1].content.happened_utc if timeline else night.started_utc


def _whole(typed: str) -> int:
    if not typed.isascii() or not typed.isdigit() or len(typed) > 6:
        raise BadInput("a whole number of frames")
    return int(typed)


def _whole_words(typed: str) -> str:
    return f"{_whole(typed)} frames"
