"""Five hundred random objects, sites and dates: ours and astroplan's own constraints agree.

Each question gets a new Observer, for astroplan's cache forgets declinations
(`test_a_shared_observer_gives_one_target_the_answer_of_another`).
"""

import warnings
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

import numpy as np
from astroplan import Constraint
from astropy.coordinates import NonRotationTransformationWarning, SkyCoord
from astropy.time import Time

from logbook.sky.altitude.visibility import spans_mjd, windows
from logbook.sky.catalogue.objects import Catalogue, deep_sky
from logbook.sky.limits.limits import Limits
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.arrays import Bools, Floats
from logbook.sky.night.night import Night
from logbook.sky.night.site import Site
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.observer import constraints, observer

NIGHTS, OBJECTS, LOOKS = 125, 4, 25
FIRST_DAY, DAYS = date(2015, 1, 1), 4300
ZONES = ("UTC", "Europe/Vienna", "America/Denver", "Australia/Sydney")


@dataclass(frozen=True)
class Case:
    """A random night at a random site with a few random objects, and what astroplan says of them:
    rows are objects, columns instants.
    """

    limits: Limits
    night: Night
    frame: SkyFrame
    there: Floats
    mjd: Floats
    high: Bools
    dark: Bools
    off_the_moon: Bools


@cache
def cases() -> tuple[Case, ...]:
    random = np.random.default_rng(20261125)
    return tuple(_case(random, deep_sky()) for _ in range(NIGHTS))


def _case(random: np.random.Generator, catalogue: Catalogue) -> Case:
    site = Site(
        "Somewhere",
        float(np.degrees(np.arcsin(random.uniform(-0.98, 0.98)))),
        float(random.uniform(-180.0, 180.0)),
        float(random.uniform(0.0, 3000.0)),
        str(random.choice(ZONES)),
    )
    night, frame = night_and_frame(site, FIRST_DAY + timedelta(days=int(random.integers(DAYS))))
    rows = random.choice(len(catalogue), OBJECTS, replace=False)
    limits = Limits(
        min_altitude_deg=float(random.uniform(0.0, 60.0)),
        min_moon_separation_deg=float(random.uniform(10.0, 120.0)),
    )
    mjd = np.linspace(frame.start_mjd, frame.end_mjd, LOOKS)
    there = SkyCoord(catalogue.ra_deg[rows], catalogue.dec_deg[rows], unit="deg")
    asked = [_asked(each, site, there, mjd) for each in constraints(limits, ())]
    directions = frame.places(catalogue.ra_deg[rows], catalogue.dec_deg[rows])
    return Case(limits, night, frame, directions, mjd, *asked)


def _asked(constraint: Constraint, site: Site, there: SkyCoord, mjd: Floats) -> Bools:
    with warnings.catch_warnings():
        # Its Moon is already the one seen from the site: the frames differ, the numbers do not.
        warnings.simplefilter("ignore", NonRotationTransformationWarning)
        times = Time(mjd, format="mjd")
        return np.asarray(constraint(observer(site), there, times=times, grid_times_targets=True))


def unlike(theirs: Bools, margin_deg: Floats, arcsec: float) -> int:
    """How many answers differ where the margin is wider than the stated accuracy."""
    differ = theirs != (margin_deg >= 0.0)
    return int(np.count_nonzero(differ & (np.abs(margin_deg) * 3600.0 > arcsec)))


def test_there_are_five_hundred_of_them_and_both_answers_are_common() -> None:
    assert NIGHTS * OBJECTS == 500
    assert len({each.frame.site.latitude_deg for each in cases()}) == NIGHTS
    for answers in ([c.high for c in cases()], [c.dark for c in cases()],
                    [c.off_the_moon for c in cases()]):  # fmt: skip
        assert 0.1 < np.mean(answers) < 0.9


def test_altitudes_are_over_the_limit_when_astroplan_says_so() -> None:
    for case in cases():
        over = case.frame.altitudes_deg(case.there, case.mjd) - case.limits.min_altitude_deg
        assert unlike(case.high, over, 2.0) == 0


def test_it_is_dark_when_astroplan_says_so() -> None:
    for case in cases():
        below = -18.0 - case.frame.sun_altitude_deg(case.mjd)
        assert unlike(case.dark, np.broadcast_to(below, case.dark.shape), 2.0) == 0


def test_the_moon_is_far_enough_when_astroplan_says_so() -> None:
    for case in cases():
        cosines = np.clip(case.there @ case.frame.moon_directions(case.mjd).T, -1.0, 1.0)
        away = np.degrees(np.arccos(cosines)) - case.limits.min_moon_separation_deg
        # Our Moon and astropy's differ by up to 10″ from the same full series.
        assert unlike(case.off_the_moon, away, 12.0) == 0


def test_windows_hold_the_instants_that_astroplan_finds_dark_and_high() -> None:
    two_seconds = 2.0 / 86400.0
    for case in cases():
        dark = spans_mjd(case.night.below_18)
        found = windows(case.frame, case.there, dark, case.limits.min_altitude_deg)
        step_hours = (case.mjd[1] - case.mjd[0]) * 24.0
        for row, theirs in enumerate(case.high & case.dark):
            inside = case.mjd[theirs]
            # Each of at most two stretches is off by less than a step of their looks.
            assert abs(found.hours[row] - len(inside) * step_hours) < 2.0 * step_hours
            if len(inside):
                assert found.first_mjd[row] <= inside[0] + two_seconds
                assert found.last_mjd[row] >= inside[-1] - two_seconds
