"""How fast and how exact the sky is, against astroplan and astropy on the same questions.

`python -m tests.bench_sky` prints it; nothing is asserted.
"""

import itertools
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable
from dataclasses import fields, replace
from datetime import date
from typing import Any

import astropy.units as u
import numpy as np
from astroplan import months_observable, observability_table
from astropy.coordinates import AltAz, NonRotationTransformationWarning, SkyCoord, get_body
from astropy.time import Time
from numpy.typing import NDArray

from logbook.sky.altitude.visibility import spans_mjd, windows
from logbook.sky.altitude.year import year_ahead
from logbook.sky.altitude.year_nights import year_nights
from logbook.sky.catalogue.objects import SkyObject, deep_sky
from logbook.sky.framing.framing import FieldOfView
from logbook.sky.limits.limits import Limits
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.arrays import Floats
from logbook.sky.night.calendar import calendar
from logbook.sky.night.site import Horizon, Site
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.observer import constraints, fixed_targets, observer
from logbook.sky.ranking.ranking import Prepared, prepare, rank, reranked
from logbook.sky.ranking.tonight import tonight
from tests.sky.tables import CAPE, DATE_LINE, EQUATOR, TROMS, WALES

NIGHT = date(2026, 11, 26)
FIELD = FieldOfView("bench", 1624.0, 0.478, (0.83, 0.55))
LIMITS = Limits()
PLACES = (
    (WALES, date(2026, 11, 26)),
    (TROMS, date(2026, 12, 21)),
    (EQUATOR, date(2026, 6, 15)),
    (CAPE, date(2026, 6, 15)),
    (DATE_LINE, date(2026, 3, 18)),
)
TREES: Horizon = ((0, 20), (40, 45), (80, 25), (120, 10), (180, 35), (230, 5), (300, 40))
GRID = 10.0 / 1440.0
MINUTE = 1.0 / 1440.0


def run() -> list[str]:
    """Lines with times, ratios and the largest differences, measured now."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", NonRotationTransformationWarning)
        return [
            f"{len(deep_sky())} objects, one night, altitude 30°, Moon 30°; medians; "
            f"threads for matrix products: {os.environ.get('OPENBLAS_NUM_THREADS', 'all')}",
            *_growth(),
            *_times(),
            _year(),
            _calendar(),
            _command(),
            _altitudes(),
            *_hours(),
        ]


def _times() -> list[str]:
    first = _timed(lambda: tonight(WALES, FIELD, NIGHT, LIMITS))
    whole = _median(lambda: tonight(WALES, FIELD, NIGHT, LIMITS), 21)
    ranking = rank(prepare(WALES, NIGHT, deep_sky()), FIELD, LIMITS)
    altitudes = (25.0 + each % 10 for each in itertools.count())
    again = _median(lambda: reranked(ranking, Limits(min_altitude_deg=next(altitudes))), 41)
    faintest = (10.0 + each % 10 for each in itertools.count())
    filtered = _median(
        lambda: reranked(ranking, Limits(faintest_mag=next(faintest), kinds=("galaxy",))), 41
    )
    walled = replace(WALES, horizon=TREES)
    behind = _median(lambda: tonight(walled, FIELD, NIGHT, LIMITS), 7)
    table = _best(_astroplan(), 2)
    vectors = _best(_vectorised_astropy, 3)
    return [
        f"night, ranking and 20 suggestions: {whole:.1f} ms (first in a process {first:.0f} ms), "
        f"with a horizon of trees {behind:.0f} ms",
        f"ranking again on a changed altitude: {again:.1f} ms, on another changed limit: "
        f"{filtered:.1f} ms",
        f"astroplan's observability_table, 10-minute steps: {table:.0f} ms, "
        f"{table / whole:.0f} times the whole, {table / again:.0f} times ranking again",
        f"astropy over the whole array, 10-minute steps: {vectors:.0f} ms, "
        f"{vectors / whole:.0f} times the whole, {vectors / again:.0f} times ranking again",
    ]


def _timed(job: Callable[[], object]) -> float:
    """Milliseconds a job takes."""
    begun = time.perf_counter()
    job()
    return (time.perf_counter() - begun) * 1e3


def _median(job: Callable[[], object], rounds: int) -> float:
    job()
    return statistics.median(_timed(job) for _ in range(rounds))


def _best(job: Callable[[], object], rounds: int) -> float:
    """The shortest of some: kind to what is compared with, which warms up in the first."""
    return min(_timed(job) for _ in range(rounds))


def _growth() -> list[str]:
    """Ranking catalogues of a thousand to 1.3 million rows: the shipped one over and over."""
    found = []
    for rows in (1_000, 13_000, 130_000, 1_300_000):
        prepared = _many(rows)
        took = min(_ranking_ms(prepared) for _ in range(2))
        found.append(f"{rows} rows {took:.1f} ms ({took / rows * 1e3:.2f} µs each)")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    return [f"growth of ranking: {'; '.join(found)}; memory at most {peak:.0f} MB"]


def _ranking_ms(prepared: Prepared) -> float:
    return _timed(lambda: rank(prepared, FIELD, LIMITS))


def _many(rows: int) -> Prepared:
    """A night with a catalogue of so many rows, places shifted a little with every repetition."""
    prepared = prepare(WALES, NIGHT, deep_sky())
    at = np.arange(rows) % len(deep_sky())
    shift = np.arange(rows) // len(deep_sky()) * 0.01
    columns = {each.name: getattr(deep_sky(), each.name) for each in fields(deep_sky())}
    catalogue = replace(deep_sky(), **{name: _rows_of(each, at) for name, each in columns.items()})
    catalogue = replace(catalogue, ra_deg=(catalogue.ra_deg + shift) % 360.0)
    ready = {
        each.name: getattr(prepared.targets, each.name)[at]
        for each in fields(prepared.targets)
        if each.name != "catalogue"
    }
    targets = replace(prepared.targets, catalogue=catalogue, **ready)
    return replace(
        prepared, targets=targets, directions=prepared.frame.apparent(catalogue.unit_icrs)
    )


def _rows_of(column: Any, at: NDArray[np.intp]) -> Any:
    if isinstance(column, np.ndarray):
        return column[at]
    return tuple(column[each] for each in at.tolist())


def _year() -> str:
    """A year of one object against astroplan's months, whose grid is its own half hour."""
    thing = deep_sky().at(deep_sky().index_of("NGC 224"))
    limits = constraints(Limits(min_moon_separation_deg=0.0), [thing])[:2]
    span = Time(["2025-12-01T12:00", "2026-11-30T12:00"])
    theirs = _best(
        lambda: months_observable(limits, observer(WALES), fixed_targets([thing]), span), 2
    )
    first = [_year_of(thing, fresh=True) for _ in range(5)]
    other = [_year_of(thing, fresh=False) for _ in range(21)]
    new, more = statistics.median(first), statistics.median(other)
    return (
        f"year of one object: {new:.0f} ms for the first at a site, {more:.1f} ms for another; "
        f"astroplan's months_observable {theirs:.0f} ms, {theirs / new:.0f} and "
        f"{theirs / more:.0f} times as long"
    )


def _year_of(thing: SkyObject, *, fresh: bool) -> float:
    if fresh:
        year_nights.cache_clear()
    return _timed(lambda: year_ahead(WALES, thing, date(2025, 12, 1)))


def _calendar() -> str:
    return f"calendar of 60 nights: {_median(lambda: calendar(WALES, NIGHT), 3):.0f} ms"


def _command() -> str:
    """The whole command as a process against importing astroplan alone, turn by turn."""
    ours, theirs = ["-m", "logbook", "tonight", "--demo", "--json"], ["-c", "import astroplan"]
    with tempfile.TemporaryDirectory() as folder:
        # Compiled modules are cached for both, whatever the environment says.
        compiled = {"PYTHONPYCACHEPREFIX": folder, "PYTHONDONTWRITEBYTECODE": ""}
        environment = os.environ | compiled
        for command in (ours, theirs):
            _process(command, environment)
        pairs = [(_process(ours, environment), _process(theirs, environment)) for _ in range(7)]
    our, their = (statistics.median(column) for column in zip(*pairs, strict=True))
    return (
        f"`logbook tonight --demo --json` {our:.0f} ms, importing astroplan alone {their:.0f} ms: "
        f"{our / their:.2f} times"
    )


def _process(arguments: list[str], environment: dict[str, str]) -> float:
    command = [sys.executable, *arguments]
    return _timed(
        lambda: subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=environment)
    )


def _dark_times() -> Time:
    """Every ten minutes of darkness: the others are given when it is, ours has to find it."""
    start, end = spans_mjd(night_and_frame(WALES, NIGHT)[0].below_18)[0]
    return Time(np.arange(start, end, GRID), format="mjd")


def _astroplan() -> Callable[[], object]:
    """The same objects and limits asked of astroplan, a new Observer each time.

    The list of targets is made before; the table calls it up one by one, as its users do.
    """
    things = list(deep_sky())
    targets, limits = fixed_targets(things), constraints(LIMITS, things)
    times = _dark_times()
    return lambda: observability_table(limits, observer(WALES), targets, times=times)


def _coordinates(step: int = 1) -> SkyCoord:
    return SkyCoord(deep_sky().ra_deg[::step] * u.deg, deep_sky().dec_deg[::step] * u.deg)


def _vectorised_astropy() -> Floats:
    """Hours by astropy alone: one array of places, one frame with all instants."""
    times = _dark_times()
    frame = AltAz(obstime=times, location=observer(WALES).location)
    moon = get_body("moon", times, frame.location).transform_to(frame)
    there = _coordinates()[:, None].transform_to(frame[None, :])
    vectors = there.cartesian.xyz.value, moon.cartesian.xyz.value
    directions, to_moon = (each / np.linalg.norm(each, axis=0) for each in vectors)
    cosines = np.einsum("kij,kj->ij", directions, to_moon)
    away = cosines <= np.cos(np.radians(LIMITS.min_moon_separation_deg))
    high = there.alt.deg >= LIMITS.min_altitude_deg
    return np.asarray(np.sum(high & away, axis=1) * GRID * 24.0)


def _altitudes() -> str:
    worst = 0.0
    for site, day in PLACES:
        frame = night_and_frame(site, day)[1]
        mjd = np.linspace(frame.start_mjd, frame.end_mjd, 9)
        altaz = AltAz(obstime=Time(mjd, format="mjd")[None, :], location=observer(site).location)
        reference = _coordinates()[:, None].transform_to(altaz).alt.deg
        ours = frame.altitudes_deg(frame.apparent(deep_sky().unit_icrs), mjd)
        off_the_sun = _sun_distance_deg(frame) > 1.0
        worst = max(worst, float(np.max(np.abs(ours - reference)[off_the_sun])) * 3600.0)
    return f"largest difference of altitude from full astropy, five sites: {worst:.2f}″"


def _sun_distance_deg(frame: SkyFrame) -> Floats:
    sun = frame.sun_moon(np.array([frame.orientation.mjd]))[0][0]
    cosines = frame.apparent(deep_sky().unit_icrs) @ (sun / np.linalg.norm(sun))
    return np.asarray(np.degrees(np.arccos(np.clip(cosines, -1.0, 1.0))))


def _hours() -> list[str]:
    lines = []
    for words, horizon in (("a flat limit", ()), ("a horizon of trees", TREES)):
        worst = max(_worst_seconds(replace(site, horizon=horizon), day) for site, day in PLACES)
        lines.append(
            f"largest difference of hours from astropy every minute over {words}, "
            f"five sites: {worst:.0f} s"
        )
    return lines


def _worst_seconds(site: Site, day: date) -> float:
    """Our hours against astropy's at every minute, straight lines in between, for every 24th."""
    night, frame = night_and_frame(site, day)
    ours = windows(
        frame, frame.apparent(deep_sky().unit_icrs[::24]), spans_mjd(night.below_18), 30.0
    )
    here = observer(site).location
    start, end = spans_mjd(night.below_18)[0]
    mjd = np.linspace(start, end, round((end - start) / MINUTE) + 1)
    altaz = _coordinates(24)[:, None].transform_to(
        AltAz(obstime=Time(mjd, format="mjd")[None, :], location=here)
    )
    needed = np.full(altaz.shape, 30.0)
    if site.horizon:
        azimuth, altitude = np.array(site.horizon, dtype=np.float64).T
        needed = np.maximum(needed, np.interp(altaz.az.deg, azimuth, altitude, period=360.0))
    margin = altaz.alt.deg - needed
    left, right = margin[:, :-1], margin[:, 1:]
    share = np.clip(np.maximum(left, right) / np.maximum(np.abs(left - right), 1e-12), 0.0, 1.0)
    above = np.where((left >= 0.0) == (right >= 0.0), left >= 0.0, share)
    hours = above.sum(axis=1) * (mjd[1] - mjd[0]) * 24.0
    return float(np.max(np.abs(ours.hours - hours))) * 3600.0


if __name__ == "__main__":
    print("\n".join(run()))
