"""The whole catalogue ranked for one night, one field and one set of limits."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from logbook.sky import scoring
from logbook.sky.almanac import night_and_frame
from logbook.sky.arrays import Bools, Floats
from logbook.sky.catalogue import Catalogue
from logbook.sky.darkness import Darkness, darkness
from logbook.sky.frame import SkyFrame
from logbook.sky.framing import FieldOfView, frame_fill, tightest_fill
from logbook.sky.limits import Limits
from logbook.sky.moonlight import MoonView, moon_view
from logbook.sky.night import Night
from logbook.sky.place import Site
from logbook.sky.targets import Targets, targets_of
from logbook.sky.visibility import Windows, spans_mjd, windows


@dataclass(frozen=True)
class Prepared:
    """A night over a site with the catalogue in place: what does not change with the limits."""

    night: Night
    frame: SkyFrame
    targets: Targets
    directions: Floats  # (n, 3), of date


@dataclass(frozen=True)
class Ranking:
    """Objects in order of score. Arrays have one value an object of the catalogue.

    rows -- catalogue rows within the limits, best first.
    fill, tightest -- `frame_fill` and `tightest_fill`; NaN where the size is unknown or no field
        is given.
    factors -- by name; their product is the score, 0 for an object without a window. Without a
        field there is none for framing.
    """

    prepared: Prepared
    field: FieldOfView | None
    limits: Limits
    darkness: Darkness
    windows: Windows
    moon: MoonView
    fill: Floats
    tightest: Floats
    factors: dict[str, Floats]
    score: Floats
    rows: np.ndarray[tuple[int], np.dtype[np.intp]]


def prepare(site: Site, local_date: date, catalogue: Catalogue) -> Prepared:
    """The night, the sky and the catalogue's places of date. Raises BadInput."""
    night, frame = night_and_frame(site, local_date)
    targets = targets_of(catalogue)
    return Prepared(night, frame, targets, frame.apparent(catalogue.unit_icrs))


def rank(prepared: Prepared, field: FieldOfView | None, limits: Limits) -> Ranking:
    """Rank every object; quick enough to be asked again whenever a limit changes.

    Raises BadInput for a kind that does not exist.
    """
    dark = darkness(prepared.night, limits.min_hours)
    spans = spans_mjd(dark.intervals)
    found = windows(prepared.frame, prepared.directions, spans, limits.min_altitude_deg)
    moon_up = spans_mjd(prepared.night.moon_up)
    moon = moon_view(
        prepared.frame, prepared.directions, found, spans, moon_up, limits.min_altitude_deg
    )
    catalogue = prepared.targets.catalogue
    fill = tightest = np.full(len(catalogue), np.nan)
    if field is not None:
        fill = frame_fill(catalogue.major_arcmin, field.field_deg)
        tightest = tightest_fill(catalogue.major_arcmin, catalogue.minor_arcmin, field.field_deg)
    factors = {
        "hours": scoring.hours_factor(found.hours, dark.hours),
        "altitude": scoring.altitude_factor(found.max_altitude_deg),
        "moonlight": scoring.moon_factor(moon, prepared.targets.surface_mag_arcsec2),
        "brightness": prepared.targets.brightness,
        "appeal": prepared.targets.appeal,
    }
    if field is not None:
        factors["framing"] = scoring.framing_factor(fill, tightest)
    score = np.nan_to_num(np.prod(list(factors.values()), axis=0))
    rows = np.flatnonzero(_within_limits(prepared, limits, found, moon, fill))
    rows = rows[np.argsort(-score[rows], kind="stable")]
    return Ranking(prepared, field, limits, dark, found, moon, fill, tightest, factors, score, rows)


def _within_limits(
    prepared: Prepared, limits: Limits, found: Windows, moon: MoonView, fill: Floats
) -> Bools:
    passing = (found.hours > 0.0) & (found.hours >= limits.min_hours)
    passing &= ~(moon.nearest_up_deg < limits.min_moon_separation_deg)
    passing &= _sun_cosines(prepared) < np.cos(np.radians(limits.min_sun_separation_deg))
    if limits.kinds:
        passing &= prepared.targets.of_kinds(limits.kinds)
    if limits.faintest_mag is not None:
        passing &= ~(prepared.targets.magnitude > limits.faintest_mag)
    if limits.min_fill is not None:
        passing &= ~(fill < limits.min_fill)
    if limits.max_fill is not None:
        passing &= ~(fill > limits.max_fill)
    return np.asarray(passing)


def _sun_cosines(prepared: Prepared) -> Floats:
    frame = prepared.frame
    sun = frame.sun_moon(np.array([frame.orientation.mjd]))[0][0]
    return np.asarray(prepared.directions @ (sun / np.linalg.norm(sun)))
