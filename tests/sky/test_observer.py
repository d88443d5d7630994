"""The fast way answers as astroplan's constraints do, where those are right."""

import warnings
from datetime import date

import astropy.units as u
import numpy as np
import pytest
from astroplan import AltitudeConstraint, Constraint, FixedTarget, is_observable
from astropy.coordinates import NonRotationTransformationWarning, SkyCoord
from astropy.time import Time

from logbook.sky.catalogue.objects import SkyObject, deep_sky
from logbook.sky.limits.limits import Limits
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.arrays import Bools, Floats
from logbook.sky.night.site import Site, horizon_altitude_deg
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.observer import (
    FramingConstraint,
    SkylineConstraint,
    constraints,
    fixed_targets,
    observer,
)
from tests.sky.tables import CAPE, DATE_LINE, EQUATOR, WALES

FIELD = (0.83, 0.55)


def some_objects(seed: int, count: int = 100) -> list[SkyObject]:
    rows = np.random.default_rng(seed).choice(len(deep_sky()), count, replace=False)
    return [deep_sky().at(int(row)) for row in rows]


def asked(constraint: Constraint, site: Site, things: list[SkyObject], mjd: Floats) -> Bools:
    """What a constraint says of each object (rows) at each instant (columns)."""
    there = SkyCoord([t.ra_deg for t in things] * u.deg, [t.dec_deg for t in things] * u.deg)
    with warnings.catch_warnings():
        # Its Moon is already the one seen from the site: the frames differ, the numbers do not.
        warnings.simplefilter("ignore", NonRotationTransformationWarning)
        answer = constraint(
            observer(site), there, times=Time(mjd, format="mjd"), grid_times_targets=True
        )
    return np.asarray(answer)


def directions(frame: SkyFrame, things: list[SkyObject]) -> Floats:
    return frame.places(
        np.array([thing.ra_deg for thing in things]), np.array([thing.dec_deg for thing in things])
    )


def assert_same(theirs: Bools, margin_deg: Floats, arcsec: float) -> None:
    """Both say the same, except where it is closer than the stated accuracy."""
    differ = theirs != (margin_deg >= 0.0)
    assert not np.any(differ & (np.abs(margin_deg) * 3600.0 > arcsec))
    assert 0 < np.count_nonzero(theirs) < theirs.size


@pytest.mark.parametrize("day", [date(2026, 2, 3), date(2026, 9, 14), date(2026, 11, 8)])
@pytest.mark.parametrize("site", [WALES, EQUATOR, CAPE], ids=lambda site: site.name)
def test_sunset_and_twilights_are_astroplans_where_it_finds_them(site: Site, day: date) -> None:
    # Its own horizon is 0°: the one of the definitions has to be given.
    found = night_and_frame(site, day)[0]
    noon = Time(found.noon_utc)
    asked_for = (
        (found.sunset, observer(site).sun_set_time(noon, "next", -0.83333 * u.deg)),
        (found.civil_dusk, observer(site).twilight_evening_civil(noon, "next")),
        (found.nautical_dusk, observer(site).twilight_evening_nautical(noon, "next")),
        (found.astronomical_dusk, observer(site).twilight_evening_astronomical(noon, "next")),
        (found.astronomical_dawn, observer(site).twilight_morning_astronomical(noon, "next")),
        (found.sunrise, observer(site).sun_rise_time(noon, "next", -0.83333 * u.deg)),
    )
    for ours, theirs in asked_for:
        assert ours is not None
        assert abs((Time(ours) - theirs).to_value("s")) < 2.0
    middle = found.noon_utc + (found.next_noon_utc - found.noon_utc) / 2
    lit = observer(site).moon_illumination(Time(middle))
    assert found.moon_illumination == pytest.approx(lit, abs=0.0005)


def test_the_horizon_of_trees_is_the_same_in_astroplans_words() -> None:
    trees = ((0.0, 20.0), (40.0, 45.0), (120.0, 10.0), (230.0, 5.0), (300.0, 40.0))
    frame = night_and_frame(WALES, date(2026, 11, 8))[1]
    things = some_objects(7)
    there, mjd = directions(frame, things), np.linspace(frame.start_mjd, frame.end_mjd, 49)
    needed = np.vectorize(lambda azimuth: horizon_altitude_deg(trees, azimuth))
    margin = frame.altitudes_deg(there, mjd) - needed(frame.azimuths_deg(there, mjd))
    assert_same(asked(SkylineConstraint(trees), WALES, things, mjd), margin, 10.0)


def test_a_shared_observer_gives_one_target_the_answer_of_another() -> None:
    # Why every question gets a new Observer (astroplan 0.10.1): its cache forgets declination.
    times = Time(["2026-11-08T22:00", "2026-11-08T23:00"])
    high = FixedTarget(SkyCoord(30 * u.deg, 60 * u.deg), name="high")
    low = FixedTarget(SkyCoord(30 * u.deg, -60 * u.deg), name="low")
    limit = AltitudeConstraint(min=30 * u.deg)
    shared = observer(WALES)
    assert is_observable(limit, shared, [high], times=times)[0]
    assert is_observable(limit, shared, [low], times=times)[0]  # wrong: it never rises there
    assert not is_observable(limit, observer(WALES), [low], times=times)[0]


def test_framing_is_a_constraint_among_the_others() -> None:
    # M 31 is wider than the field, M 57 a dot in it, M 51 fits; one has no size.
    names = ("NGC 224", "NGC 6720", "NGC 5194")
    things = [deep_sky().at(deep_sky().index_of(name)) for name in names]
    sizes = [*(thing.major_arcmin for thing in things), None]
    framing = FramingConstraint(sizes, FIELD, least=0.1, largest=1.0)
    targets = [*fixed_targets(things), FixedTarget(SkyCoord(10 * u.deg, 41 * u.deg), name="none")]
    times = Time(["2026-11-08T22:00", "2026-11-08T23:00", "2026-11-09T00:00"])
    answer = framing(observer(WALES), targets, times=times, grid_times_targets=True)
    assert answer.shape == (4, 3)
    assert answer.all(axis=1).tolist() == [False, False, True, True]
    with pytest.raises(ValueError, match="4 sizes were given for targets of shape"):
        framing(observer(WALES), targets[:2], times=times, grid_times_targets=True)


def test_limits_become_constraints_in_order() -> None:
    things = some_objects(3, 5)
    limits = Limits(min_fill=0.05)
    kinds = [type(each).__name__ for each in constraints(limits, things, FIELD, ((0, 5), (90, 9)))]
    assert kinds == [
        "AltitudeConstraint",
        "AtNightConstraint",
        "MoonSeparationConstraint",
        "SkylineConstraint",
        "FramingConstraint",
    ]
    assert [target.name for target in fixed_targets(things)] == [thing.id for thing in things]


def test_an_observer_stands_where_the_site_is() -> None:
    there = observer(DATE_LINE)
    assert there.location.lat.deg == pytest.approx(-17.0)
    assert there.location.lon.wrap_at(360 * u.deg).deg == pytest.approx(180.0)
    assert there.location.height.to_value("m") == pytest.approx(10.0, abs=1e-3)
    assert there.timezone.zone == "Pacific/Fiji"
    assert there.pressure is None
