"""A picture of the defocused star: its path typed; measured, drawn with its circles, saved."""

from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Input, Static
from textual.worker import Worker

from logbook.errors import LogbookError
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.sheet_draft import DraftedSheet
from logbook.screen.pages.screws.frames import (
    About,
    Frame,
    average_words,
    defocus_words,
    good_of,
    measure_words,
    of_this_night,
)
from logbook.screen.pages.screws.jobs import calculations
from logbook.screen.pages.screws.words import NO_NIGHT
from logbook.screen.services.failures import TellsFailures
from logbook.screen.services.services import Desk
from logbook.screen.widgets.line_input import LineInput
from logbook.screen.widgets.path_line import complete_path, real_path
from logbook.screen.widgets.picture_view import PictureView
from logbook.startest.picture.averaging import average
from logbook.text import NOT_WHOLE, did_not_arrive_whole

_HELP = "Enter measures; once more keeps · more pictures of one setting average · ctrl+r anew"


@dataclass(frozen=True, slots=True)
class Measured:
    """What the sheet closes with: the pictures of one setting, and what is known about them."""

    frames: list[Frame]
    about: About
    folder: str


class PathInput(LineInput):
    """A path; Tab completes it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("tab", "complete", "Complete", show=False)]

    class CompletionAsked(Message):
        """Tab was pressed."""

    def action_complete(self) -> None:
        self.post_message(self.CompletionAsked())


class MeasureSheet(TellsFailures, DraftedSheet[Measured | None]):
    """Measures pictures by their path; Enter keeps the look, Escape keeps nothing."""

    DEFAULT_CSS = """
    MeasureSheet .sheet { width: 100%; height: 100%; }
    MeasureSheet .row { height: 1; }
    MeasureSheet .row Static { width: 9; }
    MeasureSheet .row .short { width: 7; }
    MeasureSheet Input { height: 1; border: none; padding: 0; width: 1fr; background: $panel; }
    MeasureSheet Input:focus { border: none; background: $boost; text-style: bold; }
    MeasureSheet #measure-body { height: 1fr; }
    MeasureSheet #measure-picture { width: 1fr; height: 1fr; }
    MeasureSheet #measure-words { width: 34; height: 1fr; padding: 0 0 0 1; }
    MeasureSheet #measure-foot { height: auto; max-height: 3; text-style: bold; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", tooltip="Close, keeping nothing"),
        Binding("ctrl+o", "keep", "Keep", tooltip="Keep the look", priority=True),
        Binding("ctrl+r", "anew", "Anew", tooltip="Forget the pictures measured", priority=True),
        Binding("down", "move(1)", "Next field", tooltip="To the next field"),
        Binding("up", "move(-1)", "Field before", tooltip="To the field before"),
    ]

    class FrameReady(Message):
        """A picture was measured, or refused."""

        def __init__(self, frame: Frame, typed: str) -> None:
            super().__init__()
            self.frame = frame
            self.typed = typed

    class NotFoundThere(Message):
        """There is nothing to measure at that path."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    FIELDS: ClassVar[tuple[Field, ...]] = (
        Field(
            "measure-path",
            "Picture",
            required=True,
            help="The path of a picture of one star out of focus; Tab completes it.",
            example="~/pictures/vega.fits",
        ),
        Field("measure-star", "Star", required=False, help="Which star it is.", example="Vega"),
        Field(
            "measure-side",
            "Side",
            required=False,
            help="On which side of focus it was taken.",
            example="inside",
        ),
    )

    def __init__(self, desk: Desk, path: str, about: About) -> None:
        super().__init__()
        self._desk = desk
        self._path = path
        self._about = about
        self.draft_about = of_this_night(desk, about.role)
        self.draft_heading = "the picture to be measured"
        self._frames: list[Frame] = []
        self._typed_last = ""  # what was measured last; Enter on it again keeps

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text("Measure a picture of the defocused star", "bold"), markup=False)
            with Horizontal(classes="row"):
                yield Static("Picture", markup=False)
                yield _plain(PathInput(self._path, id="measure-path"))
            with Horizontal(classes="row"):
                yield Static("Star", markup=False)
                yield _plain(LineInput(self._about.star, id="measure-star", placeholder="its name"))
                yield Static("Side", markup=False, classes="short")
                side = LineInput(self._about.side, id="measure-side", placeholder="inside, outside")
                yield _plain(side)
            with Horizontal(id="measure-body"):
                yield PictureView(id="measure-picture")
                yield Static(id="measure-words", markup=False)
            yield Static(Text(_HELP), id="measure-foot", markup=False)

    def on_mount(self) -> None:
        line = self.query_one("#measure-path", Input)
        line.focus()
        line.cursor_position = len(line.value)
        self.open_draft()

    def say_left(self, words: str) -> None:
        self._foot(f"{words} Enter measures".strip())

    # --- measuring ---

    @on(PathInput.CompletionAsked)
    def _complete(self, event: PathInput.CompletionAsked) -> None:
        event.stop()
        line = self.query_one("#measure-path", Input)
        line.value, count = complete_path(line.value)
        line.cursor_position = len(line.value)
        if count != 1:
            self._foot(f"{count} names begin so" if count else "nothing there begins so")

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        path = self.query_one("#measure-path", Input)
        if event.input is not path:
            path.focus()
            return
        typed = path.value.strip()
        if typed and typed == self._typed_last and good_of(self._frames):
            self.action_keep()
        elif typed:
            self._foot("measuring …")
            size = self.query_one("#measure-picture", PictureView).size
            self._measure(typed, max(8, size.width), max(8, 2 * size.height))

    @work(thread=True, exclusive=True, exit_on_error=False, group="measure")
    def _measure(self, typed: str, columns: int, rows: int) -> None:
        try:
            path = calculations().picture_at(real_path(typed))
        except (OSError, ValueError) as error:
            self.post_message(self.NotFoundThere(f"cannot be read: {error.__class__.__name__}"))
            return
        if path is None:
            self.post_message(self.NotFoundThere("There is no picture there: Tab completes."))
            return
        self.post_message(self.FrameReady(calculations().frame_of(path, columns, rows), typed))

    @on(FrameReady)
    def _frame_ready(self, event: FrameReady) -> None:
        frame = event.frame
        self._typed_last = event.typed
        self.query_one(PictureView).show(frame.shown)
        if frame.measure.ok and not any(each.path == frame.path for each in self._frames):
            self._frames.append(frame)
        star = self.query_one("#measure-star", Input)
        if not star.value and frame.measure.facts is not None:
            star.value = frame.measure.facts.object_name
        self.query_one("#measure-words", Static).update(self._words(frame))
        self._foot("Enter keeps this look" if frame.measure.ok else "Refused; not used.")

    @on(NotFoundThere)
    def _not_there(self, event: NotFoundThere) -> None:
        self._foot(event.words)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        super().on_worker_state_changed(event)
        if event.worker.error is not None:
            self._foot(f"That failed ({type(event.worker.error).__name__}); try another picture.")

    def _words(self, frame: Frame) -> Text:
        measure = frame.measure
        words = Text(f"{measure.file}\n", style="bold")
        words.append(f"{measure_words(measure)}\n", style="not bold")
        for each in (defocus_words(self._desk, measure), *measure.notes):
            if each:
                words.append(f"{each}\n", style="not bold")
        if len(good_of(self._frames)) > 1:
            words.append(f"\n{self._average_words()}\n")
        return words

    def _average_words(self) -> str:
        try:
            return average_words(average(good_of(self._frames)))
        except LogbookError as error:
            return f"{error} ctrl+r begins anew."

    # --- the end ---

    def action_move(self, step: int) -> None:
        inputs = list(self.query(Input))
        if isinstance(self.focused, Input):
            place = inputs.index(self.focused) + step
            if 0 <= place < len(inputs):
                inputs[place].focus()

    def action_anew(self) -> None:
        self._frames, self._typed_last = [], ""
        self.query_one(PictureView).show(None)
        self.query_one("#measure-words", Static).update(Text(""))
        self._foot("Forgotten; nothing was kept.")

    def action_keep(self) -> None:
        side = _side(self.query_one("#measure-side", Input).value)
        if side is None:
            self._foot("Side of focus: inside, outside, or nothing.")
            return
        star = self.query_one("#measure-star", Input).value.strip()
        if did_not_arrive_whole(star):
            self._foot(f"Star: {NOT_WHOLE}.")
            return
        if not good_of(self._frames):
            self._foot("Nothing measured yet that could be kept.")
            return
        if self._desk.view.night is None:
            self._foot(NO_NIGHT)
            return
        try:
            average(good_of(self._frames))
        except LogbookError as error:
            self._foot(f"{error} ctrl+r begins anew.")
            return
        about = About(star, side, self._about.role, self._about.pier)
        folder = f"{real_path(self._typed_last).parent}/"
        self.dismiss(Measured(self._frames, about, folder))

    def _foot(self, words: str) -> None:
        self.query_one("#measure-foot", Static).update(Text(words))


def _plain(line: Input) -> Input:
    line.cursor_blink = False
    return line


def _side(typed: str) -> str | None:
    """inside, outside or ""; None for what is neither."""
    meant = typed.strip().casefold()
    if not meant:
        return ""
    found = [each for each in ("inside", "outside") if each.startswith(meant)]
    return found[0] if found else None


class AskPath(DraftedSheet[str | None]):
    """One path; Enter answers, Escape answers nothing."""

    DEFAULT_CSS = """
    AskPath Input { height: 1; border: none; padding: 0; background: $panel; }
    AskPath Input:focus { border: none; background: $boost; text-style: bold; }
    AskPath #ask-foot { text-style: bold; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", tooltip="Close, changing nothing"),
    ]

    FIELDS: ClassVar[tuple[Field, ...]] = (
        Field(
            "ask-path",
            "Path",
            required=True,
            help="The path of a file or folder; Tab completes it.",
            example="~/pictures/tonight",
        ),
    )

    def __init__(self, heading: str, path: str, words: str) -> None:
        super().__init__()
        self._heading, self._path, self._words = heading, path, words
        self.draft_about = heading
        self.draft_heading = "the path"

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text(self._heading, style="bold"), markup=False)
            line = PathInput(self._path, id="ask-path")
            line.cursor_blink = False
            yield line
            yield Static(Text(self._words), markup=False)
            foot = "Tab completes · Enter goes on · Escape leaves"
            yield Static(Text(foot), id="ask-foot", markup=False)

    def on_mount(self) -> None:
        line = self.query_one(PathInput)
        line.focus()
        line.cursor_position = len(line.value)
        self.open_draft()

    def say_left(self, words: str) -> None:
        foot = f"{words} Enter goes on · Escape leaves".strip()
        self.query_one("#ask-foot", Static).update(Text(foot))

    @on(PathInput.CompletionAsked)
    def _complete(self, event: PathInput.CompletionAsked) -> None:
        event.stop()
        line = self.query_one(PathInput)
        line.value, count = complete_path(line.value)
        line.cursor_position = len(line.value)
        words = "nothing there begins so" if not count else f"{count} names begin so"
        self.query_one("#ask-foot", Static).update(Text(words if count != 1 else "Enter goes on"))

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        self.finish(event.value.strip() or None)
