"""Searching every word ever logged, found while one types."""

from dataclasses import dataclass, replace
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Input, Static
from textual.worker import get_current_worker

from logbook.errors import LogbookError
from logbook.records.search import Found, Loosened, Wanted
from logbook.report.words.search_marks import Marks
from logbook.screen.dialogs.live_sheet import LiveSheet, set_words
from logbook.screen.dialogs.sheets import Sheet
from logbook.screen.pages.past import search_words
from logbook.screen.pages.past.search_filters import NarrowSheet
from logbook.screen.pages.past.search_list import HitList
from logbook.screen.pages.past.search_open import open_hit
from logbook.screen.services.services import Desk
from logbook.screen.widgets.line_input import LineInput

_LONGEST = 200
_KEYS = "Enter opens   Tab narrows   ctrl+r order   Escape closes"
_KEYS_WIDE = f"↑ ↓ choose   {_KEYS}"
_ROOM_FOR_ALL = 70  # columns
_HELP = (
    ("any letter", "searches at once; more words narrow, each may be the beginning of one"),
    ('"between quotes"', "these words must follow each other"),
    ("one letter", "is a whole word, such as a screw's name"),
    ("↑ ↓ PgUp PgDn", "choose a line; ↑ from the first goes to the last"),
    ("Enter", "opens the night at that line, or the page of a part, train or object"),
    ("Tab", "narrows by kind, object, part, train or dates, with how many lines each leaves"),
    ("shift+tab", "takes off the filter that was set last"),
    ("ctrl+r", "newest first, or best first: words in a row, whole words, beginnings"),
    ("Escape", "closes; from a page that was opened, back to the search"),
    ("[corrected]", "only an earlier writing of the line holds the words"),
    ("[withdrawn]", "the line was taken out later"),
    ("elsewhere", "not in a night: notes of parts and trains, sites, plans, projects"),
)
_HELP_KEY_COLUMNS = 18
_OFF = "  (shift+tab takes the last off)"


@dataclass(frozen=True, slots=True)
class Answer:
    """What a search found; `is_empty` of a book in which nothing was ever logged."""

    wanted: Wanted
    found: Found
    is_empty: bool = False


class SearchSheet(LiveSheet[Answer], inherit_bindings=False):
    """One typed line; each key searches anew and lets go of the search before it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "close", "Close", tooltip="Back to the page"),
        Binding("down", "move('cursor_down')", "Next", tooltip="The next line", priority=True),
        Binding("up", "move('cursor_up')", "Before", tooltip="The line before", priority=True),
        Binding("pagedown", "move('page_down')", "On", tooltip="A page on", priority=True),
        Binding("pageup", "move('page_up')", "Back", tooltip="A page back", priority=True),
        Binding("tab", "narrow", "Narrow", tooltip="Narrow by kind, object, dates", priority=True),
        Binding("shift+tab", "widen", "Widen", tooltip="Take the last filter off", priority=True),
        Binding("f1", "explain", "Help", tooltip="What the keys do"),
        Binding("ctrl+r", "order", "Order", tooltip="Newest first, or best first", priority=True),
    ]
    DEFAULT_CSS = """
    SearchSheet #find-row { height: 1; }
    SearchSheet #find-mark { width: 8; text-style: bold; }
    SearchSheet #find-line { width: 1fr; height: 1; border: none; padding: 0; background: $boost; }
    SearchSheet #find-line:focus { border: none; }
    SearchSheet #find-only { height: auto; max-height: 3; display: none; }
    SearchSheet #find-list { height: 1fr; border: none; padding: 0; background: $surface; }
    SearchSheet #live-about { max-height: 5; }
    SearchSheet.-low #live-about { max-height: 2; }
    """

    class CanBeLoosened(Message):
        """What to change in a search that finds nothing."""

        def __init__(self, wanted: Wanted, loosened: tuple[Loosened, ...]) -> None:
            super().__init__()
            self.wanted = wanted
            self.loosened = loosened

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, "Search every word ever logged")
        self.wanted = Wanted()
        self.best_first = False
        self.narrowed_by: list[str] = []  # filters in the order in which they were set
        self._list = HitList()

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            with Horizontal(id="find-row"):
                yield Static(Text("Search"), id="find-mark", markup=False)
                line = LineInput(id="find-line", max_length=_LONGEST)
                line.cursor_blink = False
                yield line
            yield Static(id="find-only", markup=False)
            yield Static(id="live-top", markup=False)
            yield self._list
            yield Static(id="live-about", markup=False)
            yield Static(id="live-keys", markup=False)

    def on_mount(self) -> None:
        self.query_one(Input).focus()
        super().on_mount()

    # --- searching, in a worker thread that the next key lets go of ---

    @on(Input.Changed, "#find-line")
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        typed = search_words.finished(event.value)
        if typed != self.wanted.words:
            self.search(replace(self.wanted, words=typed))

    def search(self, wanted: Wanted) -> None:
        """Search for something else, from the top."""
        self.wanted = wanted
        self._list.highlighted = None
        self.work_again()

    def work_out(self) -> Answer:
        wanted, book = self.wanted, self.desk.book
        if book is None:
            raise LogbookError("The book is not open yet.")
        if get_current_worker().is_cancelled:
            raise LogbookError("something else is searched for")
        if not wanted.words.strip() and not wanted.is_narrowed:
            return Answer(wanted, Found(()), is_empty=not book.search.has_entries())
        found = book.search.find(wanted, best_first=self.best_first)
        is_empty = not found.hits and not found.elsewhere and not book.search.has_entries()
        return Answer(wanted, found, is_empty)

    # --- what was found ---

    def draw(self) -> None:
        set_words(
            self, "#live-keys", Text(_KEYS_WIDE if self._list.columns >= _ROOM_FOR_ALL else _KEYS)
        )
        answer = self.found
        if answer is None or not self.is_mounted or answer.wanted != self.wanted:
            return
        _say_filters(self)
        self._list.marks = Marks(answer.wanted.words)
        set_words(self, "#live-top", _count_words(answer, best_first=self.best_first))
        self._list.fill([*answer.found.hits, *answer.found.elsewhere])
        nothing = not self._list.lines and not answer.is_empty
        if nothing and (answer.wanted.words.strip() or answer.wanted.is_narrowed):
            loosen = partial(_loosen, self, answer.wanted)
            self.run_worker(
                loosen, thread=True, exclusive=True, exit_on_error=False, group="loosen"
            )

    @on(LiveSheet.Loaded)
    def _loaded(self, event: LiveSheet.Loaded) -> None:
        """What is wrong is shown by every live sheet; the lines found before are not of it."""
        if event.refused:
            _say_filters(self)
            self._list.fill([])

    @on(CanBeLoosened)
    def _can_be_loosened(self, event: CanBeLoosened) -> None:
        event.stop()
        if event.wanted != self.wanted or self._list.lines:
            return
        if not event.loosened:
            return
        nothing = search_words.nothing_words(event.wanted)
        set_words(self, "#live-top", Text(f"{nothing} Enter takes one of these:", style="bold"))
        self._list.fill(event.loosened)

    # --- keys ---

    def action_move(self, step: str) -> None:
        getattr(self._list, f"action_{step}")()

    @on(Input.Submitted, "#find-line")
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        chosen = self._list.chosen
        if isinstance(chosen, Loosened):
            _take(self, chosen.wanted)
        elif chosen is not None:
            open_hit(self.app, self.desk, chosen, self.wanted.words)

    def action_narrow(self) -> None:
        self.app.push_screen(NarrowSheet(self.desk, self.wanted), partial(_narrow, self))

    def action_widen(self) -> None:
        """Take off the filter that was set last."""
        in_force = [each for each in self.narrowed_by if search_words.value_of(self.wanted, each)]
        if in_force:
            self.search(search_words.without(self.wanted, in_force[-1]))
        else:
            set_words(
                self, "#live-about", Text("No filter is in force. Tab sets one.", style="bold")
            )

    def action_order(self) -> None:
        """Newest first, or best first."""
        self.best_first = not self.best_first
        self.search(self.wanted)

    def action_explain(self) -> None:
        """What the keys do."""
        lines = [Text(f"{key:{_HELP_KEY_COLUMNS}}{said}") for key, said in _HELP]
        self.app.push_screen(Sheet("Searching", lines))


def _say_filters(sheet: SearchSheet) -> None:
    said = search_words.filters_in_words(sheet.wanted)
    set_words(sheet, "#find-only", Text(said + _OFF if said else ""))


def _count_words(answer: Answer, *, best_first: bool) -> Text:
    if answer.is_empty:
        return Text(search_words.EMPTY)
    if not answer.wanted.words.strip() and not answer.wanted.is_narrowed:
        return Text(search_words.TIPS)
    if not answer.found.hits and not answer.found.elsewhere:
        return Text(search_words.nothing_words(answer.wanted), style="bold")
    return Text(search_words.found_words(answer.found, best_first=best_first), style="bold")


def _loosen(sheet: SearchSheet, wanted: Wanted) -> None:
    """Find what to change in a search that finds nothing; in a worker thread."""
    worker = get_current_worker()
    book = sheet.desk.book
    if book is None:
        return
    try:
        loosened = book.search.loosened(wanted)
    except LogbookError:  # what is wrong with the search was shown already
        return
    if not worker.is_cancelled:
        sheet.post_message(sheet.CanBeLoosened(wanted, loosened))


def _take(sheet: SearchSheet, wanted: Wanted) -> None:
    """Search for what was proposed or narrowed; the typed line follows."""
    line = sheet.query_one(Input)
    with line.prevent(Input.Changed):
        line.value = wanted.words
    line.cursor_position = len(wanted.words)
    sheet.search(wanted)


def _narrow(sheet: SearchSheet, wanted: Wanted | None) -> None:
    """Search with other filters, and note in which order they were set."""
    if wanted is None:
        return
    now = sheet.wanted
    changed = [
        each.name
        for each in search_words.FILTERS
        if search_words.value_of(wanted, each.name) != search_words.value_of(now, each.name)
    ]
    sheet.narrowed_by = [each for each in sheet.narrowed_by if each not in changed] + changed
    sheet.search(wanted)
