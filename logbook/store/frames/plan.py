"""What would be added to a book from frames on disk: shown first, then added run by run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from logbook.frames.folder_watch import Reading, Refused
from logbook.frames.header import Frame
from logbook.frames.runs import Run, distinct, grouped
from logbook.kit.train.light import TrainLight, light_of
from logbook.records.entries import EntryRecord, NewEntry, NightRecord, SiteRecord, TrainRecord
from logbook.records.runs import running_object
from logbook.sky.night.clock import night_date, night_span, zone_of
from logbook.store.frames.checks import disagreements, field_radius_deg, region_of, written_by_hand
from logbook.store.frames.entry import frames_entry
from logbook.store.frames.targets import Matched, match

if TYPE_CHECKING:
    from logbook.store.book import Book

# The camera's computer may be ahead of this one by so much.
_CLOCKS_DIFFER = timedelta(minutes=10)


@dataclass(frozen=True, slots=True)
class NightToBegin:
    """A past night that is not in the book yet: it is begun and ended with its frames."""

    local_date: date
    site: SiteRecord
    train: TrainRecord | None


@dataclass(frozen=True, slots=True)
class PlannedRun:
    """A run, what of it is new, and where it goes.

    night -- the night of the book it belongs to; begins -- the one to be begun for it. With
    neither it cannot be added, and `left_out` says why.
    grows -- an entry that stands gets more frames; else a new one is added.
    """

    run: Run
    new: tuple[Frame, ...]
    local_date: date
    night: NightRecord | None
    begins: NightToBegin | None
    matched: Matched
    region: str | None
    warnings: tuple[str, ...]
    grows: bool
    left_out: str = ""

    @property
    def has_place(self) -> bool:
        return self.night is not None or self.begins is not None

    def entry_of(self, frames: Sequence[Frame]) -> NewEntry:
        """The entry that these frames of the run make."""
        return frames_entry(Run(tuple(frames)), self.matched.target, self.region)


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything found, in order of time.

    known -- how many frames are in the book already; again -- files that show a frame once more.
    """

    runs: tuple[PlannedRun, ...] = ()
    known: int = 0
    again: tuple[Frame, ...] = ()
    refused: tuple[Refused, ...] = ()

    @property
    def to_add(self) -> tuple[PlannedRun, ...]:
        return tuple(each for each in self.runs if each.has_place)

    @property
    def without_night(self) -> tuple[PlannedRun, ...]:
        return tuple(each for each in self.runs if not each.has_place)

    @property
    def new(self) -> int:
        """How many frames would be added."""
        return sum(len(each.new) for each in self.to_add)


@dataclass(frozen=True, slots=True)
class Wish:
    """How frames are to be put into nights.

    site -- whose night, where two sites had one; and where a night is begun.
    begin_nights -- begin the nights that are not in the book, with that train.
    """

    site: SiteRecord | None = None
    train: TrainRecord | None = None
    begin_nights: bool = False


def plan_frames(book: Book, reading: Reading, wish: Wish) -> Plan:
    """What would be added; nothing is. The catalogue is read on the first call (some tenths)."""
    frames, again = distinct(reading.frames)
    counted = book.frame_files.counted([frame.identity for frame in frames])
    nights = _Nights(book, frames, wish)
    planner = _Planner(book, nights, counted)
    runs = grouped(frames, nights.place_of)
    planned = tuple(planner.planned(run) for run in runs if planner.has_new(run))
    return Plan(planned, len(counted), tuple(again), tuple(reading.refused))


class _Nights:
    """The nights of the book around the frames, and which of them an instant belongs to."""

    def __init__(self, book: Book, frames: Sequence[Frame], wish: Wish) -> None:
        self._wish = wish
        self._spans: list[tuple[datetime, datetime, NightRecord]] = []
        if frames:
            day = timedelta(days=2)
            first, last = frames[0].exposed_utc - day, frames[-1].exposed_utc + day
            for night in book.frame_files.nights_between(first.date(), last.date()):
                span = night_span(zone_of(night.site.time_zone), night.local_date)
                self._spans.append((*span, night))
        self.by_id = {night.id: night for _, _, night in self._spans}
        site = wish.site.site if wish.site else None
        self._zone = zone_of(site.time_zone if site else "UTC")

    def place_of(self, instant: datetime) -> tuple[date, int | None]:
        """Date of the evening, and the id of the book's night then, if it has one."""
        found = self.of(instant)
        if found:
            return found[0].local_date, found[0].id
        return night_date(instant, self._zone), None

    def of(self, instant: datetime) -> list[NightRecord]:
        """The nights of the book that hold an instant: at the wished site, else the last begun."""
        found = [night for begins, ends, night in self._spans if begins <= instant < ends]
        wished = self._wish.site.id if self._wish.site else None
        return sorted(found, key=lambda each: (each.site_id != wished, -each.id))

    def to_begin(self, local_date: date) -> NightToBegin | None:
        wish = self._wish
        if not wish.begin_nights or wish.site is None:
            return None
        return NightToBegin(local_date, wish.site, wish.train)


class _Planner:
    def __init__(self, book: Book, nights: _Nights, counted: dict[str, int]) -> None:
        self._book = book
        self._nights = nights
        self._counted = counted
        self._latest = book.frame_files.now() + _CLOCKS_DIFFER
        self._sheets: dict[int, TrainLight] = {}
        self._timelines: dict[int, tuple[EntryRecord, ...]] = {}

    def has_new(self, run: Run) -> bool:
        return any(frame.identity not in self._counted for frame in run.frames)

    def planned(self, run: Run) -> PlannedRun:
        local_date, night, begins = self._place(run)
        left_out = "" if night or begins else self._why_left_out(run, local_date)
        with_sheet = self._sheet(run, night, begins)
        matched = match(run.first, field_radius_deg(run.first, with_sheet))
        if night is not None and matched.target is None and not run.first.object_name:
            matched = self._by_timeline(run, night)
        new = tuple(frame for frame in run.frames if frame.identity not in self._counted)
        return PlannedRun(
            run=run,
            new=new,
            local_date=local_date,
            night=night,
            begins=begins,
            matched=matched,
            region=region_of(run.first, with_sheet),
            warnings=self._warnings(run, night, matched, with_sheet),
            grows=len(new) < len(run.frames),
            left_out=left_out,
        )

    def _place(self, run: Run) -> tuple[date, NightRecord | None, NightToBegin | None]:
        """The evening of a run and its night, if it can have one."""
        local_date, night_id = self._nights.place_of(run.begins_utc)
        if run.begins_utc > self._latest:
            return local_date, None, None
        if night_id is not None:
            return local_date, self._nights.by_id[night_id], None
        return local_date, None, self._nights.to_begin(local_date)

    def _sheet(
        self, run: Run, night: NightRecord | None, begins: NightToBegin | None
    ) -> TrainLight | None:
        train = begins.train if begins else None
        if night is not None:
            train = self._book.timeline.train_in_use(night.id, run.begins_utc)
        if train is None:
            return None
        if train.revision_id not in self._sheets:
            self._sheets[train.revision_id] = light_of(train.train)
        return self._sheets[train.revision_id]

    def _why_left_out(self, run: Run, local_date: date) -> str:
        if run.begins_utc > self._latest:
            return "by this computer's clock it is still to come: one of the clocks is wrong"
        return f"there is no night of {local_date} in the book"

    def _timeline(self, night: NightRecord) -> tuple[EntryRecord, ...]:
        """The entries of a night, without those that hold frames of this reading."""
        if night.id not in self._timelines:
            held = set(self._counted.values())
            timeline = self._book.timeline.of_night(night.id)
            self._timelines[night.id] = tuple(each for each in timeline if each.id not in held)
        return self._timelines[night.id]

    def _by_timeline(self, run: Run, night: NightRecord) -> Matched:
        """Frames that name no object are of the one that ran when they were begun."""
        begun = [
            each for each in self._timeline(night) if each.content.happened_utc <= run.begins_utc
        ]
        running = running_object(begun) if run.first.frame_type == "light" else None
        return Matched(running, "by the timeline" if running else "")

    def _written_by_hand(self, run: Run, night: NightRecord | None) -> str:
        if night is None:
            return ""
        return written_by_hand(run, self._timeline(night), zone_of(night.site.time_zone))

    def _warnings(
        self,
        run: Run,
        night: NightRecord | None,
        matched: Matched,
        with_sheet: TrainLight | None,
    ) -> tuple[str, ...]:
        found = [self._written_by_hand(run, night), matched.warning, run.first.note]
        if with_sheet is not None:
            found += disagreements(run.first, with_sheet)
        nights = self._nights.of(run.begins_utc)
        if len(nights) > 1:
            sites = " and ".join(night.site.name for night in nights)
            found.append(f"that evening has nights at {sites}: taken for {nights[0].site.name}")
        return tuple(words for words in found if words)
