"""The sheet of a train, section by section, with what is drawn of it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.events import Resize
from textual.widgets import Static

from logbook.screen.widgets.modal import Modal


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a sheet: its name, and what draws it for so many columns and rows."""

    name: str
    draw: Callable[[int, int], Text]


class SectionSheet(Modal[None]):
    """Sections to leaf through; a sheet may ask for what it reckons with (`ask`)."""

    DEFAULT_CSS = """
    SectionSheet .sheet { height: 100%; }
    SectionSheet #section-names { height: auto; }
    SectionSheet VerticalScroll { height: 1fr; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "leave", "Close", tooltip="Back to the page"),
        Binding("right,enter", "turn(1)", "Next section", tooltip="The next section"),
        Binding("left", "turn(-1)", "Section before", tooltip="The section before"),
        Binding("space", "further", "Further", tooltip="Down by what fits, then the next section"),
        Binding("a", "ask", "Reckon with", tooltip="Seeing and the rest that is reckoned with"),
    ]

    def __init__(self, heading: str, make: Callable[[], Sequence[Section]], asks: str = "") -> None:
        """make -- the sections; asked for again when what they reckon with has changed.
        asks -- what the key `a` leads to, in a word; empty: nothing."""
        super().__init__()
        self._heading = heading
        self._make = make
        self._sections = tuple(make())
        self._asks = asks
        self._place = 0

    def compose(self) -> ComposeResult:
        more = f"   a {self._asks}" if self._asks else ""
        foot = f"← → section   ↑ ↓ space scroll{more}   Escape closes"
        with Vertical(classes="sheet"):
            yield Static(id="section-names", markup=False)
            with VerticalScroll():
                yield Static(id="section-words", markup=False)
            yield Static(Text(foot, style="italic"), markup=False)

    def on_mount(self) -> None:
        self._scroll.focus()

    def on_resize(self, event: Resize) -> None:
        self.call_after_refresh(self._draw)

    @property
    def _scroll(self) -> VerticalScroll:
        return self.query_one(VerticalScroll)

    def make_again(self) -> None:
        """Draw anew from what is reckoned with now."""
        self._sections = tuple(self._make())
        self._draw()

    def _draw(self) -> None:
        columns = max(30, self._scroll.size.width - 2)  # less the scroll bar
        rows = self._scroll.size.height
        section = self._sections[self._place]
        self.query_one("#section-words", Static).update(section.draw(columns, rows))
        self.query_one("#section-names", Static).update(self._names(columns))

    def _names(self, columns: int) -> Text:
        """Every section with this one in reverse; where that does not fit, this one alone."""
        line = Text(f"{self._heading}  ", style="bold")
        for place, section in enumerate(self._sections):
            here = place == self._place
            line.append(f" {section.name} ", style="reverse" if here else "not bold")
        if len(line) <= columns:
            return line
        section = self._sections[self._place]
        line = Text(f"{self._heading}  ", style="bold")
        line.append(f" {section.name} ", style="reverse")
        line.append(f" {self._place + 1} of {len(self._sections)}", style="not bold")
        return line

    def action_turn(self, step: int) -> None:
        self._place = (self._place + step) % len(self._sections)
        self._draw()
        self._scroll.scroll_home(animate=False)

    def action_further(self) -> None:
        if self._scroll.scroll_offset.y >= self._scroll.max_scroll_y:
            self.action_turn(1)
        else:
            self._scroll.scroll_relative(y=max(1, self._scroll.size.height - 1), animate=False)

    def action_ask(self) -> None:
        if self._asks:
            self.ask()

    def ask(self) -> None:
        """What the key `a` does; a sheet that asks for something says so here."""

    def action_leave(self) -> None:
        self.dismiss(None)
