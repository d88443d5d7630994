"""Afterwards: checks that a round picture alone can't give, and adjustments other than screws."""

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import Static

from logbook.entryline.format import counted, spell
from logbook.screen.pages.screws.check_forms import InFocus, OtherAdjustment
from logbook.screen.pages.screws.compare import compared
from logbook.screen.pages.screws.field import FieldSheet
from logbook.screen.pages.screws.frames import About
from logbook.screen.pages.screws.picture import AskPath
from logbook.screen.services.failures import TellsFailures
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.widgets.modal import Modal
from logbook.screen.widgets.path_line import real_path

if TYPE_CHECKING:
    from logbook.records.entries import EntryRecord

_ORDER = (
    "A round picture shows no coma; it does not show that the axes coincide. So, in this order:",
    "1. i  in focus, high power: round and even, or flared to one side?",
    "2. r  a second star, elsewhere: the looks that follow are of it",
    "3. e w  tube east or west of the pier: the looks that follow",
    "4. c  the stars in the corners of a focused frame",
    "5. t  tilt plate, focuser or another adjustment was changed",
)


class AfterSheet(TellsFailures, Modal[About | Job | None]):
    """What to check, by one key each, and how the looks of this setting compare."""

    DEFAULT_CSS = """
    AfterSheet .sheet { width: 100%; height: 100%; }
    AfterSheet VerticalScroll { height: 1fr; }
    AfterSheet #after-order { height: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,o", "leave", "Leave", tooltip="Back to the page"),
        Binding("i", "in_focus", "In focus", tooltip="Keep the in-focus check"),
        Binding("r", "role", "Other star", tooltip="The looks that follow are of a second star"),
        Binding("e", "pier('east')", "East", tooltip="Telescope east of the pier"),
        Binding("w", "pier('west')", "West", tooltip="Telescope west of the pier"),
        Binding("c", "corners", "Corners", tooltip="The stars over a focused frame"),
        Binding("t", "adjust", "Adjustment", tooltip="Another adjustment was changed"),
    ]

    class LooksRead(Message):
        """The looks of this setting and the checks of tonight were read."""

        def __init__(self, looks: "list[EntryRecord]", others: "list[EntryRecord]") -> None:
            super().__init__()
            self.looks = looks
            self.others = others

    def __init__(self, desk: Desk, telescope_id: int, about: About) -> None:
        super().__init__()
        self._desk = desk
        self._telescope_id = telescope_id
        self._about = about

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text("Afterwards", style="bold"), markup=False)
            with VerticalScroll():
                yield Static(Text("\n".join(_ORDER)), id="after-order", markup=False)
                yield Static(Text("reading …"), id="after-words", markup=False)
            yield Static(Text(self._foot(), style="bold"), id="after-foot", markup=False)

    def _foot(self) -> str:
        pier = f", {self._about.pier} of the pier" if self._about.pier else ""
        return f"Looks now: {self._about.role} star{pier} · Escape leaves"

    def on_mount(self) -> None:
        self._read()
        self.query_one(VerticalScroll).focus()

    @work(thread=True, exclusive=True, exit_on_error=False, group="after")
    def _read(self) -> None:
        book = self._desk.book
        if book is not None:
            history = book.collimation.history(self._telescope_id)
            looks = looks_of_setting(history)
            others = [each for each in history if each.content.kind in ("check", "adjust")]
            self.post_message(self.LooksRead(looks, others))

    @on(LooksRead)
    def _looks_read(self, event: LooksRead) -> None:
        words = Text(f"\n{counted(len(event.looks), 'look')} since the last turn\n", style="bold")
        for line in compared(event.looks):
            words.append(f"  {line}\n", style="not bold")
        if event.others:
            words.append("\nChecks and adjustments, newest first\n", style="bold")
        for each in reversed(event.others[-20:]):
            when = f"{self._desk.local(each.content.happened_utc):%d %b %Y %H:%M}"
            words.append(f"  {when} {spell(each.content)}\n", style="not bold")
        self.query_one("#after-words", Static).update(words)

    # --- what each key does ---

    def action_leave(self) -> None:
        self.dismiss(None)

    def action_role(self) -> None:
        role = "second" if self._about.role == "first" else "first"
        self.dismiss(About("", self._about.side, role, self._about.pier))

    def action_pier(self, side: str) -> None:
        self.dismiss(About(self._about.star, self._about.side, self._about.role, side))

    def action_in_focus(self) -> None:
        self.app.push_screen(InFocus(self._desk, self._about), self._formed)

    def action_adjust(self) -> None:
        self.app.push_screen(OtherAdjustment(self._desk), self._formed)

    def _formed(self, job: Job | None) -> None:
        if job is not None:
            self.dismiss(job)

    def action_corners(self) -> None:
        words = "A focused frame with many stars: a FITS file, or the newest picture of a folder."
        self.app.push_screen(AskPath("The stars over which frame?", "", words), self._frame_named)

    def _frame_named(self, typed: str | None) -> None:
        if typed is not None:
            self.app.push_screen(FieldSheet(self._desk, Path(real_path(typed))))


def looks_of_setting(history: "tuple[EntryRecord, ...]") -> "list[EntryRecord]":
    """The looks since the last turn, of the way (eye or picture) of the last one."""
    looks: list[EntryRecord] = []
    for record in history:
        if record.content.turn is not None or record.content.kind == "adjust":
            looks = []
        elif record.content.look is not None:
            looks.append(record)
    last = looks[-1].content.look if looks else None
    if last is None:
        return []
    return [each for each in looks if each.content.look and each.content.look.way == last.way]
