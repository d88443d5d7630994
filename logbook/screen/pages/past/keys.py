"""The keys of the Past page, and the pages and sheets that they open."""

from functools import partial

from logbook.errors import LogbookError
from logbook.report.render.keys import PageKey as Paper
from logbook.screen.dialogs.learned_sheet import LearnedSheet
from logbook.screen.dialogs.paper_sheet import PaperSheet
from logbook.screen.dialogs.pick import Pick
from logbook.screen.pages.past.entries import NightEntries
from logbook.screen.pages.past.nights import Nights
from logbook.screen.pages.past.picks import Picks, picks_of
from logbook.screen.pages.past.search import SearchSheet
from logbook.screen.widgets.page import run_beside
from logbook.screen.widgets.page_keys import KeyRow, KeyTable, PageKey, footer_words


def _read(it: Nights, paper: Paper) -> None:
    it.page.app.push_screen(PaperSheet(it.desk, paper))


# --- pages of one night, and of two ---


def read_night(it: Nights) -> None:
    night = it.chosen_or_say()
    if night is not None:
        _read(it, Paper("night", night.local_date.isoformat(), night.id))


def compare(it: Nights) -> None:
    """Mark the first night; on the second, set them side by side, the later one asked about."""
    here, marked = it.chosen_or_say(), it.rows.marked
    if here is None:
        return
    if len(it.rows.nights) < 2:
        it.say("Comparing needs two nights; the book has one.")
    elif marked is None or marked == here:
        it.mark(here)
    elif marked.local_date == here.local_date:
        it.say("Both are nights of one date: choose a night of another date.")
    else:
        then, now = sorted((marked.local_date, here.local_date))
        it.mark(None)
        _read(it, Paper("compare", f"{then} {now}"))


def compare_with_last_good(it: Nights) -> None:
    night = it.chosen_or_say()
    if night is not None:
        _read(it, Paper("compare", night.local_date.isoformat(), night.id))


def learned(it: Nights) -> None:
    night = it.chosen_or_say()
    if night is not None:
        it.page.app.push_screen(LearnedSheet(it.desk, night.id))


def entries(it: Nights) -> None:
    night = it.chosen_or_say()
    if night is not None:
        it.page.app.push_screen(NightEntries(it.desk, night.id))


# --- pages over many nights ---


def trends(it: Nights) -> None:
    if it.chosen_or_say() is not None:
        _read(it, Paper("trends", ""))


def year(it: Nights) -> None:
    night = it.chosen_or_say()
    if night is not None:
        _read(it, Paper("year", str(night.local_date.year)))


def find(it: Nights) -> None:
    it.page.app.push_screen(SearchSheet(it.desk))


def pick(it: Nights, kind: str) -> None:
    """Read what there is of a kind, then let one be chosen."""
    run_beside(it.page, partial(_read_picks, it, kind), "past-picks")


def _read_picks(it: Nights, kind: str) -> None:
    book = it.desk.book
    if book is None:
        return
    try:
        it.page.call_later(_found, it, picks_of(book, kind))
    except LogbookError as error:
        it.page.call_later(it.say, str(error))


def _found(it: Nights, picks: Picks) -> None:
    if not picks.pages:
        it.say(picks.words)
        return

    def picked(place: str | None) -> None:
        if place is not None:
            _read(it, picks.pages[int(place)][0])

    it.page.app.push_screen(Pick(picks.heading, picks.choices), picked)


PAST_KEYS: KeyTable = (
    KeyRow(
        "Enter",
        "read the chosen night whole; F1 there tells the keys of reading",
        footer="Enter reads",
    ),
    KeyRow(
        "e",
        "entries of the chosen night: correct, move, withdraw them, add one",
        PageKey("e", "Correct, add to, withdraw the night's entries", entries, "e entries"),
    ),
    KeyRow(
        "c",
        "mark the chosen night; on another night, set both side by side",
        PageKey("c", "Compare two nights: mark one, then the other", compare, "c compare"),
    ),
    KeyRow(
        "g",
        "the chosen night beside the last good one before it",
        PageKey("g", "Compare with the last good night", compare_with_last_good, "g last good one"),
    ),
    KeyRow(
        "l",
        "what the readings of the chosen night taught",
        PageKey("l", "What the night's readings taught", learned, "l learned"),
    ),
    KeyRow(
        "/",
        "find words in all nights",
        PageKey("slash", "Find words in all nights", find, "/ find"),
    ),
    KeyRow(
        "t",
        "trends: the last three years; ← → other spans",
        PageKey("t", "Trends over the nights", trends, "t trends"),
    ),
    KeyRow(
        "y",
        "the year of the chosen night",
        PageKey("y", "The year of the chosen night", year, "y year"),
    ),
    KeyRow(
        "o p r",
        "an object, a part, a train over all nights",
        PageKey("o", "One object over all nights", partial(pick, kind="object"), "o object"),
        PageKey("p", "One part over all nights", partial(pick, kind="part"), "p part"),
        PageKey("r", "One train over all nights", partial(pick, kind="train"), "r train"),
    ),
    KeyRow(
        "← →",
        "to the nights of a year before, after",
        PageKey("left", "To the nights of a year before", lambda it: it.rows.go_to_year(-1)),
        PageKey("right", "To the nights of a year after", lambda it: it.rows.go_to_year(1)),
        footer="← → a year back, a year on",
    ),
    KeyRow("Home End", "the newest night, the first of all"),
    KeyRow(
        "Escape",
        "mark no night any more",
        PageKey("escape", "Mark no night any more", lambda it: it.mark(None)),
    ),
)

KEY_WORDS = "\n".join(
    footer_words(PAST_KEYS, line, "   ")
    for line in (("Enter", "e", "c", "g", "l", "slash"), ("t", "y", "o", "p", "r", "← →"))
)
