"""What the readings of a book teach: cooling, focus against temperature, dew.

Only readings that stand count. The fits import numpy: ask from a worker thread.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

from sqlalchemy.orm import Session

from logbook.errors import BadInput
from logbook.kit.thermal.dew_point import DewNow, dew_now
from logbook.kit.thermal.focus_fit import FocusSlope, Suggested, fit_focus, suggest, with_zone
from logbook.kit.thermal.tube_constant import BODIES, FEWEST_READINGS, TubeConstant, tube_constant
from logbook.kit.thermal.uncertainty import NotLearned
from logbook.kit.train.focus import zones_of
from logbook.kit.train.light import light_of
from logbook.kit.train.sheet import Assumed
from logbook.store.history import learned_rows
from logbook.store.history.learned_rows import AIR, FOCUS, Read
from logbook.store.history.night_cache import by_night
from logbook.store.kit.trains import newest_of, revision
from logbook.store.session.sessions import Sessions
from logbook.store.tables.convert import train_record
from logbook.store.timeline.changes import newest_entry_id
from logbook.store.timeline.nights import night_row
from logbook.store.timeline.rows import night_used, train_in_use

if TYPE_CHECKING:
    from logbook.kit.thermal.cooling_fit import CoolingFit, Within

HUMIDITY, DEW_POINT = "humidity_percent", "dew_point_c"
NIGHTS_COOLED, NIGHTS_FOCUSED = 12, 30  # the latest ones count: fans and cameras change
NIGHTS_FOLLOWED = 240  # of more nights evenly chosen ones are fitted: each takes some ms
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
    """Learns anew after every entry; the costly answers stay cached until then."""

    def __init__(self, sessions: Sessions) -> None:
        self._sessions = sessions
        self._kept: dict[tuple[int, str], tuple[int, TubeConstant | NotLearned]] = {}
        self._focused = by_night(learned_rows.focusings_by_night)

    def cooling(self, night_id: int, body: str = "mirror", to_k: float = 1.0) -> CoolingNight:
        """How mirror or tube of the telescope read last cooled. Raises NotFound, BadInput."""
        quantity = _quantity(body)
        with self._sessions.reading() as session:
            began_utc = night_row(session, night_id).started_utc
            read = learned_rows.read_of(session, [night_id], [AIR, quantity])
            last = next((each for each in reversed(read) if each.quantity == quantity), None)
            if last is not None and last.train_revision_id is not None:
                read = _with(
                    read, learned_rows.with_same_telescope(session, last.train_revision_id)
                )
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
        with self._sessions.reading() as session:
            used = learned_rows.with_telescope(session, telescope_part_id)
            nights = learned_rows.latest_nights(
                session, quantity, used, FEWEST_READINGS, NIGHTS_COOLED
            )
            fits = _fits(session, used, nights, body)
        return tube_constant([(each.tau_min, each.sigma_min) for each in fits.values()])

    def cooling_by_night(
        self, telescope_part_id: int, night_ids: Collection[int], body: str = "mirror"
    ) -> dict[int, CoolingFit]:
        """The constant of each of these nights that gives one; of very many, of some of them.

        `constant` is the mean of the same fits over the latest nights.
        """
        quantity = _quantity(body)
        with self._sessions.reading() as session:
            used = learned_rows.with_telescope(session, telescope_part_id)
            read = learned_rows.nights_read(session, quantity, used, FEWEST_READINGS)
            nights = [each for each in night_ids if each in read]
            every = -(-len(nights) // NIGHTS_FOLLOWED) or 1
            return _fits(session, used, nights[::every], body)

    def focus_by_month(self, train_id: int, months: Mapping[int, date]) -> dict[date, FocusSlope]:
        """The slope of each month's nights alone, fitted as `focus` fits the latest nights.

        months -- of each night, by its id. Months that give no slope are left out.
        """
        with self._sessions.reading() as session:
            used = learned_rows.of_train(session, train_id)
            focused = self._focused.all(session)
        nights: dict[date, list[list[tuple[float, float]]]] = {}
        for night_id, month in months.items():
            own = learned_rows.focused_with(focused.get(night_id, ()), used)
            if own:
                nights.setdefault(month, []).append(own)
        found = ((month, fit_focus(of)) for month, of in sorted(nights.items()))
        return {month: slope for month, slope in found if isinstance(slope, FocusSlope)}

    def focus(self, train_id: int) -> FocusSlope | NotLearned:
        """How a train's focus follows the air, from its latest nights. Raises NotFound."""
        with self._sessions.reading() as session:
            return self._slope(session, train_id)

    def _slope(self, session: Session, train_id: int) -> FocusSlope | NotLearned:
        used = learned_rows.of_train(session, train_id)
        slope = fit_focus(_focused_nights(session, used))
        if isinstance(slope, NotLearned):
            return slope
        return with_zone(slope, _zone(session, train_id))

    def focusings(self, train_id: int) -> tuple[tuple[tuple[float, float], ...], ...]:
        """(°C, position) of the latest nights, night by night, the latest first."""
        with self._sessions.reading() as session:
            nights = _focused_nights(session, learned_rows.of_train(session, train_id))
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
        """Dew through a night, at every reading that adds something new."""
        wanted = [AIR, HUMIDITY, DEW_POINT, *BODIES.values()]
        with self._sessions.reading() as session:
            read = learned_rows.read_of(session, [night_id], wanted)
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
        read = learned_rows.read_of(session, [night_id], [AIR, FOCUS])
        air = [each.number for each in read if each.quantity == AIR]
        at_utc = read[-1].at_utc if read else night.started_utc
        revision_id = train_in_use(session, night_used(session, night_id), at_utc)
        train_id = revision(session, revision_id).train_id if revision_id else None
        used = learned_rows.of_train(session, train_id) if train_id else []
        focused = tuple(learned_rows.focused_with(learned_rows.focusings(read), used))
        return cls(train_id, focused, air[-1] if air else None)


def _quantity(body: str) -> str:
    if body not in BODIES:
        raise BadInput(f"cooling is learned of {' or '.join(BODIES)}, not of {body!r}")
    return BODIES[body]


def _with(read: Sequence[Read], used: Sequence[int]) -> list[Read]:
    """The readings of these trains, and those of the air whatever was in use."""
    return [each for each in read if each.quantity == AIR or each.train_revision_id in used]


def _fits(
    session: Session, used: Sequence[int], night_ids: Sequence[int], body: str
) -> dict[int, CoolingFit]:
    """The fit of each of these nights that gives one, from the readings with these trains."""
    by_night: dict[int, list[Read]] = {night_id: [] for night_id in night_ids}
    for each in _with(learned_rows.read_of(session, night_ids, [AIR, _quantity(body)]), used):
        by_night[each.night_id].append(each)
    nights = (
        (night_id, _cooled(own, own[0].at_utc, body, 1.0).fit)
        for night_id, own in by_night.items()
        if own
    )
    return {night_id: fit for night_id, fit in nights if fit is not None}


def _cooled(read: Sequence[Read], began_utc: datetime, body: str, to_k: float) -> CoolingNight:
    def minutes(quantity: str) -> tuple[tuple[float, float], ...]:
        return tuple(
            ((each.at_utc - began_utc).total_seconds() / 60.0, each.number)
            for each in read
            if each.quantity == quantity
        )

    night = CoolingNight(body, began_utc, minutes(AIR), minutes(_quantity(body)), None, None)
    fit = _fitted(night.air, night.body, body)
    if isinstance(fit, NotLearned):
        return replace(night, refusal=fit.words)
    return replace(night, fit=fit, within=fit.within(to_k))


@lru_cache(maxsize=4 * NIGHTS_FOLLOWED)
def _fitted(
    air: tuple[tuple[float, float], ...], of_body: tuple[tuple[float, float], ...], body: str
) -> CoolingFit | NotLearned:
    """The fit of these readings; the same ones are not fitted twice."""
    from logbook.kit.thermal.cooling_fit import fit_cooling

    return fit_cooling(air, of_body, body)


def _focused_nights(session: Session, used: Sequence[int]) -> list[list[tuple[float, float]]]:
    nights = learned_rows.latest_nights(session, FOCUS, used, 1, NIGHTS_FOCUSED)
    focused = learned_rows.focusings_by_night(session, nights)
    found = (learned_rows.focused_with(focused.get(night, ()), used) for night in nights)
    return [night for night in found if night]


def _zone(session: Session, train_id: int) -> float | None:
    """The quarter-wave zone in the focuser's steps; None where these are not known."""
    train = train_record(newest_of(session, train_id)).train
    light = light_of(train)
    usual = Assumed()
    zones = zones_of(
        train,
        light.lenses,
        light.focal_ratio,
        light.effective_focal_length_mm,
        usual.seeing_arcsec,
        usual.wavelength_um,
    )
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
