"""A look by eye: the arrow keys move the shadow in a drawn disc, Enter keeps what is drawn."""

import math
from collections.abc import Mapping
from contextlib import suppress
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import Input, Static

from logbook.entryline.format import clock_words
from logbook.records.entries import StarLook
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.sheet_draft import DraftedSheet
from logbook.screen.pages.screws.frames import About, of_this_night
from logbook.screen.pages.screws.words import NO_NIGHT
from logbook.screen.services.services import Desk
from logbook.screen.widgets.disc import disc_lines
from logbook.screen.widgets.line_input import LineInput
from logbook.text import NOT_WHOLE, clean, did_not_arrive_whole

STEP, FINE_STEP = 0.05, 0.01
MOST = 0.6  # of the disc's radius: a shadow further out leaves the disc
_PARTS = (
    (1 / 32, "about a thirtieth"),
    (1 / 16, "about a sixteenth"),
    (1 / 8, "about an eighth"),
    (1 / 5, "about a fifth"),
    (1 / 4, "about a quarter"),
    (1 / 3, "about a third"),
    (1 / 2, "about half"),
)
_SIDES = ("", "inside", "outside")
_HELP = (
    "←↑→↓ move · space fine or coarse · c centred · s side of focus · t star\n"
    "Enter keeps it · Escape leaves"
)
_PUT_FIRST = "Nothing is kept yet: put the shadow where you see it with the arrows, or c: centred."


class EyeDisc(Static, can_focus=True):
    """The drawn disc; it has the arrow keys while no star is being typed."""


class EyeLook(DraftedSheet[StarLook | None]):
    """Where the shadow sits as the user sees it now; closes with the look."""

    DEFAULT_CSS = """
    EyeLook .sheet { width: 100%; height: 100%; }
    EyeLook #eye-body { height: 1fr; }
    EyeLook #eye-disc { width: 1fr; height: 1fr; }
    EyeLook #eye-words { width: 27; height: 1fr; }
    EyeLook #eye-said { height: auto; text-style: bold; }
    EyeLook #eye-star { height: 1; border: none; padding: 0; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", tooltip="Close, keeping nothing"),
        Binding("enter", "keep", "Keep", tooltip="Keep the look as it is drawn"),
        Binding("up", "move(0,-1)", "Up", tooltip="Move the shadow up"),
        Binding("down", "move(0,1)", "Down", tooltip="Move the shadow down"),
        Binding("left", "move(-1,0)", "Left", tooltip="Move the shadow left"),
        Binding("right", "move(1,0)", "Right", tooltip="Move the shadow right"),
        Binding("space", "fine", "Fine", tooltip="Fine or coarse steps"),
        Binding("c", "centre", "Centred", tooltip="The shadow is centred"),
        Binding("s", "side", "Side", tooltip="Inside or outside of focus"),
        Binding("t", "star", "Star", tooltip="Say which star it is"),
        Binding("y", "still", "Still so", tooltip="The shadow is still where it was left"),
    ]

    FIELDS: ClassVar[tuple[Field, ...]] = (
        Field("eye-star", "Star", required=False, help="Which star you look at.", example="Vega"),
    )

    def __init__(self, desk: Desk, about: About) -> None:
        super().__init__()
        self._desk = desk
        self.draft_about = of_this_night(desk, about.role)
        self.draft_heading = "the look"
        look = _last_by_eye(desk)
        angle = math.radians(look.position_angle_deg or 0.0)
        self._x = round(look.offset_fraction * math.cos(angle), 2)
        self._y = round(look.offset_fraction * math.sin(angle), 2)
        self._side = _SIDES.index(look.side_of_focus or "")
        self._fine = False
        self._put = False  # the user put the shadow somewhere; a stray Enter saves nothing
        same_star = about.role == ((look.detail and look.detail.star_role) or "first")
        self._star = about.star or (look.star or "" if same_star else "")

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text("Look: put the shadow where you see it", "bold"), markup=False)
            with Horizontal(id="eye-body"):
                yield EyeDisc(id="eye-disc", markup=False)
                with Vertical(id="eye-words"):
                    yield Static(id="eye-said", markup=False)
                    star = LineInput(self._star, placeholder="t: which star", id="eye-star")
                    star.cursor_blink = False
                    yield star
            yield Static(Text(_HELP), id="eye-foot", markup=False)

    def on_mount(self) -> None:
        self.query_one(EyeDisc).focus()
        self.open_draft()
        self.call_after_refresh(self._draw)

    # --- what is half set ---

    def draft_values(self) -> dict[str, str]:
        where = {"x": f"{self._x:g}", "y": f"{self._y:g}"}
        return {**super().draft_values(), **where, "side": _SIDES[self._side]}

    def take_values(self, values: Mapping[str, str]) -> None:
        super().take_values(values)
        self._star = values["eye-star"]
        with suppress(ValueError):
            self._x, self._y = float(values["x"]), float(values["y"])
            self._side = _SIDES.index(values["side"])
        self._put = False
        self.call_after_refresh(self._draw)

    def say_left(self, words: str) -> None:
        if words:
            self._foot(f"{words}\ny: it is still so; or move it. Then Enter.")
        else:
            self._foot(_HELP, "")

    def on_resize(self) -> None:
        self.call_after_refresh(self._draw)

    # --- drawing ---

    @property
    def look(self) -> StarLook:
        """The look as it is drawn now."""
        offset = round(math.hypot(self._x, self._y), 3)
        angle = math.degrees(math.atan2(self._y, self._x)) % 360.0
        side = _SIDES[self._side] or None
        star = clean(self._star).strip() or None
        return StarLook(offset, angle if offset else None, side_of_focus=side, star=star)

    def _foot(self, words: str, style: str = "bold") -> None:
        self.query_one("#eye-foot", Static).update(Text(words, style))

    def _draw(self) -> None:
        disc = self.query_one(EyeDisc)
        columns, rows = max(8, disc.size.width), max(4, disc.size.height)
        lines = disc_lines(self.look, self._desk.view.screws, columns, rows)
        disc.update(Text("\n".join(lines)))
        self.query_one("#eye-said", Static).update(_look_words(self.look, fine=self._fine))

    # --- acting ---

    def action_move(self, right: int, down: int) -> None:
        step = FINE_STEP if self._fine else STEP
        x, y = round(self._x + right * step, 3), round(self._y + down * step, 3)
        if math.hypot(x, y) <= MOST:
            self._x, self._y = x, y
        self.action_still()
        self._draw()

    def action_still(self) -> None:
        """The shadow sits where it is drawn."""
        self._put = True
        self._foot(_HELP, "")
        self.note_draft()

    def action_fine(self) -> None:
        self._fine = not self._fine
        self._draw()

    def action_centre(self) -> None:
        self._x = self._y = 0.0
        self.action_still()
        self._draw()

    def action_side(self) -> None:
        self._side = (self._side + 1) % len(_SIDES)
        self.note_draft()
        self._draw()

    def action_star(self) -> None:
        self.query_one("#eye-star", Input).focus()

    @on(Input.Changed, "#eye-star")
    def _star_typed(self, event: Input.Changed) -> None:
        event.stop()
        self._star = event.value

    @on(Input.Submitted, "#eye-star")
    def _star_named(self, event: Input.Submitted) -> None:
        event.stop()
        self.query_one(EyeDisc).focus()

    def action_keep(self) -> None:
        if did_not_arrive_whole(self._star):
            self._foot(f"Star: {NOT_WHOLE}.")
        elif self._put and self._desk.view.night is not None:
            self.dismiss(self.look)
        else:
            self._foot(NO_NIGHT if self._put else _PUT_FIRST)


def _look_words(look: StarLook, *, fine: bool) -> Text:
    said = "centred"
    if look.position_angle_deg is not None:
        said = f"{look.offset_fraction:.2f} of the radius,\n{in_words(look.offset_fraction)}"
        said += f"\ntoward {clock_words(look.position_angle_deg)}"
    words = Text(f"{said}\n")
    step = FINE_STEP if fine else STEP
    side = f"{look.side_of_focus} focus" if look.side_of_focus else "side not said"
    words.append(f"step {step:g}\n{side}\n", style="not bold")
    return words


def in_words(fraction: float) -> str:
    """The part of the radius that comes nearest: `about an eighth`."""
    if fraction < _PARTS[0][0] * 0.7:
        return "a trace"
    return min(_PARTS, key=lambda part: abs(math.log(part[0] / fraction)))[1]


def _last_by_eye(desk: Desk) -> StarLook:
    """The drawing begins where the user saw the shadow last tonight, else centred."""
    view = desk.view
    seen = view.last_look
    tonight = view.night is not None and seen is not None and seen.night_id == view.night.id
    if seen is None or not tonight or seen.content.look is None:
        return StarLook(0.0)
    look = seen.content.look
    return look if look.way == "eye" else StarLook(0.0, side_of_focus=look.side_of_focus)
