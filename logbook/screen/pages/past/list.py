"""The list of nights: every night of the book is a row; what was done is read for those in view."""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.events import Click
from textual.message import Message

from logbook.entryline.format import counted, total_words
from logbook.records.entries import NightSummary
from logbook.screen.widgets.rows_view import RowsView

_AHEAD = 20  # rows read beyond either edge of the view
_WIDE = 100  # columns


@dataclass(frozen=True, slots=True)
class NightName:
    """Which night a row is."""

    id: int
    local_date: date


class NightsList(RowsView):
    """Nights, newest first, one of them chosen. Rows not read yet show their date alone."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "Up", show=False),
        Binding("down", "move(1)", "Down", show=False),
        Binding("pageup", "turn(-1)", "Page up", show=False),
        Binding("pagedown", "turn(1)", "Page down", show=False),
        Binding("home", "to_end(0)", "Newest", show=False),
        Binding("end", "to_end(-1)", "Oldest", show=False),
        Binding("enter", "take", "Read", show=False),
    ]

    class Taken(Message):
        """Enter was pressed on a night."""

    class Moved(Message):
        """Another night was chosen."""

    class Unread(Message):
        """Nights came into view of which only the date is known."""

        def __init__(self, night_ids: tuple[int, ...]) -> None:
            super().__init__()
            self.night_ids = night_ids

    def __init__(self, *, id: str) -> None:  # noqa: A002 (Textual's own name for it)
        super().__init__(id=id)
        self.nights: Sequence[NightName] = ()
        self.marked: NightName | None = None
        self._summaries: dict[int, NightSummary] = {}
        self._cursor = 0

    # --- what it shows ---

    def name_nights(self, nights: Sequence[NightName]) -> None:
        """These are the nights, newest first; the chosen one stays chosen."""
        kept = self.chosen
        self.nights = nights
        places = (place for place, each in enumerate(nights) if each == kept)
        self._cursor = next(places, min(self._cursor, max(0, len(nights) - 1)))
        self.count_anew()
        self.call_after_refresh(self._ask)

    def take_summaries(self, summaries: Iterable[NightSummary]) -> None:
        """What was done in some nights."""
        self._summaries.update({each.night.id: each for each in summaries})
        self.refresh()

    def read_anew(self) -> None:
        """The book changed: what is in view is read again, the rest when it comes into view."""
        in_view = {each.id for each in self._in_view()}
        self._summaries = {key: each for key, each in self._summaries.items() if key in in_view}
        if in_view:
            self.post_message(self.Unread(tuple(in_view)))

    @property
    def chosen(self) -> NightName | None:
        """The night the cursor is on."""
        return self.nights[self._cursor] if self._cursor < len(self.nights) else None

    @property
    def row_count(self) -> int:
        return len(self.nights)

    def row(self, place: int) -> Text:
        night = self.nights[place]
        summary = self._summaries.get(night.id)
        if summary is None:
            line = Text(f"{night.local_date:%a %d %b %Y} …", style="bold")
        else:
            line = night_line(summary, wide=self.size.width >= _WIDE)
        if night == self.marked:
            line = Text("marked: ", style="bold").append_text(line)
        if place == self._cursor:
            line.pad_right(self.size.width - line.cell_len)
            line.stylize("reverse" if self.has_focus else "underline")
        return line

    # --- reading what is in view ---

    def _in_view(self) -> Sequence[NightName]:
        top = round(self.scroll_offset.y)
        return self.nights[max(0, top - _AHEAD) : top + self.size.height + _AHEAD]

    def _ask(self) -> None:
        unread = tuple(each.id for each in self._in_view() if each.id not in self._summaries)
        if unread:
            self.post_message(self.Unread(unread))

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        super().watch_scroll_y(old_value, new_value)
        self._ask()

    def on_resize(self) -> None:
        """Keep the cursor in view; the rows are counted by the view itself."""
        self._follow()

    def on_focus(self) -> None:
        self.refresh()

    def on_blur(self) -> None:
        self.refresh()

    # --- moving ---

    def go_to(self, place: int) -> None:
        """Put the cursor on a row, or on the one nearest to it."""
        if self.nights:
            self._cursor = min(max(0, place), len(self.nights) - 1)
            self._follow()
            self.refresh()
            self.post_message(self.Moved())

    def _follow(self) -> None:
        """Scroll so far that the cursor is in view."""
        top, height = round(self.scroll_offset.y), max(1, self.size.height)
        if self._cursor < top:
            self.scroll_to(y=self._cursor, animate=False, force=True)
        elif self._cursor >= top + height:
            self.scroll_to(y=self._cursor - height + 1, animate=False, force=True)

    def go_to_year(self, step: int) -> None:
        """To the newest night of the year before (-1) or after (1) that has any."""
        if self.chosen is None:
            return
        years = [-each.local_date.year for each in self.nights]
        first = bisect_left(years, -self.chosen.local_date.year)
        if step < 0:
            self.go_to(bisect_left(years, years[first] + 1))
        elif first:
            self.go_to(bisect_left(years, years[first - 1]))
        else:
            self.go_to(0)

    def action_move(self, step: int) -> None:
        self.go_to(self._cursor + step)

    def action_turn(self, pages: int) -> None:
        self.go_to(self._cursor + pages * max(1, self.size.height - 1))

    def action_to_end(self, place: int) -> None:
        self.go_to(place if place >= 0 else len(self.nights) - 1)

    def action_take(self) -> None:
        if self.nights:
            self.post_message(self.Taken())

    def on_click(self, event: Click) -> None:
        self.go_to(round(self.scroll_offset.y) + event.y)


def night_line(each: NightSummary, *, wide: bool) -> Text:
    """One night in a line: date, objects, frames, hours, turns."""
    line = Text(f"{each.night.local_date:%a %d %b %Y} ", style="bold")
    sums = ["in progress"] if each.night.ended_utc is None else []
    sums.append(
        ", ".join(each.objects[:2]) + (" …" if len(each.objects) > 2 else "") or "no object"
    )
    if each.frames:
        sums.append(f"{each.frames} frames, {total_words(each.exposure_s)}")
    if each.turns:
        sums.append(counted(each.turns, "turn"))
    if wide or not each.frames:
        sums.append(f"{each.entries} entries")
    line.append(" · ".join(sums), style="not bold")
    return line
