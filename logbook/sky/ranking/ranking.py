"""The whole catalogue ranked for one night, one field and one set of limits."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from logbook.sky.altitude import sky_brightness
from logbook.sky.altitude.moonlight import MoonView, moon_view
from logbook.sky.altitude.visibility import Windows, spans_mjd, windows
from logbook.sky.catalogue.objects import Catalogue
from logbook.sky.catalogue.ranking_columns import Targets, targets_of
from logbook.sky.framing.framing import FieldOfView, frame_fill, tightest_fill
from logbook.sky.limits.limits import Limits
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.arrays import Bools, Floats, joined
from logbook.sky.night.darkness import Darkness, darkness
from logbook.sky.night.night import Night
from logbook.sky.night.site import Site
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.ranking import scoring
from logbook.sky.ranking.book_facts import NO_FACTS, BookFacts

Rows = NDArray[np.intp]
_AT_ONCE = 16384
NO_ROWS: Rows = np.empty(0, dtype=np.intp)


@dataclass(frozen=True)
class Prepared:
    """A night over a site with the catalogue in place: what does not change with the limits."""

    night: Night
    frame: SkyFrame
    targets: Targets
    directions: Floats  # (n, 3), of date


@dataclass(frozen=True)
class Sight:
    """What the sky does for each object: what changes with the altitude and the darkness only.

    moonlight_mag -- how much brighter the Moon makes the sky there, 0 while it is down.
    """

    darkness: Darkness
    min_altitude_deg: float
    windows: Windows
    moon: MoonView
    moonlight_mag: Floats


@dataclass(frozen=True)
class Ranking:
    """Objects in order of score. Arrays have one value an object of the catalogue.

    rows -- catalogue rows within the limits, best first.
    fill, tightest -- `frame_fill` and `tightest_fill`; NaN where the size is unknown or no field
        is given.
    factors -- by name; their product is the score, 0 for an object without a window. Without a
        field there is none for framing, without facts of a book none for what it holds.
    owed_hours, days_ago -- from the facts; NaN where they say nothing.
    """

    prepared: Prepared
    field: FieldOfView | None
    facts: BookFacts
    limits: Limits
    sight: Sight
    fill: Floats
    tightest: Floats
    owed_hours: Floats
    days_ago: Floats
    factors: dict[str, Floats]
    score: Floats
    rows: Rows

    def has(self, identifier: str) -> bool:
        """Whether an object of that id is in the catalogue that was ranked."""
        return self.prepared.targets.catalogue.row(identifier) is not None

    @property
    def darkness(self) -> Darkness:
        """When it is dark enough for these limits."""
        return self.sight.darkness

    @property
    def windows(self) -> Windows:
        """When each object can be observed."""
        return self.sight.windows

    @property
    def moon(self) -> MoonView:
        """The Moon as each object meets it."""
        return self.sight.moon


def prepare(site: Site, local_date: date, catalogue: Catalogue) -> Prepared:
    """The night, the sky and the catalogue's places of date. Raises BadInput."""
    night, frame = night_and_frame(site, local_date)
    directions = frame.apparent(catalogue.unit_icrs)
    return Prepared(night, frame, targets_of(catalogue), directions)


def rank(
    prepared: Prepared,
    field: FieldOfView | None,
    limits: Limits,
    facts: BookFacts = NO_FACTS,
) -> Ranking:
    """Rank every object.

    field -- what the train shows; None leaves framing out of the score.
    facts -- what the book knows; with none, owed hours and past nights are left out of it.
    """
    catalogue = prepared.targets.catalogue
    fill = tightest = np.full(len(catalogue), np.nan)
    if field is not None:
        fill = frame_fill(catalogue.major_arcmin, field.field_deg)
        tightest = tightest_fill(catalogue.major_arcmin, catalogue.minor_arcmin, field.field_deg)
    owed, days = _owed_hours(prepared, facts), _days_ago(prepared, facts)
    sight = _sight(prepared, limits)
    empty = np.empty(0)
    begun = Ranking(
        prepared, field, facts, limits, sight, fill, tightest, owed, days, {}, empty, NO_ROWS
    )
    return _in_order(begun)


def reranked(ranking: Ranking, limits: Limits) -> Ranking:
    """The same night, field and facts under other limits: quick enough while one types.

    Windows and moonlight are computed anew only if the altitude or the darkness changes.
    """
    sight = ranking.sight
    dark = darkness(ranking.prepared.night, limits.min_hours)
    if (dark, limits.min_altitude_deg) != (sight.darkness, sight.min_altitude_deg):
        sight = _sight(ranking.prepared, limits)
    return _in_order(replace(ranking, limits=limits, sight=sight))


def _sight(prepared: Prepared, limits: Limits) -> Sight:
    """Windows and moonlight, so many objects at a time that they stay in the processor's cache."""
    dark = darkness(prepared.night, limits.min_hours)
    least = limits.min_altitude_deg
    spans, moon_up = spans_mjd(dark.intervals), spans_mjd(prepared.night.moon_up)
    found, seen = [], []
    for start in range(0, max(1, len(prepared.directions)), _AT_ONCE):
        there = prepared.directions[start : start + _AT_ONCE]
        found.append(windows(prepared.frame, there, spans, least))
        seen.append(moon_view(prepared.frame, there, found[-1], spans, moon_up, least))
    moon = joined(seen)
    brighter = sky_brightness.brighter_mag(moon.moon_nl, moon.dark_nl)
    return Sight(dark, least, joined(found), moon, brighter)


def _in_order(ranking: Ranking) -> Ranking:
    """The ranking with its factors, scores and rows computed."""
    factors = _factors(ranking)
    score = np.nan_to_num(np.prod(list(factors.values()), axis=0))
    rows = np.flatnonzero(_within_limits(ranking))
    rows = rows[np.argsort(-score[rows], kind="stable")]
    return replace(ranking, factors=factors, score=score, rows=rows)


def _factors(ranking: Ranking) -> dict[str, Floats]:
    targets, sight = ranking.prepared.targets, ranking.sight
    factors = {
        "hours": scoring.hours_factor(sight.windows.hours, sight.darkness.hours),
        "altitude": scoring.altitude_factor(sight.windows.max_altitude_deg),
        "moonlight": scoring.moon_factor(
            sight.moon, targets.surface_mag_arcsec2, ranking.limits.sky_share
        ),
        "brightness": targets.brightness,
        "appeal": targets.appeal,
    }
    if ranking.field is not None:
        factors["framing"] = scoring.framing_factor(ranking.fill, ranking.tightest)
    if ranking.facts.owed_hours:
        factors["owed"] = scoring.owed_factor(ranking.owed_hours)
    if ranking.facts.last_observed:
        factors["last seen"] = scoring.seen_factor(ranking.days_ago, ranking.owed_hours)
    return factors


def _within_limits(ranking: Ranking) -> Bools:
    """Which objects keep the limits. What is not known (NaN) fails no comparison."""
    limits, sight, targets = ranking.limits, ranking.sight, ranking.prepared.targets
    catalogue = targets.catalogue
    hours = sight.windows.hours
    passing = (hours > 0.0) & (hours >= limits.min_hours)
    passing &= ~(sight.moon.nearest_up_deg < limits.min_moon_separation_deg)
    passing &= _sun_cosines(ranking.prepared) < np.cos(np.radians(limits.min_sun_separation_deg))
    if limits.kinds:
        passing &= targets.of_kinds(limits.kinds)
    if limits.constellations:
        passing &= targets.within(limits.constellations)
    for values, least, most in (
        (targets.magnitude, limits.brightest_mag, limits.faintest_mag),
        (targets.true_surface_mag_arcsec2, None, limits.faintest_surface_mag_arcsec2),
        (catalogue.major_arcmin, limits.min_size_arcmin, limits.max_size_arcmin),
        (ranking.fill, limits.min_fill, limits.max_fill),
        (sight.moonlight_mag, None, limits.max_moonlight_mag),
    ):
        if least is not None:
            passing &= ~(values < least)
        if most is not None:
            passing &= ~(values > most)
    return np.asarray(passing)


def _owed_hours(prepared: Prepared, facts: BookFacts) -> Floats:
    return _spread(prepared, facts.owed_hours)


def _days_ago(prepared: Prepared, facts: BookFacts) -> Floats:
    """Days from the last night with it to this one; negative for a night that came later."""
    tonight = prepared.night.local_date
    days = {each: (tonight - day).days for each, day in facts.last_observed.items()}
    return _spread(prepared, days)


def _spread(prepared: Prepared, by_id: Mapping[str, float]) -> Floats:
    """A value an object; NaN where nothing is given. What is in no row is passed over."""
    catalogue = prepared.targets.catalogue
    values = np.full(len(catalogue), np.nan)
    for identifier, value in by_id.items():
        row = catalogue.row(identifier)
        if row is not None:
            values[row] = value
    return values


def _sun_cosines(prepared: Prepared) -> Floats:
    frame = prepared.frame
    sun = frame.sun_moon(np.array([frame.orientation.mjd]))[0][0]
    return np.asarray(prepared.directions @ (sun / np.linalg.norm(sun)))
