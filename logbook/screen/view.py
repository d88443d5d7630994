"""What the screen shows of a book: one reading of it, taken whole and never changed.

After every change the book is read anew and the pages draw from the new reading, so no page can
show what the book does not hold.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, TypedDict
from weakref import WeakKeyDictionary

from logbook.report.choosing import last_site, last_train
from logbook.store.records import LATEST_TURNS

if TYPE_CHECKING:
    from logbook.kit.parts import Part
    from logbook.store.book import Book
    from logbook.store.choosing_records import LimitSetRecord, RunningOrderRecord
    from logbook.store.news import News
    from logbook.store.records import (
        EntryRecord,
        NightRecord,
        NightSummary,
        PartRecord,
        Screw,
        ScrewSum,
        SiteRecord,
        TrainRecord,
    )

NIGHTS_LISTED = 200
REMINDERS = "reminders"  # the choice that says how the owner wants to be reminded


@dataclass(frozen=True, slots=True)
class BookView:
    """One reading of a book. `site`, `train` are those in use, or last chosen.

    limits_line -- the limits in use, as they may be typed; "" for the usual ones.
    running_orders -- those that count at the site in use, latest date first.
    reminders_line -- how the owner wants to be reminded; "" for the usual way.
    renamed -- former names of parts and trains with today's, the latest last.
    turns -- the latest ones on the telescope in use, oldest first.
    """

    sites: tuple[SiteRecord, ...] = ()
    parts: tuple[PartRecord, ...] = ()
    trains: tuple[TrainRecord, ...] = ()
    site: SiteRecord | None = None
    train: TrainRecord | None = None
    observer: str = ""
    night: NightRecord | None = None
    timeline: tuple[EntryRecord, ...] = ()
    telescope: PartRecord | None = None
    screws: tuple[Screw, ...] = ()
    screw_sums: tuple[ScrewSum, ...] = ()
    turns: tuple[EntryRecord, ...] = ()
    last_look: EntryRecord | None = None
    nights: tuple[NightSummary, ...] = ()
    limit_sets: tuple[LimitSetRecord, ...] = ()
    limits_line: str = ""
    running_orders: tuple[RunningOrderRecord, ...] = ()
    reminders_line: str = ""
    renamed: tuple[tuple[str, str], ...] = ()

    def running_order(self, local_date: date) -> RunningOrderRecord | None:
        """What is meant to be done in the night of that evening, at the site in use."""
        return next((each for each in self.running_orders if each.local_date == local_date), None)


_LAST_READ: WeakKeyDictionary[Book, tuple[BookView, News]] = WeakKeyDictionary()
_MOST_NEWS = 2000  # entries; after more than these it is quicker to read everything


def read_view(book: Book) -> BookView:
    """Read the book for the screen; may be called from any thread.

    The long lists, of nights and of turns, are read once; after that only what came into
    the book since the last reading, whoever wrote it.
    """
    known, before = _LAST_READ.get(book, (BookView(), None))
    news = book.news_since(before.mark) if before else book.news_since(book.newest_entry_id())
    is_known = before is not None and news.count <= _MOST_NEWS
    view = _small_things(book)
    if before is None or not is_known:
        view = replace(view, nights=tuple(book.nights.summaries(NIGHTS_LISTED)))
        view = replace(view, **_turned(book, view, up_to_id=news.mark))
    else:
        view = replace(view, nights=_nights(book, known, view, before, news))
        view = replace(view, **_turned_since(book, known, view, before, news))
    view = replace(view, observer=_observer(view))
    _LAST_READ[book] = (view, news)
    return view


def _small_things(book: Book) -> BookView:
    """All but the long lists."""
    from logbook.store.around import telescope_of

    sites = book.sites.all()
    parts = book.kit.parts()
    trains = book.kit.trains()
    night = book.nights.in_progress()
    site = _site_in_use(book, sites, night)
    train = _train_in_use(book, trains, night)
    telescope = telescope_of(train, parts)
    return BookView(
        sites=sites,
        parts=parts,
        trains=trains,
        site=site,
        train=train,
        night=night,
        timeline=book.timeline.of_night(night.id) if night else (),
        telescope=telescope,
        screws=book.kit.screws(telescope.id) if telescope else (),
        last_look=book.timeline.last_look(telescope.id) if telescope else None,
        limit_sets=book.limit_sets.all(),
        limits_line=book.choices.get("limits") or "",
        running_orders=book.running_orders.latest(site.id) if site else (),
        reminders_line=book.choices.get(REMINDERS) or "",
        renamed=book.kit.renamed(),
    )


def _nights(
    book: Book, known: BookView, view: BookView, before: News, news: News
) -> tuple[NightSummary, ...]:
    """The list of nights, with only those read again that something came into."""
    same_names = (view.sites, view.trains) == (known.sites, known.trains)
    if news.night_mark != before.night_mark or not same_names:
        return tuple(book.nights.summaries(NIGHTS_LISTED))
    again = {each.night.id: each for each in book.nights.summaries_of(news.nights)}
    return tuple(again.get(each.night.id, each) for each in known.nights)


class _Turned(TypedDict):
    turns: tuple[EntryRecord, ...]
    screw_sums: tuple[ScrewSum, ...]


def _turned(book: Book, view: BookView, *, up_to_id: int) -> _Turned:
    if view.telescope is None:
        return {"turns": (), "screw_sums": ()}
    telescope_id = view.telescope.id
    return {
        "turns": book.timeline.turns(telescope_id, up_to_id=up_to_id, newest=LATEST_TURNS),
        "screw_sums": book.timeline.screw_sums(telescope_id),
    }


def _turned_since(book: Book, known: BookView, view: BookView, before: News, news: News) -> _Turned:
    """The turns, with those that came taken in and those that were replaced left out."""
    telescope = view.telescope
    if telescope is None or known.telescope is None or telescope.id != known.telescope.id:
        return _turned(book, view, up_to_id=news.mark)
    new = book.timeline.turns(telescope.id, after_id=before.mark, up_to_id=news.mark)
    kept = tuple(each for each in known.turns if each.id not in news.replaced)
    if not new and len(kept) == len(known.turns):
        return {"turns": known.turns, "screw_sums": known.screw_sums}
    if len(kept) < len(known.turns) >= LATEST_TURNS:  # an older one, not read yet, may count now
        return _turned(book, view, up_to_id=news.mark)
    merged = sorted((*kept, *new), key=lambda each: (each.content.happened_utc, each.id))
    sums = book.timeline.screw_sums(telescope.id)
    return {"turns": tuple(merged[-LATEST_TURNS:]), "screw_sums": sums}


def _observer(view: BookView) -> str:
    """Who observes; before a night begins, who did last."""
    if view.night is not None:
        return view.night.observer
    return view.nights[0].night.observer if view.nights else ""


def is_mirror_telescope(part: Part) -> bool:
    """Whether a telescope has screws to turn; an unknown number of mirrors counts as yes."""
    mirrors = part.number("mirror_count")
    return mirrors is None or mirrors >= 2


def _site_in_use(
    book: Book, sites: tuple[SiteRecord, ...], night: NightRecord | None
) -> SiteRecord | None:
    if night is None:
        return last_site(book, sites)
    return next((each for each in sites if each.id == night.site_id), None)


def _train_in_use(
    book: Book, trains: tuple[TrainRecord, ...], night: NightRecord | None
) -> TrainRecord | None:
    if night is None:
        return last_train(book, trains)
    return book.timeline.train_in_use(night.id) or night.train
