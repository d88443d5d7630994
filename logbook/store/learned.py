"""What the readings of a book teach: cooling, focus against temperature, dew.

Only readings that stand count. The fits import numpy: ask from a worker thread.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from sqlalchemy.orm import Session

from logbook.errors import BadInput
from logbook.kit.dew_point import DewNow, dew_now
from logbook.kit.focus_fit import FocusSlope, Suggested, fit_focus, suggest, with_zone
from logbook.kit.sheet import sheet
from logbook.kit.spread import NotLearned
from logbook.kit.tube_constant import TubeConstant, tube_constant
from logbook.store import learned_rows as rows
from logbook.store.engine import Sessions
from logbook.store.learned_rows import AIR, FOCUS, Read
from logbook.store.news import newest_entry_id
from logbook.store.nights import night_row
from logbook.store.rows import train_record
from logbook.store.timeline_rows import train_in_use
from logbook.store.trains import newest_of, revision

if TYPE_CHECKING:
    from logbook.kit.cooling_fit import CoolingFit, Within

BODIES = {"mirror": "mirror_temperature_c", "tube": "tube_temperature_c"}
HUMIDITY, DEW_POINT = "humidity_percent", "dew_point_c"
NIGHTS_COOLED, NIGHTS_FOCUSED = 12, 30  # the latest ones count: fans and cameras change
LATELY = timedelta(hours=1)  # a reading older than this says nothing of now


@dataclass(frozen=True, slots=True)
class CoolingNight:
    """One night's readings in (minutes after began_utc, °C), and the fit or why there is none."""

    body_name: str
    began_utc: datetime
    air: tuple[tuple[float, float], ...]
    body: tuple[tuple[float, float], ...]
    fit: CoolingFit | None
    within: Within | None
    refusal: str = ""

    @property
    def words(self) -> str:
        """One line."""
        if self.fit is None or self.within is None:
            return self.refusal
        fit = self.fit
        span = f"{fit.low_min:.0f} to {fit.high_min:.0f}"
        return f"{self.body_name}: constant {fit.tau_min:.0f} min ({span}); {self.within.words}"


class Learned:
    """Learns anew after every entry; the costly answers are kept until then."""

    def __init__(self, sessions: Sessions) -> None:
        self._sessions = sessions
        self._kept: dict[tuple[int, str], tuple[int, TubeConstant | NotLearned]] = {}

    def cooling(self, night_id: int, body: str = "mirror", to_k: float = 1.0) -> CoolingNight:
        """How mirror or tube cooled in a night. Raises NotFound, BadInput."""
        quantity = _quantity(body)
        with self._sessions.reading() as session:
            began_utc = night_row(session, night_id).started_utc
            read = rows.read_of(session, [night_id], [AIR, quantity])
        return _cooled(read, began_utc, body, to_k)

    def constant(self, telescope_part_id: int, body: str = "mirror") -> TubeConstant | NotLearned:
        """The telescope's own, from its latest nights with readings enough."""
        quantity, key = _quantity(body), (telescope_part_id, body)
        newest = newest_entry_id(self._sessions)
        kept = self._kept.get(key)
        if kept is None or kept[0] != newest:
            kept = self._kept[key] = (newest, self._constant(telescope_part_id, body, quantity))
        return kept[1]

    def _constant(
        self, telescope_part_id: int, body: str, quantity: str
    ) -> TubeConstant | NotLearned:
        from logbook.kit.cooling_fit import FEWEST

        with self._sessions.reading() as session:
            used = rows.with_telescope(session, telescope_part_id)
            nights = rows.latest_nights(session, quantity, used, FEWEST, NIGHTS_COOLED)
            read = rows.read_of(session, nights, [AIR, quantity])
        found = []
        for night_id in nights:
            own = [
                each
                for each in read
                if each.night_id == night_id
                and (each.quantity == AIR or each.train_revision_id in used)
            ]
            fit = _cooled(own, own[0].at_utc, body, 1.0).fit
            if fit is not None:
                found.append((fit.tau_min, fit.sigma_min))
        return tube_constant(found)

    def focus(self, train_id: int) -> FocusSlope | NotLearned:
        """How a train's focus follows the air, from its latest nights. Raises NotFound."""
        with self._sessions.reading() as session:
            return self._slope(session, train_id)

    def _slope(self, session: Session, train_id: int) -> FocusSlope | NotLearned:
        used = rows.of_train(session, train_id)
        slope = fit_focus(_focused_nights(session, used))
        if isinstance(slope, NotLearned):
            return slope
        return with_zone(slope, _zone(session, train_id))

    def focusings(self, train_id: int) -> tuple[tuple[tuple[float, float], ...], ...]:
        """(°C, position) of the latest nights, night by night, the latest first."""
        with self._sessions.reading() as session:
            nights = _focused_nights(session, rows.of_train(session, train_id))
        return tuple(tuple(night) for night in nights)

    def suggested_focus(self, night_id: int) -> Suggested | NotLearned:
        """Where to focus at the air temperature read last in a night. Raises NotFound."""
        with self._sessions.reading() as session:
            tonight = _Tonight.read(session, night_id)
            if tonight.train_id is None:
                return NotLearned("which train is in use is not known")
            slope = self._slope(session, tonight.train_id)
        if isinstance(slope, NotLearned):
            return slope
        if tonight.air_c is None:
            return NotLearned("the air's temperature was not read yet tonight")
        return suggest(slope, tonight.focused, tonight.air_c)

    def since_focus(self, night_id: int) -> float | None:
        """Kelvin that the air changed since it was focused last; None without both."""
        with self._sessions.reading() as session:
            tonight = _Tonight.read(session, night_id)
        if tonight.air_c is None or not tonight.focused:
            return None
        return tonight.air_c - tonight.focused[-1][0]

    def dew(self, night_id: int) -> DewNow | None:
        """Dew as read last in a night; None without air temperature and humidity or dew point."""
        return next(reversed(self.dew_line(night_id)), None)

    def dew_line(self, night_id: int) -> tuple[DewNow, ...]:
        """Dew through a night, at every reading that tells something new of it."""
        wanted = [AIR, HUMIDITY, DEW_POINT, *BODIES.values()]
        with self._sessions.reading() as session:
            read = rows.read_of(session, [night_id], wanted)
        return _dew_line(read)


@dataclass(frozen=True, slots=True)
class _Tonight:
    """The train in use, its focusings, and the air as read last."""

    train_id: int | None
    focused: tuple[tuple[float, float], ...]
    air_c: float | None

    @classmethod
    def read(cls, session: Session, night_id: int) -> _Tonight:
        night = night_row(session, night_id)
        read = rows.read_of(session, [night_id], [AIR, FOCUS])
        air = [each.number for each in read if each.quantity == AIR]
        at_utc = read[-1].at_utc if read else night.started_utc
        revision_id = train_in_use(session, night, at_utc)
        train_id = revision(session, revision_id).train_id if revision_id else None
        used = rows.of_train(session, train_id) if train_id else []
        return cls(train_id, tuple(rows.focusings(read, used)), air[-1] if air else None)


def _quantity(body: str) -> str:
    if body not in BODIES:
        raise BadInput(f"cooling is learned of {' or '.join(BODIES)}, not of {body!r}")
    return BODIES[body]


def _cooled(read: Sequence[Read], began_utc: datetime, body: str, to_k: float) -> CoolingNight:
    from logbook.kit.cooling_fit import fit_cooling

    def minutes(quantity: str) -> tuple[tuple[float, float], ...]:
        return tuple(
            ((each.at_utc - began_utc).total_seconds() / 60.0, each.number)
            for each in read
            if each.quantity == quantity
        )

    night = CoolingNight(body, began_utc, minutes(AIR), minutes(_quantity(body)), None, None)
    fit = fit_cooling(night.air, night.body, body)
    if isinstance(fit, NotLearned):
        return replace(night, refusal=fit.words)
    return replace(night, fit=fit, within=fit.within(to_k))


def _focused_nights(session: Session, used: Sequence[int]) -> list[list[tuple[float, float]]]:
    nights = rows.latest_nights(session, FOCUS, used, 1, NIGHTS_FOCUSED)
    read = rows.read_of(session, nights, [AIR, FOCUS])
    found = (
        rows.focusings([each for each in read if each.night_id == night], used) for night in nights
    )
    return [night for night in found if night]


def _zone(session: Session, train_id: int) -> float | None:
    """The quarter-wave zone in the focuser's steps; None where these are not known."""
    train = train_record(newest_of(session, train_id)).train
    zones = sheet(train).focus_zones
    return zones[0].steps if zones else None


def _dew_line(read: Sequence[Read]) -> tuple[DewNow, ...]:
    latest: dict[str, Read] = {}
    found: dict[datetime, DewNow] = {}
    for each in read:
        latest[each.quantity] = each
        fresh = {
            name: other.number
            for name, other in latest.items()
            if each.at_utc - other.at_utc <= LATELY
        }
        moist = fresh.get(HUMIDITY), fresh.get(DEW_POINT)
        if AIR not in fresh or moist == (None, None):
            continue
        if DEW_POINT in fresh and HUMIDITY in fresh:  # the later one counts
            later_is_humidity = latest[HUMIDITY].at_utc > latest[DEW_POINT].at_utc
            moist = (moist[0], None) if later_is_humidity else (None, moist[1])
        surfaces = {name: fresh[of] for name, of in BODIES.items() if of in fresh}
        found[each.at_utc] = dew_now(
            each.at_utc, fresh[AIR], moist[0], read_dew_point_c=moist[1], surfaces_c=surfaces
        )
    return tuple(found.values())
