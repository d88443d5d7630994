"""What the pages work with: the book as last read, the sky as last computed, the clock.

The desk knows no widget. The app sets its fields from messages; pages only read them.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta, tzinfo
from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.records.names import Sort, TakenNames
from logbook.screen.services.book_snapshot import BookView
from logbook.screen.services.live_hints import Lessons
from logbook.sky.limits.limits import Limits
from logbook.sky.limits.limits_parser import read_limits
from logbook.sky.night.clock import event_hhmm, local_hhmm, night_date, zone_or_utc
from logbook.sky.ranking.book_facts import NO_FACTS

if TYPE_CHECKING:
    from logbook.screen.services.sky import SkyDesk
    from logbook.sky.altitude.track import Track
    from logbook.sky.ranking.book_facts import BookFacts
    from logbook.sky.ranking.tonight import Tonight
    from logbook.store.book import Book
    from logbook.store.writer import DraftKeeper, Writer


def now_utc() -> datetime:
    return datetime.now(UTC)


@dataclass
class Desk:
    """The state that pages draw."""

    sky: "SkyDesk"
    clock: Callable[[], datetime] = now_utc
    book: "Book | None" = None
    writer: "Writer | None" = None
    drafts: "DraftKeeper | None" = None  # of the line and the forms of this window
    knows_objects: bool = False  # the catalogue was read, as far as it can be
    view: BookView = field(default_factory=BookView)
    tonight: "Tonight | None" = None
    sky_words: str = ""  # why there is no sky, if there is none
    looked_at: date | None = None  # the night chosen for, if it isn't tonight
    own_limits: Limits | None = None  # changed for now, in place of those of last time
    track: "Track | None" = None  # of the object that runs
    lessons: Lessons = field(default_factory=Lessons)
    put_aside: set[str] = field(default_factory=set)  # reminders that were seen, by occasion

    @property
    def can_read_lines(self) -> bool:
        """Whether a line can be read: by the book, and by the names of the sky."""
        return self.book is not None and self.knows_objects

    @property
    def zone(self) -> tzinfo:
        site = self.view.site
        return zone_or_utc(site.site.time_zone) if site else UTC

    @property
    def night_date(self) -> date:
        """The local date of the evening that is being logged, or that it is now."""
        if self.view.night is not None:
            return self.view.night.local_date
        return night_date(self.clock(), self.zone)

    @property
    def night_is_past(self) -> bool:
        """Whether the night in progress was left open: by the clock another one has come."""
        night = self.view.night
        return night is not None and night_date(self.clock(), self.zone) != night.local_date

    @property
    def telescope_id(self) -> int | None:
        """Of the telescope in use."""
        return None if self.view.telescope is None else self.view.telescope.id

    def taken_names(self, sort: Sort, own_id: int | None = None) -> TakenNames:
        """The names that others of a sort bear, for the check of a field."""
        if self.book is None:
            return TakenNames(sort)
        stores = {
            "part": self.book.kit.part_names,
            "train": self.book.kit.train_names,
            "site": self.book.sites.names,
            "set": self.book.limit_sets.names,
        }
        return stores[sort]().besides(own_id)

    @property
    def limits(self) -> Limits:
        """Within which objects are suggested: as changed, else those in use last time."""
        if self.own_limits is not None:
            return self.own_limits
        try:
            return read_limits(self.view.limits_line)
        except BadInput:  # words of a newer program
            return Limits()

    def facts(self) -> "BookFacts":
        """What ranking wants to know of the book; for worker threads."""
        from logbook.store.ranking_facts import facts_of

        return NO_FACTS if self.book is None else facts_of(self.book)

    @property
    def chosen_date(self) -> date:
        """The local date of the evening that is being chosen for."""
        return self.looked_at or self.night_date

    def local(self, instant: datetime) -> datetime:
        return instant.astimezone(self.zone)

    def clock_words(self, instant: datetime) -> str:
        """`22:41` at the site, as a clock shows it."""
        return local_hhmm(instant, self.zone)

    def event_words(self, instant: datetime) -> str:
        """`22:41` at the site, to the nearest minute: for what the sky does."""
        return event_hhmm(instant, self.zone)


def duration_words(span: timedelta) -> str:
    """`2 h 05 min`, `12 min`, `40 s`."""
    seconds = max(0, round(span.total_seconds()))
    hours, rest = divmod(seconds, 3600)
    if hours:
        return f"{hours} h {rest // 60:02d} min"
    return f"{rest // 60} min" if rest >= 60 else f"{rest} s"
