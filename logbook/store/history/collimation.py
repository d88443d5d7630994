"""Looking back on one telescope's collimation: what was seen and turned, and how long it holds."""

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from statistics import median

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from logbook.records.entries import EntryRecord, ScrewSum
from logbook.store.kit.parts import newest_part
from logbook.store.kit.screws import screws_of
from logbook.store.session.sessions import Sessions
from logbook.store.tables.convert import part_of
from logbook.store.tables.models import (
    AdjustmentRow,
    EntryRow,
    NightRow,
    ReadingRow,
    StarCheckRow,
    StarLookRow,
    TurnRow,
    UpkeepRow,
)
from logbook.store.timeline import rows
from logbook.store.timeline.collimation_rows import (
    LookLine,
    TelescopeLines,
    TurnLine,
    UpsetLine,
    look_lines,
    screw_sums,
    seeing_lines,
    turn_lines,
    upset_lines,
)
from logbook.store.timeline.night_sums import is_current

START = "the start"
HARMLESS = ("tilt plate", "focuser", "camera")  # adjustments that move no mirror
SEEING_HOLDS = timedelta(hours=12)  # a reading of the seeing is of this night


@dataclass(frozen=True, slots=True)
class ScrewState:
    """Where the screws stood at a look: a state one may go back to.

    sums -- running sums then, tightening positive. offset -- fraction of the radius seen then.
    """

    label: str
    at_utc: datetime | None
    entry_id: int | None
    sums: tuple[ScrewSum, ...]
    offset: float | None


@dataclass(frozen=True, slots=True)
class OffsetPoint:
    """One night's collimation: the first and the last look, and what came before it.

    events -- since the last look of the night before: transport, upkeep of the tube, adjustments.
    carried -- whether one of them was a transport; upset -- whether any may have moved a mirror.
    """

    night_id: int | None
    local_date: date
    at_utc: datetime
    first: float
    last: float
    turns: int
    events: tuple[str, ...]
    air_temperature_c: float | None
    carried: bool = False
    upset: bool = False


@dataclass(frozen=True, slots=True)
class Holds:
    """How long collimation holds; None where there is too little to say.

    nights_between -- median number of nights with looks from one with turns to the next.
    days_between -- the same in days. grown -- median growth of the offset from the last look of a
        night to the first of the next, nothing turned or moved between. grown_after_transport --
        the same where the telescope was carried between.
    """

    nights_between: float | None
    days_between: float | None
    grown: float | None
    grown_after_transport: float | None
    nights: int
    transports: int


class Collimation:
    """Reads of one telescope, by the id of its part."""

    def __init__(self, sessions: Sessions) -> None:
        self._sessions = sessions

    def history(self, telescope_id: int, limit: int = 400) -> tuple[EntryRecord, ...]:
        """Looks, checks, turns, adjustments and what may have moved the mirrors, oldest first."""
        of_telescope = or_(
            StarLookRow.telescope_id == telescope_id,
            StarCheckRow.telescope_id == telescope_id,
            TurnRow.telescope_id == telescope_id,
            AdjustmentRow.telescope_id == telescope_id,
            UpkeepRow.part_id == telescope_id,
            EntryRow.kind == "transport",
        )
        statement = select(EntryRow)
        for detail in (StarLookRow, StarCheckRow, TurnRow, AdjustmentRow, UpkeepRow):
            statement = statement.outerjoin(detail, detail.entry_id == EntryRow.id)
        kinds = ("star", "check", "turn", "adjust", "upkeep", "transport")
        statement = (
            statement.where(EntryRow.kind.in_(kinds), of_telescope, is_current())
            .order_by(EntryRow.happened_utc.desc(), EntryRow.id.desc())
            .limit(max(limit, 0))
        )
        with self._sessions.reading() as session:
            return rows.records(session, statement)[::-1]

    def lines(self, telescope_id: int, now_utc: datetime, newest: int) -> TelescopeLines:
        """What there is to learn from, for advice. Raises NotFound for an unknown telescope."""
        with self._sessions.reading() as session:
            part = part_of(newest_part(session, telescope_id))
            looks = look_lines(session, telescope_id, newest)
            turns = turn_lines(session, telescope_id, newest)
            full = [lines[0].at_utc for lines in (looks, turns) if len(lines) == newest]
            since = max(full, default=None)
            return TelescopeLines(
                part=part,
                screws=screws_of(session, telescope_id),
                looks=[each for each in looks if since is None or each.at_utc >= since],
                turns=[each for each in turns if since is None or each.at_utc >= since],
                upsets=upset_lines(session, telescope_id, since),
                seeing=seeing_lines(session, now_utc - SEEING_HOLDS, now_utc),
                sums=screw_sums(session, telescope_id),
            )

    def states(self, telescope_id: int, limit: int = 20) -> tuple[ScrewState, ...]:
        """Where the screws stood at the newest looks, newest first, and at the start."""
        with self._sessions.reading() as session:
            turns = turn_lines(session, telescope_id)
            looks = look_lines(session, telescope_id, newest=max(limit, 0))
            names = [screw.name for screw in screws_of(session, telescope_id)]
        states = _states(looks, turns, names)
        return (*reversed(states), ScrewState(START, None, None, _sums(names, []), None))

    def offsets(self, telescope_id: int) -> tuple[OffsetPoint, ...]:
        """A point a night with a look, oldest first."""
        with self._sessions.reading() as session:
            looks = look_lines(session, telescope_id)
            turns = turn_lines(session, telescope_id)
            upsets = upset_lines(session, telescope_id)
            nights = {look.night_id for look in looks if look.night_id is not None}
            dates = _dates(session, nights)
            air = _air(session, nights)
        return tuple(_points(looks, turns, upsets, dates, air))

    def holds(self, telescope_id: int) -> Holds:
        """How long collimation holds on this telescope."""
        return _holds(self.offsets(telescope_id))


def _states(
    looks: Sequence[LookLine], turns: Sequence[TurnLine], names: Sequence[str]
) -> list[ScrewState]:
    """Each look with the sums of the turns before it; looks at one state of the screws count once,
    as the newest."""
    found: list[ScrewState] = []
    for look in looks:
        key = (look.at_utc, look.entry_id)
        before = [turn for turn in turns if (turn.at_utc, turn.entry_id) < key]
        sums = _sums(names, before)
        label = f"the look of {look.at_utc:%d %b %Y %H:%M} UTC"
        if found and found[-1].sums == sums:
            found.pop()
        found.append(ScrewState(label, look.at_utc, look.entry_id, sums, look.fraction))
    return found


def _sums(names: Iterable[str], turns: Iterable[TurnLine]) -> tuple[ScrewSum, ...]:
    sums = dict.fromkeys(names, 0.0)
    counts = dict.fromkeys(sums, 0)
    for turn in turns:
        sums[turn.screw] = sums.get(turn.screw, 0.0) + turn.turns
        counts[turn.screw] = counts.get(turn.screw, 0) + 1
    return tuple(ScrewSum(name, round(turned, 9), counts[name]) for name, turned in sums.items())


def _dates(session: Session, nights: set[int]) -> dict[int, date]:
    statement = select(NightRow.id, NightRow.local_date).where(NightRow.id.in_(nights))
    dates: dict[int, date] = dict(session.execute(statement).all())
    return dates


def _air(session: Session, nights: set[int]) -> dict[int, float]:
    """Mean air temperature of each night."""
    statement = (
        select(EntryRow.night_id, func.avg(ReadingRow.number))
        .join(EntryRow, ReadingRow.entry_id == EntryRow.id)
        .where(
            EntryRow.night_id.in_(nights),
            ReadingRow.quantity == "air_temperature_c",
            is_current(),
        )
        .group_by(EntryRow.night_id)
    )
    return {night_id: mean for night_id, mean in session.execute(statement) if night_id is not None}


def _points(
    looks: Sequence[LookLine],
    turns: Sequence[TurnLine],
    upsets: Sequence[UpsetLine],
    dates: dict[int, date],
    air: dict[int, float],
) -> Iterable[OffsetPoint]:
    happened = [each.at_utc for each in upsets]
    turned = _Turned(turns)
    begin = 0  # the first upset after the look before
    for group in _by_night(looks):
        first, last = group[0], group[-1]
        since = upsets[begin : max(begin, bisect_left(happened, first.at_utc))]
        night_id = first.night_id
        yield OffsetPoint(
            night_id=night_id,
            local_date=first.at_utc.date() if night_id is None else dates[night_id],
            at_utc=last.at_utc,
            first=first.fraction,
            last=last.fraction,
            turns=turned.beside(first, last),
            events=tuple(event_words(each) for each in since),
            air_temperature_c=None if night_id is None else air.get(night_id),
            carried=any(each.kind == "transport" for each in since),
            upset=any(each.what not in HARMLESS for each in since),
        )
        begin = bisect_right(happened, last.at_utc)


def _by_night(looks: Sequence[LookLine]) -> list[list[LookLine]]:
    """Looks of one night together; those by day by their date in UTC."""
    groups: dict[tuple[int | None, date | None], list[LookLine]] = {}
    for look in looks:
        by_day = look.at_utc.date() if look.night_id is None else None
        groups.setdefault((look.night_id, by_day), []).append(look)
    return sorted(groups.values(), key=lambda group: group[0].at_utc)


class _Turned:
    """How many turns belong to the looks of a night, or to those of a day."""

    def __init__(self, turns: Sequence[TurnLine]) -> None:
        self._of_night = Counter(each.night_id for each in turns)
        self._by_day = [each.at_utc for each in turns if each.night_id is None]

    def beside(self, first: LookLine, last: LookLine) -> int:
        if first.night_id is not None:
            return self._of_night[first.night_id]
        begin = bisect_left(self._by_day, first.at_utc)
        return bisect_right(self._by_day, last.at_utc) - begin


def event_words(upset: UpsetLine) -> str:
    """What happened, short enough for a mark on a plot."""
    if upset.kind == "adjust" and upset.what:
        return f"{upset.what} set"
    return upset.action or upset.text or upset.kind


def _holds(points: Sequence[OffsetPoint]) -> Holds:
    turned = [index for index, point in enumerate(points) if point.turns]
    nights = [float(later - sooner) for sooner, later in pairwise(turned)]
    days = [
        (points[later].local_date - points[sooner].local_date).days
        for sooner, later in pairwise(turned)
    ]
    still = [later.first - sooner.last for sooner, later in pairwise(points) if not later.upset]
    carried = [later.first - sooner.last for sooner, later in pairwise(points) if later.carried]
    return Holds(
        nights_between=_median(nights),
        days_between=_median([float(each) for each in days]),
        grown=_median(still),
        grown_after_transport=_median(carried),
        nights=len(points),
        transports=len(carried),
    )


def _median(values: Sequence[float]) -> float | None:
    return float(median(values)) if values else None
