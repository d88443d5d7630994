"""Looking back over many nights of a book. Everything here only reads."""

from collections.abc import Collection, Iterable, Sequence
from datetime import date, datetime
from itertools import chain

from sqlalchemy.orm import Session

from logbook.records.entries import EntryRecord, TargetCopy
from logbook.records.history import (
    Exposed,
    Light,
    LightThrough,
    Look,
    NightPlace,
    ObjectSum,
    PartUse,
    Spread,
    TargetSeen,
)
from logbook.store.history import nights, objects_parts_trains
from logbook.store.history.night_cache import KeptByNight, by_night
from logbook.store.session.sessions import Sessions

_MANY = 1000  # nights; of more, those of the whole book are taken, which are cached


class LookingBack:
    """What many nights add up to. Spans of dates are inclusive; None leaves an end open."""

    def __init__(self, sessions: Sessions) -> None:
        self._sessions = sessions
        self._light = by_night(nights.light)
        self._spreads: dict[tuple[str, ...], KeptByNight[dict[int, dict[str, Spread]]]] = {}
        self._spreads_through: dict[str, KeptByNight[dict[int, dict[int, Spread]]]] = {}

    # Nights

    def first_and_last(self) -> tuple[date, date] | None:
        """The dates of the first and the last night; None in an empty book."""
        with self._sessions.reading() as session:
            return nights.first_and_last(session)

    def places(self, first: date | None = None, last: date | None = None) -> tuple[NightPlace, ...]:
        """The nights of a span in short, oldest first."""
        with self._sessions.reading() as session:
            return nights.places(session, (first, last))

    def places_of(self, night_ids: Iterable[int]) -> tuple[NightPlace, ...]:
        """These nights in short, oldest first."""
        with self._sessions.reading() as session:
            return nights.places(session, list(night_ids))

    def spreads_of(
        self, quantities: tuple[str, ...], night_ids: Iterable[int]
    ) -> dict[int, dict[str, Spread]]:
        """By night id, then by quantity, what was read in these nights."""
        wanted = list(night_ids)
        with self._sessions.reading() as session:
            if len(wanted) <= _MANY:
                return nights.spreads(session, quantities, wanted)
            every = self._all_spreads(quantities).all(session)
        return {night_id: every[night_id] for night_id in wanted if night_id in every}

    def spreads(
        self, quantities: tuple[str, ...], first: date | None = None, last: date | None = None
    ) -> dict[int, dict[str, Spread]]:
        """By night id, then by quantity, what was read in the nights of a span."""
        with self._sessions.reading() as session:
            if first is None and last is None:
                return dict(self._all_spreads(quantities).all(session))
            return nights.spreads(session, quantities, (first, last))

    def _all_spreads(
        self, quantities: tuple[str, ...]
    ) -> KeptByNight[dict[int, dict[str, Spread]]]:
        def count(session: Session, which: list[int] | None) -> dict[int, dict[str, Spread]]:
            return nights.spreads(session, quantities, which)

        return self._spreads.setdefault(quantities, by_night(count))

    def spreads_through(self, quantity: str) -> dict[int, dict[int, Spread]]:
        """By night id, then by revision of the train in use, what was read, over the whole book."""

        def count(session: Session, which: list[int] | None) -> dict[int, dict[int, Spread]]:
            return nights.spreads_through(session, quantity, which)

        with self._sessions.reading() as session:
            return self._spreads_through.setdefault(quantity, by_night(count)).all(session)

    def light(self, first: date | None = None, last: date | None = None) -> dict[int, Light]:
        """By night id, the frames of the sky."""
        with self._sessions.reading() as session:
            if first is None and last is None:
                found = self._light.all(session)
            else:
                found = nights.light(session, (first, last))
        return {night_id: _together(through) for night_id, through in found.items()}

    def light_through(self, revision_ids: Collection[int]) -> tuple[LightThrough, ...]:
        """Frames of the sky by revision of a train and by filter, whenever they were taken."""
        with self._sessions.reading() as session:
            every = [*self._light.all(session).values(), nights.light_by_day(session)]
        sums: dict[tuple[int, str], Light] = {}
        for one in chain.from_iterable(every):
            if one.train_revision_id in revision_ids:
                key = one.train_revision_id, one.filter_name
                before = sums.get(key, Light(0, 0.0))
                sums[key] = Light(before.frames + one.frames, before.seconds + one.seconds)
        return tuple(
            LightThrough(*key, sums[key].frames, sums[key].seconds) for key in sorted(sums)
        )

    def objects_of_span(
        self, first: date | None = None, last: date | None = None
    ) -> tuple[ObjectSum, ...]:
        """The objects of a span of nights, longest exposed first."""
        with self._sessions.reading() as session:
            return nights.objects_of_span(session, (first, last))

    def looks(self, first: date | None = None, last: date | None = None) -> tuple[Look, ...]:
        """The star tests of a span of nights, oldest first."""
        with self._sessions.reading() as session:
            return nights.looks(session, (first, last))

    def site_of_most_nights(
        self, first: date | None = None, last: date | None = None
    ) -> int | None:
        """The id of the site with the most nights of a span."""
        with self._sessions.reading() as session:
            return nights.site_of_most_nights(session, (first, last))

    # Entries

    def between(
        self, after_utc: datetime, before_utc: datetime, kinds: Sequence[str]
    ) -> tuple[EntryRecord, ...]:
        """Standing entries of some kinds between two instants, in order."""
        with self._sessions.reading() as session:
            return objects_parts_trains.between(session, after_utc, before_utc, kinds)

    def of_nights(
        self, night_ids: Sequence[int], kinds: Sequence[str], newest: int = 200
    ) -> tuple[EntryRecord, ...]:
        """The newest standing entries of some kinds in these nights, oldest first."""
        with self._sessions.reading() as session:
            return objects_parts_trains.of_nights(session, night_ids, kinds, newest)

    def turned_between(
        self, after_utc: datetime, before_utc: datetime
    ) -> tuple[tuple[int | None, str, float, int], ...]:
        """By telescope's part id and screw: net turns between two instants, and how many."""
        with self._sessions.reading() as session:
            return objects_parts_trains.turned_between(session, after_utc, before_utc)

    def texts(self, night_ids: Sequence[int], kinds: Sequence[str]) -> dict[int, list[str]]:
        """By night id, what was typed for entries of some kinds."""
        with self._sessions.reading() as session:
            return objects_parts_trains.texts(session, night_ids, kinds)

    # Objects, parts, trains

    def targets(self) -> tuple[TargetSeen, ...]:
        """Every object that was worked on, by name."""
        with self._sessions.reading() as session:
            return objects_parts_trains.targets(session)

    def copies(self) -> tuple[tuple[int, TargetCopy], ...]:
        """Every object the book has a copy of, with its id, by name."""
        with self._sessions.reading() as session:
            return objects_parts_trains.copies(session)

    def nights_of_target(self, target_id: int) -> tuple[int, ...]:
        """Ids of the nights in which an object was worked on, oldest first."""
        with self._sessions.reading() as session:
            return objects_parts_trains.nights_of_target(session, target_id)

    def frames_of_target(self, target_id: int) -> tuple[Exposed, ...]:
        """Frames of the sky of one object, oldest first."""
        with self._sessions.reading() as session:
            return objects_parts_trains.frames_of_target(session, target_id)

    def nights_through(self, revision_ids: Sequence[int]) -> tuple[int, ...]:
        """Ids of the nights that used one of these revisions of trains, oldest first."""
        with self._sessions.reading() as session:
            return objects_parts_trains.nights_through(session, revision_ids)

    def nights_by_revision(self, revision_ids: Sequence[int]) -> dict[int, set[int]]:
        """By revision of a train, the ids of the nights begun with it or changed to it."""
        with self._sessions.reading() as session:
            return objects_parts_trains.nights_by_revision(session, revision_ids)

    def revisions_with(self, part_id: int) -> tuple[int, ...]:
        """Ids of the revisions of trains that hold a part."""
        with self._sessions.reading() as session:
            return objects_parts_trains.revisions_with(session, part_id)

    def part_use(self, part_id: int, since_utc: datetime | None = None) -> PartUse:
        """How much a part was used, in all or since an instant."""
        with self._sessions.reading() as session:
            return objects_parts_trains.part_use(session, part_id, since_utc)

    def upkeep_of(self, part_id: int) -> tuple[EntryRecord, ...]:
        """What was done to a part, oldest first."""
        with self._sessions.reading() as session:
            return objects_parts_trains.upkeep_of(session, part_id)


def _together(through: Iterable[LightThrough]) -> Light:
    each = list(through)
    return Light(sum(one.frames for one in each), sum(one.seconds for one in each))
