"""The frame to scale on a sheet: the object, what else is in it, the camera's angle, a mosaic."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from logbook.errors import BadInput, NotFound
from logbook.screen.dialogs.live_sheet import LiveSheet, room_of
from logbook.screen.pages.choose.frame_drawing import Drawing, draw_frame
from logbook.screen.pages.choose.night import asked_at, calculations, night_of
from logbook.screen.pages.choose.words import place_words, short
from logbook.screen.services.services import Desk

if TYPE_CHECKING:
    from logbook.sky.framing.field_contents import FrameView
    from logbook.sky.framing.mosaic import CameraAngle, Mosaic

_LISTED = 26  # columns of the list beside the drawing
_STEP_DEG = 5.0
_SHIFT = 0.1  # of the frame


@dataclass(frozen=True, slots=True)
class Framed:
    """What was computed for one object, angle and shift.

    mosaic -- None where one frame is enough, or where `mosaic_words` say why there is none.
    """

    title: str
    view: "FrameView"
    angle: "CameraAngle"
    mosaic: "Mosaic | None"
    mosaic_words: str


class FrameSheet(LiveSheet[Framed]):
    """The frame on one object. It can be turned and moved; the best angle is a key away."""

    KEY_WORDS = "← → turn  b best angle  u north up  w a s d move  g mosaic  + − overlap  Escape"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "turn(-1)", "Turn back", tooltip="Turn the camera 5° toward west"),
        Binding("right", "turn(1)", "Turn", tooltip="Turn the camera 5° toward east"),
        Binding("b", "best", "Best angle", tooltip="The long axis along the long side"),
        Binding("u", "upright", "North up", tooltip="North up, the object in the middle"),
        Binding("w", "move(0, 1)", "Up", tooltip="Move the object up in the frame"),
        Binding("s", "move(0, -1)", "Down", tooltip="Move the object down in the frame"),
        Binding("a", "move(-1, 0)", "Left", tooltip="Move the object left in the frame"),
        Binding("d", "move(1, 0)", "Right", tooltip="Move the object right in the frame"),
        Binding("plus", "overlap(5)", "More overlap", tooltip="5 % more overlap of the frames"),
        Binding("minus", "overlap(-5)", "Less overlap", tooltip="5 % less overlap of the frames"),
        Binding("g", "mosaic", "Mosaic", tooltip="Draw the frames of a mosaic, or leave them out"),
    ]

    def __init__(self, desk: Desk, object_id: str) -> None:
        super().__init__(desk, "The frame")
        self._object_id = object_id
        self._angle_deg: float | None = None  # None: the best one
        self._shift = (0.0, 0.0)  # parts of the frame
        self._with_mosaic = True
        self._overlap_percent = 20

    def work_out(self) -> Framed:
        at, sky = asked_at(self.desk), calculations()
        thing = sky.thing_at(self.desk.sky, night_of(self.desk), self._object_id, at)
        train = self.desk.view.train
        instrument = sky.instrument_of(train.train if train else None)
        if instrument.field is None:
            raise NotFound(
                "The field of the train is not known: F5 says which numbers are missing."
                if train
                else "No train is chosen: F5 makes one."
            )
        width, height = instrument.field.field_deg
        best = sky.camera_angle(thing, (width, height))
        angle = best.angle_deg or 0.0 if self._angle_deg is None else self._angle_deg
        shift = (self._shift[0] * width, self._shift[1] * height)
        view = sky.frame_view(thing, instrument, angle_deg=angle, shift_deg=shift)
        assert view is not None
        try:
            frames = sky.mosaic(
                thing, (width, height), overlap=self._overlap_percent / 100.0, angle_deg=angle
            )
        except BadInput as error:  # far too large for this field
            return Framed(thing.title, view, best, None, str(error))
        several = len(frames.panels) > 1
        mosaic_words = frames.words if several else ""
        return Framed(thing.title, view, best, frames if several else None, mosaic_words)

    def body(self) -> Widget:
        return _SideBySide(id="live-body")

    def on_mount(self) -> None:
        super().on_mount()
        self.query_one("#frame-scroll").focus()

    def top_words(self, found: Framed) -> Text:
        self.heading = found.title
        view = found.view
        mirrored = "mirrored as this train shows it" if view.mirrored else "not mirrored"
        size = f"{view.width_deg:.2f}° × {view.height_deg:.2f}°"
        return Text(f"{size}, up is {view.angle_deg:.0f}°, {mirrored}. {view.words[0]}")

    def draw_body(self, found: Framed) -> None:
        columns, rows = room_of(self)
        listed = _LISTED if columns >= 60 else 20
        self.query_one("#frame-scroll").styles.width = listed + 1
        drawing = Drawing(columns - listed - 1, max(6, rows - 5))
        drawn, signs = draw_frame(found.view, found.mosaic if self._with_mosaic else None, drawing)
        self.query_one("#frame-drawn", Static).update(Text("\n".join(drawn)))
        side = Text("\n").join([_angle(found), _listed(found.view, signs, listed)])
        if found.mosaic is not None and self._with_mosaic:
            side = Text("\n").join([side, _panels(found.mosaic)])
        self.query_one("#frame-listed", Static).update(side)

    def action_turn(self, step: int) -> None:
        if self.found is not None:
            self._angle_deg = (self.found.view.angle_deg + step * _STEP_DEG) % 360.0
            self.work_again()

    def action_best(self) -> None:
        self._angle_deg = None
        self.work_again()

    def action_upright(self) -> None:
        self._angle_deg, self._shift = 0.0, (0.0, 0.0)
        self.work_again()

    def action_move(self, across: int, up: int) -> None:
        x, y = self._shift
        self._shift = (_within(x + across * _SHIFT), _within(y + up * _SHIFT))
        self.work_again()

    def action_overlap(self, step: int) -> None:
        self._overlap_percent = min(60, max(0, self._overlap_percent + step))
        self.work_again()

    def action_mosaic(self) -> None:
        self._with_mosaic = not self._with_mosaic
        self.draw()


class _SideBySide(Horizontal):
    """The drawing, and the list of what is in it."""

    def compose(self) -> ComposeResult:
        yield Static(id="frame-drawn", markup=False)
        with VerticalScroll(id="frame-scroll"):
            yield Static(id="frame-listed", markup=False)


def _within(part: float) -> float:
    return min(0.5, max(-0.5, part))


def _angle(found: Framed) -> Text:
    """How to turn the camera, and how many frames it takes."""
    parts = (found.angle.words, found.mosaic_words)
    return Text(" ".join(f"{each.rstrip('.')}." for each in parts if each))


def _panels(mosaic: "Mosaic") -> Text:
    """Where to point for each frame, in the order to take them."""
    words = Text().append("Middles of the frames (2000.0):", "bold")
    for panel in mosaic.panels:
        words.append(f"\n{panel.number:2} {place_words(panel.ra_deg, panel.dec_deg)}")
    return words


def _listed(view: "FrameView", signs: dict[str, str], width: int) -> Text:
    """What else is in the frame, with the sign it is drawn with, and what to know of it."""
    words = Text().append("Also in the frame:" if view.others else "", "bold")
    for each in view.others:
        size = f" {each.major_deg * 60:.0f}′" if each.major_deg else ""
        magnitude = f" {each.magnitude:.1f}" if each.magnitude is not None else ""
        name = short(each.name, max(6, width - 4 - len(size) - len(magnitude)))
        words.append(f"\n{signs.get(each.id, '·')} {name}{magnitude}{size}")
    words.append("".join(f"\n{each}" for each in view.words[1:]), "italic")
    return words
