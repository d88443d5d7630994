"""Past: the nights that were, and the way to every page that looks back."""

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import Static

from logbook.entryline.format import counted
from logbook.errors import LogbookError
from logbook.records.entries import NightSummary
from logbook.report.render.keys import PageKey
from logbook.screen.dialogs.paper_sheet import PaperSheet
from logbook.screen.dialogs.pick import Pick
from logbook.screen.pages.past.entries import NightEntries
from logbook.screen.pages.past.list import NightName, NightsList
from logbook.screen.pages.past.picks import picks_of
from logbook.screen.pages.past.search import SearchSheet
from logbook.screen.services.book_snapshot import NIGHTS_LISTED
from logbook.screen.widgets.page import Page

if TYPE_CHECKING:
    from logbook.screen.pages.past.picks import Picks

_FIRST_OF_ALL = "No nights yet: F10 starts the first one."
_KEY_WORDS = (
    "Enter reads   e entries   c compare   g last good one   l learned   / find",
    "t trends   y year   o object   p part   r train   ← → a year back, a year on",
)


class PastPage(Page):
    """All nights of the book, newest first, and keys for whatever looks back over them."""

    TITLE = "Past"
    DEFAULT_CSS = """
    PastPage #past-head { height: 1; text-style: bold; }
    PastPage #past-list { height: 1fr; background: $background; }
    PastPage #past-keys { height: auto; text-style: italic; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("e", "entries", "Entries", tooltip="Correct, add to, withdraw the night's entries"),
        Binding("c", "compare", "Compare", tooltip="Compare two nights: mark one, then the other"),
        Binding("g", "last_good", "Last good", tooltip="Compare with the last good night"),
        Binding("t", "trends", "Trends", tooltip="Trends over the nights"),
        Binding("y", "year", "Year", tooltip="The year of the chosen night"),
        Binding("o", "pick('object')", "Object", tooltip="One object over all nights"),
        Binding("p", "pick('part')", "Part", tooltip="One part over all nights"),
        Binding("r", "pick('train')", "Train", tooltip="One train over all nights"),
        Binding("l", "learned", "Learned", tooltip="What the night's readings taught"),
        Binding("slash", "find", "Find", tooltip="Find words in all nights"),
        Binding("left", "go_year(-1)", "Year back", tooltip="To the nights of a year before"),
        Binding("right", "go_year(1)", "Year on", tooltip="To the nights of a year after"),
        Binding("escape", "unmark", "Unmark", tooltip="Mark no night any more"),
    ]
    OWN_KEYS = (
        ("Enter", "read the chosen night whole; F1 there tells the keys of reading"),
        ("e", "entries of the chosen night: correct, move, withdraw them, add one"),
        ("c", "mark the chosen night; on another night, set both side by side"),
        ("g", "the chosen night beside the last good one before it"),
        ("l", "what the readings of the chosen night taught"),
        ("/", "find words in all nights"),
        ("t", "trends: the last three years; ← → other spans"),
        ("y", "the year of the chosen night"),
        ("o p r", "an object, a part, a train over all nights"),
        ("← →", "to the nights of a year before, after"),
        ("Home End", "the newest night, the first of all"),
        ("Escape", "mark no night any more"),
    )

    class Named(Message):
        """All nights of the book, newest first."""

        def __init__(self, nights: tuple[NightName, ...]) -> None:
            super().__init__()
            self.nights = nights

    class Summed(Message):
        """What was done in some nights."""

        def __init__(self, summaries: list[NightSummary]) -> None:
            super().__init__()
            self.summaries = summaries

    class Found(Message):
        """Pages to choose from."""

        def __init__(self, picks: "Picks") -> None:
            super().__init__()
            self.picks = picks

    class NotRead(Message):
        """The book could not be read."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    def compose(self) -> ComposeResult:
        yield Static(id="past-head", markup=False)
        yield NightsList(id="past-list")
        yield Static(Text("\n".join(_KEY_WORDS)), id="past-keys", markup=False)

    @property
    def _list(self) -> NightsList:
        return self.query_one(NightsList)

    def take_focus(self) -> None:
        self._list.focus()

    def _say(self, words: str) -> None:
        self.query_one("#past-head", Static).update(Text(words))

    # --- the list ---

    def redraw(self) -> None:
        nights = self.desk.view.nights
        newest = tuple(NightName(each.night.id, each.night.local_date) for each in nights)
        self._list.take_summaries(nights)
        if len(nights) < NIGHTS_LISTED:
            self._take_names(newest)
            return
        if not self._list.nights:
            self._list.name_nights(newest)
        self.name_all()

    @work(thread=True, exclusive=True, exit_on_error=False, group="past-names")
    def name_all(self) -> None:
        """Name every night: twenty years of them are some 20 ms."""
        book = self.desk.book
        if book is None:
            return
        try:
            places = reversed(book.past.places())
            nights = tuple(NightName(each.id, each.local_date) for each in places)
            self.post_message(self.Named(nights))
        except LogbookError as error:
            self.post_message(self.NotRead(str(error)))

    @on(Named)
    def _named(self, event: Named) -> None:
        self._take_names(event.nights)
        self._list.read_anew()

    def _take_names(self, nights: tuple[NightName, ...]) -> None:
        self._list.name_nights(nights)
        self._say_head()

    @on(NightsList.Moved)
    def _say_head(self) -> None:
        marked, count = self._list.marked, len(self._list.nights)
        words = f"{counted(count, 'night')}, newest first. Enter reads one."
        if not count:
            words = _FIRST_OF_ALL
        if marked is not None:
            words = f"{marked.local_date} is marked: c on another night compares. Escape unmarks."
        self._say(words)

    @on(NightsList.Unread)
    def _unread(self, event: NightsList.Unread) -> None:
        self.sum_up(event.night_ids)

    @work(thread=True, exclusive=True, exit_on_error=False, group="past-sums")
    def sum_up(self, night_ids: tuple[int, ...]) -> None:
        """Read what was done in the nights that came into view."""
        book = self.desk.book
        if book is None:
            return
        try:
            self.post_message(self.Summed(book.nights.summaries_of(night_ids)))
        except LogbookError as error:
            self.post_message(self.NotRead(str(error)))

    @on(Summed)
    def _summed(self, event: Summed) -> None:
        self._list.take_summaries(event.summaries)

    @on(NotRead)
    def _not_read(self, event: NotRead) -> None:
        self._say(event.words)

    def action_go_year(self, step: int) -> None:
        self._list.go_to_year(step)

    # --- pages of one night, and of two ---

    def _read(self, key: PageKey) -> None:
        self.app.push_screen(PaperSheet(self.desk, key))

    def _chosen(self) -> NightName | None:
        """The chosen night; without any it is said what to do first."""
        if self._list.chosen is None:
            self._say(_FIRST_OF_ALL)
        return self._list.chosen

    @on(NightsList.Taken)
    def _taken(self) -> None:
        night = self._chosen()
        if night is not None:
            self._read(PageKey("night", night.local_date.isoformat(), night.id))

    def action_compare(self) -> None:
        """Mark the first night; on the second, set them side by side, the later one asked about."""
        here, marked = self._chosen(), self._list.marked
        if here is None:
            return
        if len(self._list.nights) < 2:
            self._say("Comparing needs two nights; the book has one.")
        elif marked is None or marked == here:
            self._mark(here)
        elif marked.local_date == here.local_date:
            self._say("Both are nights of one date: choose a night of another date.")
        else:
            then, now = sorted((marked.local_date, here.local_date))
            self._mark(None)
            self._read(PageKey("compare", f"{then} {now}"))

    def _mark(self, night: NightName | None) -> None:
        self._list.marked = night
        self._list.refresh()
        self._say_head()

    def action_unmark(self) -> None:
        self._mark(None)

    def action_last_good(self) -> None:
        night = self._chosen()
        if night is not None:
            self._read(PageKey("compare", night.local_date.isoformat(), night.id))

    def action_learned(self) -> None:
        from logbook.screen.dialogs.learned_sheet import LearnedSheet

        night = self._chosen()
        if night is not None:
            self.app.push_screen(LearnedSheet(self.desk, night.id))

    def action_entries(self) -> None:
        night = self._chosen()
        if night is not None:
            self.app.push_screen(NightEntries(self.desk, night.id))

    # --- pages over many nights ---

    def action_trends(self) -> None:
        if self._chosen() is not None:
            self._read(PageKey("trends", ""))

    def action_year(self) -> None:
        night = self._chosen()
        if night is not None:
            self._read(PageKey("year", str(night.local_date.year)))

    def action_find(self) -> None:
        self.app.push_screen(SearchSheet(self.desk))

    def action_pick(self, kind: str) -> None:
        self.pick_one(kind)

    @work(thread=True, exclusive=True, exit_on_error=False, group="past-picks")
    def pick_one(self, kind: str) -> None:
        """Read what there is of a kind, then let one be chosen."""
        book = self.desk.book
        if book is None:
            return
        try:
            self.post_message(self.Found(picks_of(book, kind)))
        except LogbookError as error:
            self.post_message(self.NotRead(str(error)))

    @on(Found)
    def _found(self, event: Found) -> None:
        picks = event.picks
        if not picks.pages:
            self._say(picks.words)
            return

        def picked(place: str | None) -> None:
            if place is not None:
                self._read(picks.pages[int(place)][0])

        self.app.push_screen(Pick(picks.heading, picks.choices), picked)
