"""The stars over a focused frame: width and elongation drawn as a map, tilt apart from the rest."""

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import Static
from textual.worker import Worker

from logbook.errors import BadInput
from logbook.screen.pages.screws.frames import arcsec_per_px
from logbook.screen.pages.screws.jobs import calculations
from logbook.screen.services.failures import TellsFailures
from logbook.screen.services.services import Desk
from logbook.screen.widgets.canvas import Canvas
from logbook.screen.widgets.modal import Modal

if TYPE_CHECKING:
    from logbook.startest.field.result import FieldMap, Zone

_LEAST, _MOST = 0.35, 0.95  # of a zone's room: the narrowest and the widest star


class FieldSheet(TellsFailures, Modal[None]):
    """Measures one frame in a worker and draws its map."""

    DEFAULT_CSS = """
    FieldSheet .sheet { width: 100%; height: 100%; }
    FieldSheet #field-body { height: 1fr; }
    FieldSheet #field-map { width: 1fr; height: 1fr; }
    FieldSheet VerticalScroll { width: 34; height: 1fr; padding: 0 0 0 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter", "leave", "Leave", tooltip="Back to the page"),
    ]

    class FieldReady(Message):
        """The frame was measured."""

        def __init__(self, found: "FieldMap") -> None:
            super().__init__()
            self.found = found

    class FieldRefused(Message):
        """It could not be."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    def __init__(self, desk: Desk, path: Path) -> None:
        super().__init__()
        self._desk = desk
        self._path = path
        self._found: FieldMap | None = None

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text(f"The stars over {self._path.name}", "bold"), markup=False)
            with Horizontal(id="field-body"):
                yield Static(id="field-map", markup=False)
                with VerticalScroll():
                    yield Static(Text("measuring …"), id="field-words", markup=False)
            foot = "Larger: wider stars; drawn out as they are, five times over · Escape leaves"
            yield Static(Text(foot, style="italic"), markup=False)

    def on_mount(self) -> None:
        self._measure()
        self.query_one(VerticalScroll).focus()

    def on_resize(self) -> None:
        self.call_after_refresh(self._draw)

    @work(thread=True, exclusive=True, exit_on_error=False, group="field")
    def _measure(self) -> None:
        try:
            path = calculations().picture_at(self._path)
            if path is None:
                self.post_message(self.FieldRefused("There is no picture there."))
                return
            picture = calculations().read_picture(path)
            scale = arcsec_per_px(self._desk, picture.facts)
            self.post_message(self.FieldReady(calculations().measure_field(picture, scale)))
        except OSError as error:
            self.post_message(self.FieldRefused(f"cannot be read: {type(error).__name__}"))
        except BadInput as why:
            self.post_message(self.FieldRefused(str(why)))

    @on(FieldRefused)
    def _refused(self, event: FieldRefused) -> None:
        self.query_one("#field-words", Static).update(Text(event.words))

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        super().on_worker_state_changed(event)
        if event.worker.error is not None:
            words = f"That failed ({type(event.worker.error).__name__}); try another frame."
            self.query_one("#field-words", Static).update(Text(words))

    @on(FieldReady)
    def _ready(self, event: FieldReady) -> None:
        self._found = event.found
        self.query_one("#field-words", Static).update(field_words(event.found))
        self._draw()

    def _draw(self) -> None:
        if self._found is not None:
            drawn = self.query_one("#field-map", Static)
            lines = field_lines(self._found, drawn.size.width, drawn.size.height)
            drawn.update(Text("\n".join(lines)))

    def action_leave(self) -> None:
        self.dismiss(None)


def field_words(found: "FieldMap") -> Text:
    """What the map says; why there is none."""
    if not found.ok:
        return Text(found.reason)
    words = Text(f"{found.stars} stars", style="bold")
    if found.fwhm_px is not None:
        words.append(f", {found.shown(found.fwhm_px)} wide", style="not bold")
    for each in found.words:
        words.append(f"\n{each}", style="not bold")
    return words


def field_lines(found: "FieldMap", columns: int, rows: int) -> list[str]:
    """Nine zones as they lie in the picture, each an ellipse with its width beneath."""
    widths = [each.fwhm_px for each in found.zones if each.fwhm_px is not None]
    if not widths or columns < 12 or rows < 6:
        return []
    canvas = Canvas(columns, rows)
    for zone in found.zones:
        _draw_zone(canvas, found, zone, min(widths), max(widths))
    return canvas.lines()


def _draw_zone(
    canvas: Canvas, found: "FieldMap", zone: "Zone", least_px: float, most_px: float
) -> None:
    across, down = canvas.width / 3, canvas.height / 3
    x, y = (zone.column + 0.5) * across, (zone.row + 0.5) * down - 2.0
    said = "none"
    if zone.fwhm_px is not None:
        share = (zone.fwhm_px - least_px) / max(most_px - least_px, 0.2 * least_px)
        room = 0.5 * (min(across, down) - 5.0)
        half = max(1.5, room * (_LEAST + (_MOST - _LEAST) * share))
        flat = min(0.8, 5.0 * (zone.elongation or 0.0))
        canvas.ellipse(x, y, half, half * (1.0 - flat), 90.0 + (zone.angle_deg or 0.0))
        said = found.shown(zone.fwhm_px)
    row = int((zone.row + 1) * canvas.rows / 3) - 1
    canvas.word(round(x / 2 - len(said) / 2), row, said)
