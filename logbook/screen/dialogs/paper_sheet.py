"""A page of looking back, read on the screen, with the pages it leads to."""

import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widget import Widget
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from logbook.errors import LogbookError
from logbook.report.pages.night import NightWhole
from logbook.report.pages.year import YearPage
from logbook.report.registry import load_page, render_page
from logbook.report.render.document import Facts, Section
from logbook.report.render.keys import PageKey
from logbook.report.render.text import section_lines
from logbook.report.write_page import write_page
from logbook.screen.dialogs import paper_steps
from logbook.screen.dialogs.learned_sheet import LearnedSheet
from logbook.screen.dialogs.live_sheet import LiveSheet, set_words, text_columns
from logbook.screen.dialogs.paper_lines import Laid, laid_out
from logbook.screen.dialogs.sheets import Sheet
from logbook.screen.dialogs.write_form import WriteForm, WriteWish
from logbook.screen.services.messages import NightEntriesWanted
from logbook.screen.services.services import Desk
from logbook.screen.widgets.rows_view import RowsView

if TYPE_CHECKING:
    from logbook.report.registry import PageData
    from logbook.report.render.document import Paper
    from logbook.screen.dialogs.paper_steps import Steps
    from logbook.store.book import Book

_HELP_COLUMNS = 92
_NARROW = 60  # columns
_TALL = 34  # rows of the screen
_NUMBERED = 9  # links that a number opens
_KEYS = (
    ("↑ ↓ PgUp PgDn", "scroll; Home and End go to either end"),
    ("Tab", "to the pages this one leads to, and back to the text; Enter opens one"),
    ("1 – 9", "open one of the first nine of them"),
    ("Escape", "back to the page before; from the first one, close"),
    ("q", "close"),
    ("← →", "the night or year before, the next; of trends: all, three years, each year"),
    ("g", "of a night: set it beside the last good one"),
    ("l", "of a night: what its readings taught"),
    ("e", "of a night: its entries, to correct, move, withdraw, and to add one"),
    ("w", "write the page to a file: text, Markdown, JSON, HTML"),
)


@dataclass(frozen=True, slots=True)
class Place:
    """A page on the trail. `row` is the topmost one, from when it was left."""

    key: PageKey
    entry_id: int | None = None
    row: int = 0
    before: "Place | None" = None


@dataclass(frozen=True, slots=True)
class Read:
    """A page as it was read. `refused` says why another one, asked for since, is not shown."""

    place: Place
    data: "PageData"
    paper: "Paper"
    steps: "Steps"
    columns: int
    laid: "Laid"
    refused: str = ""


class PaperSheet(LiveSheet[Read]):
    """Any page of looking back. Links lead on, Escape leads back along them.

    at_entry_id -- an entry of a night's timeline to scroll to and to mark.
    """

    DEFAULT_CSS = """
    PaperSheet #paper-rows { height: 1fr; background: $surface; }
    PaperSheet #paper-links { height: auto; max-height: 5; padding: 0; background: $surface;
        border: none; border-top: solid $primary; }
    PaperSheet #paper-links:focus { border: none; border-top: heavy $primary; }
    PaperSheet.-tall #paper-links { max-height: 9; }
    PaperSheet.-low #paper-links, PaperSheet.-alone #paper-links { display: none; }
    PaperSheet.-low.-links #paper-links { display: block; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back", "Back", tooltip="Back to the page before"),
        Binding("q", "close", "Close", tooltip="Close"),
        Binding("tab,shift+tab", "to_links", "Links", tooltip="To the pages this one leads to"),
        Binding("left", "step(0)", "Before", tooltip="The night or year before"),
        Binding("right", "step(1)", "Next", tooltip="The next night or year"),
        Binding("g", "last_good", "Last good", tooltip="Beside the last good night"),
        Binding("l", "learned", "Learned", tooltip="What the night's readings taught"),
        Binding("e", "entries", "Entries", tooltip="Correct, add to, withdraw the night's entries"),
        Binding("w", "write", "Write", tooltip="Write the page to a file"),
        Binding("f1", "explain", "Help", tooltip="What the keys do"),
        *(Binding(str(n + 1), f"follow({n})", "Open", show=False) for n in range(_NUMBERED)),
    ]

    def __init__(self, desk: Desk, key: PageKey, *, at_entry_id: int | None = None) -> None:
        super().__init__(desk, key.words)
        self.wanted = Place(key, at_entry_id)
        self._drawn: Place | None = None
        self._is_stale = False
        self.folder = ""  # where a page was written last

    # --- reading: in a worker thread ---

    def work_out(self) -> Read:
        book, wanted, shown = self.desk.book, self.wanted, self.found
        if book is None:
            raise LogbookError("The book is not open yet.")
        if shown is not None and shown.place == wanted and not self._is_stale:
            return _laid_out(self, shown)
        try:
            return _laid_out(self, _read(book, wanted))
        except LogbookError as error:
            if shown is None:
                raise
            return replace(shown, refused=str(error))

    def book_changed(self) -> None:
        self._is_stale = True
        self.work_again()

    # --- drawing ---

    def body(self) -> Widget:
        self._shown = PaperBody(id="live-body")
        return self._shown

    def on_mount(self) -> None:
        """Reading is started by the sheet itself."""
        self._shown.rows.focus()

    def on_resize(self) -> None:
        """Lay the page out anew where it has another width."""
        self.set_class(self.app.size.height >= _TALL, "-tall")
        if self.found is not None and self.found.columns != text_columns(self):
            self.work_again()

    def draw(self) -> None:
        if self.found is not None:
            self.heading = _heading(self.found)
        super().draw()

    def draw_body(self, found: Read) -> None:
        self._is_stale = False
        _say_keys(self, found)
        if found.refused:
            self.wanted = found.place
            self.say(found.refused)
            return
        rows, has_moved = self._shown.rows, found.place is not self._drawn
        rows.show(found.laid.rows)
        if not has_moved:
            return
        self._drawn = found.place
        set_words(self, "#live-about", Text(""))
        self._shown.fill_links(found.paper.links, text_columns(self))
        self.set_class(not found.paper.links, "-alone")
        self.remove_class("-links")
        rows.focus()
        marked = found.laid.marked
        if marked is not None and not found.place.row:
            rows.bring(marked, to_middle=True)
        else:
            rows.bring(found.place.row)

    # --- going on ---

    def action_follow(self, place: int) -> None:
        if self.found is not None and place < len(self.found.paper.links):
            _lead_to(self, self.found.paper.links[place])

    def action_to_links(self) -> None:
        """From the text to the links, or back."""
        if self._shown.links.has_focus or not self._shown.links.option_count:
            self.remove_class("-links")
            self._shown.rows.focus()
            return
        self.add_class("-links")
        if self._shown.links.highlighted is None:
            self._shown.links.highlighted = 0
        self._shown.links.focus()

    def action_step(self, which: int) -> None:
        if self.found is not None:
            key = self.found.steps[which]
            if key is None:
                self.say("There is none before it." if which == 0 else "There is none after it.")
                return
            _go(self, Place(key, before=self.found.place.before))

    def action_last_good(self) -> None:
        if self.found is not None and self.found.place.key.kind == "night":
            night = self.found.paper.key
            _lead_to(self, PageKey("compare", night.name, night.id))

    def action_learned(self) -> None:
        night = None if self.found is None else self.found.paper.key
        if night is not None and night.kind == "night" and night.id is not None:
            self.app.push_screen(LearnedSheet(self.desk, night.id))

    def action_entries(self) -> None:
        found = self.found
        if found is not None and found.paper.key.kind == "night":
            night = found.paper.key
            if night.id is not None:
                self.post_message(NightEntriesWanted(night.id, found.place.entry_id))

    def action_back(self) -> None:
        """To the page before, as it was left."""
        before = None if self.found is None else self.found.place.before
        if before is None:
            self.dismiss(None)
        else:
            _go(self, before)

    def action_explain(self) -> None:
        rows = section_lines(Section("", (Facts(_KEYS),)), min(_HELP_COLUMNS, text_columns(self)))
        self.app.push_screen(Sheet("Reading a page", rows))

    # --- writing it to a file ---

    def action_write(self) -> None:
        if self.found is not None:
            key = self.found.place.key
            words = "-".join([key.kind, *key.name.split()]).replace("/", "-")
            proposed = os.path.join(self.folder, f"{words}.html")
            self.app.push_screen(WriteForm(proposed), partial(_write, self, self.found.data))


class PaperBody(Vertical):
    """The text, and the links below it."""

    def compose(self) -> ComposeResult:
        yield RowsView(id="paper-rows")
        yield OptionList(id="paper-links", markup=False)

    @property
    def rows(self) -> RowsView:
        return self.query_one(RowsView)

    @property
    def top_row(self) -> int:
        """The topmost row in view."""
        return round(self.rows.scroll_offset.y)

    @property
    def links(self) -> OptionList:
        return self.query_one("#paper-links", OptionList)

    def fill_links(self, links: Sequence[PageKey], columns: int) -> None:
        """List the pages that the one shown leads to; the first have a number."""
        self.links.clear_options()
        for place, each in enumerate(links, start=1):
            number = str(place) if place <= _NUMBERED else ""
            line = Text(f"{number:>2} ", style="bold").append(each.words, style="not bold")
            line.truncate(columns, overflow="ellipsis")
            self.links.add_option(Option(line))
        self.links.border_title = Text("Read on: Tab, or the number")

    @on(OptionList.OptionSelected, "#paper-links")
    def _link_taken(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if isinstance(self.screen, PaperSheet):
            self.screen.action_follow(event.option_index)


def _say_keys(sheet: PaperSheet, found: Read) -> None:
    kind, roomy = found.place.key.kind, text_columns(sheet) > _NARROW
    spans = {"night": "nights", "year": "years", "trends": "spans"}
    words = [f"← → {spans[kind]}"] if kind in spans else []
    words += ["e entries"] if kind == "night" else []
    words += ["g last good"] if kind == "night" and roomy else []
    words += ["Tab on"] if found.paper.links else []
    words += ["w write"] if roomy else []
    words += ["F1 keys", "Escape back"]
    set_words(sheet, "#live-keys", Text("  ".join(words), style="italic"))


def _go(sheet: PaperSheet, place: Place) -> None:
    sheet.wanted = place
    set_words(sheet, "#live-keys", Text("Being read ...", style="italic"))
    sheet.work_again()


def _laid_out(sheet: PaperSheet, read: Read) -> Read:
    columns = text_columns(sheet)
    laid = laid_out(read.data, read.paper, columns, read.place.entry_id)
    return replace(read, columns=columns, laid=laid, refused="")


def _lead_to(sheet: PaperSheet, key: PageKey) -> None:
    """Read another page; Escape comes back to this one."""
    if sheet.found is not None:
        here = replace(sheet.found.place, row=sheet.query_one(PaperBody).top_row)
        _go(sheet, Place(key, before=here))


def _write(sheet: PaperSheet, data: "PageData", wish: WriteWish | None) -> None:
    """Write the page to a file, in a worker thread."""
    book = sheet.desk.book
    if wish is None or book is None:
        return
    sheet.folder = os.path.dirname(wish.typed)
    folder = book.path.parent

    def write() -> None:
        try:
            write_page(data, wish.target, folder)
            sheet.call_later(sheet.say, f"Written: {wish.target}")
        except LogbookError as error:
            sheet.call_later(sheet.say, str(error))

    sheet.run_worker(write, thread=True, exit_on_error=False, group="write")


def _heading(read: Read) -> str:
    """The page's title; of trends the span too, for two may hold the same nights."""
    if read.place.key.kind != "trends":
        return read.paper.title
    span = {"": "the last three years", "all": "all years"}
    return f"{read.paper.title}: {span.get(read.place.key.name, read.place.key.name)}"


def _read(book: "Book", place: Place) -> Read:
    data = load_page(book, place.key)
    paper = render_page(data)
    return Read(place, data, paper, _steps(book, data, place.key), 0, Laid(()))


def _steps(book: "Book", data: "PageData", key: PageKey) -> "Steps":
    if isinstance(data, NightWhole):
        return paper_steps.night_steps(book, data.page.night)
    if isinstance(data, YearPage):
        return paper_steps.year_steps(book, data.year)
    if key.kind == "trends":
        return paper_steps.trend_steps(book, key.name)
    return paper_steps.NO_STEPS
