"""What the screen shows of a book: one reading of it, taken whole and never changed.

After every change the book is read anew and the pages draw from the new reading, so no page can
show what the book does not hold.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from logbook.report.choosing import last_site, last_train

if TYPE_CHECKING:
    from logbook.kit.parts import Part
    from logbook.store.book import Book
    from logbook.store.choosing_records import LimitSetRecord, RunningOrderRecord
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


@dataclass(frozen=True, slots=True)
class BookView:
    """One reading of a book. `site`, `train` are those in use, or last chosen.

    limits_line -- the limits in use, as they may be typed; "" for the usual ones.
    running_orders -- those that count at the site in use, latest date first.
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

    def running_order(self, local_date: date) -> RunningOrderRecord | None:
        """What is meant to be done in the night of that evening, at the site in use."""
        return next((each for each in self.running_orders if each.local_date == local_date), None)


def read_view(book: Book) -> BookView:
    """Read the book for the screen; may be called from any thread."""
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
        observer=_observer(book, night),
        night=night,
        timeline=book.timeline.of_night(night.id) if night else (),
        telescope=telescope,
        screws=book.kit.screws(telescope.id) if telescope else (),
        screw_sums=book.timeline.screw_sums(telescope.id) if telescope else (),
        turns=book.timeline.turns(telescope.id) if telescope else (),
        last_look=book.timeline.last_look(telescope.id) if telescope else None,
        nights=tuple(book.nights.summaries(NIGHTS_LISTED)),
        limit_sets=book.limit_sets.all(),
        limits_line=book.choices.get("limits") or "",
        running_orders=book.running_orders.latest(site.id) if site else (),
    )


def _observer(book: Book, night: NightRecord | None) -> str:
    """Who observes; before a night begins, who did last."""
    if night is None:
        night = book.nights.latest()
    return night.observer if night else ""


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
