"""History: the offset over the months with what happened between, and how long it holds."""

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import Static

from logbook.entryline.format import counted
from logbook.screen.services.failures import TellsFailures
from logbook.screen.services.services import Desk
from logbook.screen.widgets.canvas import Canvas
from logbook.screen.widgets.modal import Modal

if TYPE_CHECKING:
    from logbook.store.history.collimation import Holds, OffsetPoint

_SCALE_WIDTH = 5  # columns left of the plot
_BLOCKS = "▁▂▃▄▅▆▇█"
_LEAST_TOP = 0.1  # of the radius: a good season isn't blown up to fill the plot


class HistorySheet(TellsFailures, Modal[None]):
    """A plot of every night's first and last offset, then the nights in words, newest first."""

    DEFAULT_CSS = """
    HistorySheet .sheet { width: 100%; height: 100%; }
    HistorySheet #history-plot { height: 9; }
    HistorySheet VerticalScroll { height: 1fr; scrollbar-gutter: stable; }
    HistorySheet #history-holds { height: auto; text-style: bold; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,h,enter", "leave", "Leave", tooltip="Back to the page"),
    ]

    class HistoryRead(Message):
        """The season was read from the book."""

        def __init__(self, points: "tuple[OffsetPoint, ...]", holds: "Holds") -> None:
            super().__init__()
            self.points = points
            self.holds = holds

    def __init__(self, desk: Desk, telescope_id: int) -> None:
        super().__init__()
        self._desk = desk
        self._telescope_id = telescope_id
        self._points: tuple[OffsetPoint, ...] = ()

    def compose(self) -> ComposeResult:
        telescope = self._desk.view.telescope
        name = telescope.part.name if telescope else ""
        with Vertical(classes="sheet"):
            yield Static(Text(f"Offset of {name} over the nights", "bold"), markup=False)
            with VerticalScroll():
                yield Static(id="history-plot", markup=False)
                yield Static(id="history-holds", markup=False)
                yield Static(Text("reading …"), id="history-nights", markup=False)
            foot = "○ first look ● last ▲ moved, worked on or set before · Escape"
            yield Static(Text(foot, style="italic"), markup=False)

    def on_mount(self) -> None:
        self._read()
        self.query_one(VerticalScroll).focus()

    def on_resize(self) -> None:
        self.call_after_refresh(self._draw)

    @work(thread=True, exclusive=True, exit_on_error=False, group="history")
    def _read(self) -> None:
        book = self._desk.book
        if book is not None:
            points = book.collimation.offsets(self._telescope_id)
            self.post_message(self.HistoryRead(points, book.collimation.holds(self._telescope_id)))

    @on(HistoryRead)
    def _history_read(self, event: HistoryRead) -> None:
        self._points = event.points
        self.query_one("#history-holds", Static).update(Text(holds_words(event.holds)))
        self._draw()
        lines = [night_line(self._desk, each) for each in reversed(event.points)]
        if not lines:
            lines = [Text("No look is logged for this telescope yet: l by eye, m a picture.")]
        self.query_one("#history-nights", Static).update(Text("\n").join(lines))

    def _draw(self) -> None:
        plot = self.query_one("#history-plot", Static)
        lines = plot_lines(self._points, max(20, plot.size.width), max(7, plot.size.height))
        plot.update(Text("\n".join(lines)))

    def action_leave(self) -> None:
        self.dismiss(None)


def holds_words(holds: "Holds") -> str:
    """How long a setting lasts, from the nights that show it."""
    said = []
    if holds.nights_between is not None and holds.days_between is not None:
        nights = counted(round(holds.nights_between), "night")
        said.append(f"turned again after {nights}, {holds.days_between:.0f} days (median)")
    if holds.grown is not None:
        said.append(f"from night to night {holds.grown:+.3f} of the radius")
    if holds.grown_after_transport is not None:
        said.append(f"{holds.grown_after_transport:+.3f} where something happened between")
    if not said:
        return "How long it holds is not known yet: that takes looks on several nights."
    return f"{'; '.join(said)} (from {counted(holds.nights, 'night')})."


def night_line(desk: Desk, point: "OffsetPoint") -> Text:
    """`04 Oct 2025 0.21 → 0.03, 4 turns · 3.1 °C · transport`."""
    line = Text(f"{desk.local(point.at_utc):%d %b %Y} ", style="bold")
    line.append(f"{point.first:.2f} → {point.last:.2f}", style="not bold")
    if point.turns:
        line.append(f", {counted(point.turns, 'turn')}", style="not bold")
    if point.air_temperature_c is not None:
        line.append(f" · {point.air_temperature_c:.1f} °C", style="not bold")
    if point.events:
        line.append(f" · before it: {'; '.join(point.events)}", style="not bold")
    return line


def plot_lines(points: "Sequence[OffsetPoint]", columns: int, rows: int) -> list[str]:
    """First and last offset of every night against the date.

    Below them the air's temperature in blocks, and a mark where something happened before.
    """
    if not points:
        return []
    canvas = Canvas(columns, rows)
    top = max(_LEAST_TOP, *(max(each.first, each.last) for each in points))
    plot = _Plot(canvas, top, points[0].at_utc.timestamp(), points[-1].at_utc.timestamp(), rows - 3)
    for before, after in pairwise(points):
        plot.join(before, after)
    for each in points:
        plot.night(each)
    canvas.word(0, 0, f"{top:.2f}")
    canvas.word(0, rows - 4, "0")
    canvas.word(0, rows - 3, "°C")
    canvas.word(_SCALE_WIDTH, rows - 1, f"{points[0].at_utc:%b %Y}")
    canvas.word(columns - 8, rows - 1, f"{points[-1].at_utc:%b %Y}")
    temperatures = [each.air_temperature_c for each in points if each.air_temperature_c is not None]
    for each in points:
        plot.mark(each)
        plot.temperature(each, min(temperatures, default=0.0), max(temperatures, default=0.0))
    return canvas.lines()


class _Plot:
    """Puts nights on a canvas: x by date, y by offset, 0 at the bottom row but one."""

    def __init__(self, canvas: Canvas, top: float, begin_s: float, end_s: float, rows: int) -> None:
        self._canvas = canvas
        self._top = top
        self._begin_s = begin_s
        self._span_s = max(86400.0, end_s - begin_s)
        self._rows = rows

    def _at(self, point: "OffsetPoint", offset: float) -> tuple[float, float]:
        share = (point.at_utc.timestamp() - self._begin_s) / self._span_s
        left = 2.0 * _SCALE_WIDTH
        x = left + share * (self._canvas.width - left - 3.0)
        return x, (4.0 * self._rows - 2.0) * (1.0 - offset / self._top)

    def join(self, before: "OffsetPoint", after: "OffsetPoint") -> None:
        """What became of a setting: from a night's last look to the next one's first."""
        ends = (*self._at(before, before.last), *self._at(after, after.first))
        self._canvas.line(*ends, every=3)

    def night(self, point: "OffsetPoint") -> None:
        x, first = self._at(point, point.first)
        _, last = self._at(point, point.last)
        self._canvas.line(x, first, x, last)
        self._canvas.word(int(x // 2), int(first // 4), "○")
        self._canvas.word(int(x // 2), int(last // 4), "●")

    def mark(self, point: "OffsetPoint") -> None:
        """A mark under a night before which something happened."""
        if point.events:
            x, _ = self._at(point, 0.0)
            self._canvas.word(int(x // 2), self._rows + 1, "▲")

    def temperature(self, point: "OffsetPoint", low_c: float, high_c: float) -> None:
        """A block under each night, the higher the warmer."""
        if point.air_temperature_c is None:
            return
        x, _ = self._at(point, 0.0)
        share = (point.air_temperature_c - low_c) / max(1.0, high_c - low_c)
        self._canvas.word(int(x // 2), self._rows, _BLOCKS[round(share * (len(_BLOCKS) - 1))])
