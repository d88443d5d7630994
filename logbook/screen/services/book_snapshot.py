"""What the screen shows of a book: one reading of it, taken whole and never changed.

After every change the book is read anew and the pages draw from the new reading, so no page can
show what the book does not hold.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from threading import Lock
from typing import TYPE_CHECKING, TypedDict
from weakref import WeakKeyDictionary

from logbook.entryline.context_of_book import telescope_of
from logbook.records.entries import LATEST_TURNS
from logbook.records.runs import summary_of
from logbook.report.defaults import last_site, last_train

if TYPE_CHECKING:
    from logbook.kit.parts.part import Part
    from logbook.records.choosing import LimitSetRecord, RunningOrderRecord
    from logbook.records.entries import (
        EntryRecord,
        NightRecord,
        NightSummary,
        PartRecord,
        Screw,
        ScrewSum,
        SiteRecord,
        TrainRecord,
    )
    from logbook.store.book import Book

NIGHTS_LISTED = 200
REMINDERS = "reminders"  # the choice of how the user wants to be reminded


@dataclass(frozen=True, slots=True)
class BookView:
    """One reading of a book. `site`, `train` are those in use, or last chosen.

    limits_line -- the limits in use, as they may be typed; "" for the usual ones.
    running_orders -- those that count at the site in use, latest date first.
    reminders_line -- how the user wants to be reminded; "" for the usual way.
    renamed -- former names of parts and trains with today's, the latest last.
    turns -- the latest ones on the telescope in use, oldest first.
    mark -- the newest unit of the book then: of two readings the one with the higher is newer.
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
    mark: int = field(default=0, compare=False)

    def running_order(self, local_date: date) -> RunningOrderRecord | None:
        """What is meant to be done in the night of that evening, at the site in use."""
        return next((each for each in self.running_orders if each.local_date == local_date), None)


_LAST_READ: WeakKeyDictionary[Book, BookView] = WeakKeyDictionary()
_NOTING = Lock()


def read_view(book: Book, written: Mapping[int, EntryRecord] | None = None) -> BookView:
    """Read the book for the screen, as it is at one instant; may be called from any thread.

    All of it is read once, after that only what was saved since, whoever saved it. Where another
    thread has read something newer meanwhile, that is what is returned.

    written -- entries just saved, which need not be read again.
    """
    with book.reading():
        view = _kept_up(book, written or {}) or _whole(book)
    with _NOTING:
        known = _LAST_READ.get(book, view)
        newest = view if view.mark >= known.mark else known
        _LAST_READ[book] = newest
    return newest


def _kept_up(book: Book, written: Mapping[int, EntryRecord]) -> BookView | None:
    """The last reading with what came since; None where all has to be read again."""
    with _NOTING:
        known = _LAST_READ.get(book, BookView())
    news = book.news_since(known.mark) if known.mark else None
    if news is None:
        return None
    view = replace(known, **_chosen(book, known)) if news.tables & _SMALL else known
    if news.tables - _SMALL - {"entry"} or _in_use(book, view) != (known.site, known.train):
        return None
    if news.entry_ids:
        kept_up = _with_entries(book, view, _came(book, news.entry_ids, written))
        return None if kept_up is None else replace(kept_up, mark=news.mark)
    return view if news.mark == known.mark else replace(view, mark=news.mark)


def _in_use(book: Book, view: BookView) -> tuple[SiteRecord | None, TrainRecord | None]:
    """The site and the train: by day those chosen, in a night those that it has."""
    if view.night is not None:
        return view.site, view.train
    return last_site(book, view.sites), last_train(book, view.trains)


def _whole(book: Book) -> BookView:
    view = _small_things(book)
    view = replace(view, **_chosen(book, view))
    view = replace(view, nights=tuple(book.nights.summaries(NIGHTS_LISTED)))
    view = replace(view, **_turned(book, view))
    return replace(view, observer=_observer(view), mark=book.newest_unit_id())


def _small_things(book: Book) -> BookView:
    """All but the long lists."""
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
        renamed=book.kit.renamed(),
    )


# Tables of which a reading shows little enough to read that again.
_SMALL = frozenset({"choice", "limit_set", "running_order"})


class _Chosen(TypedDict):
    limit_sets: tuple[LimitSetRecord, ...]
    limits_line: str
    running_orders: tuple[RunningOrderRecord, ...]
    reminders_line: str


def _chosen(book: Book, view: BookView) -> _Chosen:
    return {
        "limit_sets": book.limit_sets.all(),
        "limits_line": book.choices.get("limits") or "",
        "running_orders": book.running_orders.latest(view.site.id) if view.site else (),
        "reminders_line": book.choices.get(REMINDERS) or "",
    }


class _Turned(TypedDict):
    turns: tuple[EntryRecord, ...]
    screw_sums: tuple[ScrewSum, ...]


def _turned(book: Book, view: BookView) -> _Turned:
    if view.telescope is None:
        return {"turns": (), "screw_sums": ()}
    telescope_id = view.telescope.id
    return {
        "turns": book.timeline.turns(telescope_id, newest=LATEST_TURNS),
        "screw_sums": book.timeline.screw_sums(telescope_id),
    }


# --- entries that came since


def _came(
    book: Book, entry_ids: Sequence[int], written: Mapping[int, EntryRecord]
) -> tuple[EntryRecord, ...]:
    if all(each in written for each in entry_ids):
        return tuple(written[each] for each in entry_ids)
    return book.timeline.versions(entry_ids)


def _with_entries(book: Book, known: BookView, came: Sequence[EntryRecord]) -> BookView | None:
    """The last reading with these entries; None where they change more than is seen of them."""
    replaced = {each.supersedes_id for each in came} - {None}
    if replaced - {each.id for each in (*known.timeline, *came)}:
        return None  # something of another night
    left = [each for each in known.timeline if each.id in replaced]
    changed = [each.content for each in (*came, *left)]
    if any(each.kind == "kit" for each in changed):
        return None  # another train
    timeline = _timeline(known, came, replaced)
    view = replace(known, timeline=timeline, nights=_nights(book, known, came, timeline))
    if any(each.turn for each in changed):
        view = replace(view, **_turned(book, view))
    if view.telescope is not None and any(each.look for each in changed):
        view = replace(view, last_look=book.timeline.last_look(view.telescope.id))
    return view


def _timeline(
    known: BookView, came: Sequence[EntryRecord], replaced: Collection[int | None]
) -> tuple[EntryRecord, ...]:
    if known.night is None:
        return ()
    here = (each for each in came if each.night_id == known.night.id)
    standing = (
        each
        for each in (*known.timeline, *here)
        if each.id not in replaced and each.content.kind != "withdrawn"
    )
    return tuple(sorted(standing, key=lambda each: (each.content.happened_utc, each.id)))


def _nights(
    book: Book,
    known: BookView,
    came: Sequence[EntryRecord],
    timeline: Sequence[EntryRecord],
) -> tuple[NightSummary, ...]:
    """The list of nights: the one in progress is counted off its timeline, others in the book."""
    progress = known.night.id if known.night is not None else None
    others = {each.night_id for each in came if each.night_id not in (None, progress)}
    again = {each.night.id: each for each in book.nights.summaries_of(others)} if others else {}
    return tuple(
        summary_of(each.night, timeline)
        if each.night.id == progress
        else again.get(each.night.id, each)
        for each in known.nights
    )


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
