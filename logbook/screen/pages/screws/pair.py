"""Two pictures of the star side by side, each with the circles found and its numbers."""

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Static

from logbook.entryline.format import spell_look
from logbook.screen.pages.screws.frames import Frame, measure_words
from logbook.screen.pages.screws.jobs import calculations
from logbook.screen.services.failures import TellsFailures
from logbook.screen.services.services import Desk
from logbook.screen.widgets.modal import Modal
from logbook.screen.widgets.picture_view import PictureView

if TYPE_CHECKING:
    from logbook.records.entries import EntryRecord

_PLACES = ("left", "right")


class PairSheet(TellsFailures, Modal[None]):
    """The last picture on the right, an earlier one on the left; arrows choose others."""

    DEFAULT_CSS = """
    PairSheet .sheet { width: 100%; height: 100%; }
    PairSheet .pair { height: 1fr; }
    PairSheet .half { width: 1fr; height: 1fr; padding: 0 1 0 0; }
    PairSheet PictureView { height: 1fr; }
    PairSheet .half Static { height: auto; max-height: 6; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,v,enter", "leave", "Leave", tooltip="Back to the page"),
        Binding("left", "step('left',-1)", "Left older", tooltip="Left: an earlier picture"),
        Binding("right", "step('left',1)", "Left newer", tooltip="Left: a later picture"),
        Binding("down", "step('right',-1)", "Right older", tooltip="Right: an earlier picture"),
        Binding("up", "step('right',1)", "Right newer", tooltip="Right: a later picture"),
    ]

    class LooksRead(Message):
        """The looks with a picture were read."""

        def __init__(self, looks: "list[EntryRecord]") -> None:
            super().__init__()
            self.looks = looks

    class FrameReady(Message):
        """A picture was measured anew for one side."""

        def __init__(self, place: str, frame: Frame) -> None:
            super().__init__()
            self.place = place
            self.frame = frame

    def __init__(self, desk: Desk, telescope_id: int) -> None:
        super().__init__()
        self._desk = desk
        self._telescope_id = telescope_id
        self._looks: list[EntryRecord] = []
        self._at = {"left": -1, "right": -1}

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text("Two pictures side by side", "bold"), id="pair-head", markup=False)
            with Horizontal(classes="pair"):
                for place in _PLACES:
                    with Vertical(classes="half"):
                        yield PictureView(id=f"pair-{place}")
                        yield Static(id=f"pair-{place}-words", markup=False)
            foot = "←→ the left picture · ↓↑ the right one · Escape leaves"
            yield Static(Text(foot, style="italic"), markup=False)

    def on_mount(self) -> None:
        self._read()

    @work(thread=True, exclusive=True, exit_on_error=False, group="pair looks")
    def _read(self) -> None:
        book = self._desk.book
        if book is None:
            return
        history = book.collimation.history(self._telescope_id)
        looks = [
            each
            for each in history
            if each.content.look is not None and each.content.look.picture_path
        ]
        self.post_message(self.LooksRead(looks))

    @on(LooksRead)
    def _looks_read(self, event: LooksRead) -> None:
        self._looks = event.looks
        last = len(event.looks) - 1
        self._at = {"left": max(0, last - 1), "right": last}
        if not event.looks:
            head = Text("No picture is logged for this telescope yet: m measures one.", "bold")
            self.query_one("#pair-head", Static).update(head)
            return
        for place in _PLACES if last else ("right",):
            self._draw(place)

    def action_step(self, place: str, step: int) -> None:
        at = self._at[place] + step
        if 0 <= at < len(self._looks):
            self._at[place] = at
            self._draw(place)

    def _draw(self, place: str) -> None:
        record = self._looks[self._at[place]]
        look = record.content.look
        assert look is not None
        words = Text(f"{self._desk.local(record.content.happened_utc):%d %b %Y %H:%M}\n", "bold")
        words.append(spell_look(look), style="not bold")
        self.query_one(f"#pair-{place}-words", Static).update(words)
        size = self.query_one(f"#pair-{place}", PictureView).size
        self._measure(place, Path(look.picture_path or ""), size.width or 36, size.height or 8)

    def _measure(self, place: str, path: Path, columns: int, rows: int) -> None:
        self.run_worker(
            lambda: self._measured_in_worker(place, path, columns, rows),
            thread=True,
            exclusive=True,
            exit_on_error=False,
            group=f"pair {place}",
        )

    def _measured_in_worker(self, place: str, path: Path, columns: int, rows: int) -> None:
        self.post_message(
            self.FrameReady(place, calculations().frame_of(path, max(8, columns), max(8, 2 * rows)))
        )

    @on(FrameReady)
    def _frame_ready(self, event: FrameReady) -> None:
        self.query_one(f"#pair-{event.place}", PictureView).show(event.frame.shown)
        if event.frame.measure.ok:
            return
        words = self.query_one(f"#pair-{event.place}-words", Static)
        words.update(Text(f"{event.frame.path.name}: {measure_words(event.frame.measure)}"))

    def action_leave(self) -> None:
        self.dismiss(None)
