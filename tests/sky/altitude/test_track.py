"""Where an object stands just now, held against astropy and against the night's own windows."""

from datetime import date, datetime, timedelta

import numpy as np
import pytest
from astropy.coordinates import AltAz, SkyCoord, get_body
from astropy.time import Time

from logbook.errors import NotFound
from logbook.sky.altitude.ephemeris import Mover
from logbook.sky.altitude.one_object import object_tonight
from logbook.sky.altitude.track import Track, track_of
from logbook.sky.catalogue.objects import deep_sky
from logbook.sky.limits.limits import Limits
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.site import Site
from logbook.sky.observer import observer
from tests.sky.altitude.test_one_object import TREES
from tests.sky.tables import CAPE, WALES

EVENING = date(2026, 11, 25)


def some_instants(track: Track) -> list[datetime]:
    return [track.start_utc + timedelta(minutes=37, seconds=11) * step for step in range(38)]


@pytest.mark.parametrize("site", [WALES, CAPE], ids=lambda site: site.name)
def test_altitude_and_moon_are_astropys_at_any_moment(site: Site) -> None:
    # Reference: astropy's horizontal places without refraction.
    track = track_of(site, (83.633, 22.014), "", EVENING, 30.0)
    here = observer(site).location
    instants = [each for each in some_instants(track) if track.at(each) is not None]
    times = Time(instants)
    there = SkyCoord(83.633, 22.014, unit="deg").transform_to(AltAz(obstime=times, location=here))
    moon = get_body("moon", times, here).transform_to(AltAz(obstime=times, location=here))
    for place, instant in enumerate(instants):
        now = track.at(instant)
        assert now is not None
        assert now.altitude_deg == pytest.approx(there[place].alt.deg, abs=0.02)
        apart = there[place].separation(moon[place]).deg
        assert now.moon_separation_deg == pytest.approx(apart, abs=0.05)


@pytest.mark.parametrize("horizon", [(), TREES])
def test_it_goes_below_its_horizon_when_its_window_ends(
    horizon: tuple[tuple[float, float], ...],
) -> None:
    objects = deep_sky()
    thing = objects.at(objects.index_of("NGC 224"))
    site = Site("Wales", WALES.latitude_deg, WALES.longitude_deg, 300.0, "Europe/London", horizon)
    found = object_tonight(site, thing, EVENING, Limits(min_altitude_deg=25.0))
    track = track_of(site, (thing.ra_deg, thing.dec_deg), "", EVENING, 25.0)
    assert found.windows
    end = found.windows[-1].end
    going = track.next_set(end - timedelta(minutes=5))
    assert going is not None
    assert abs((going - end).total_seconds()) < 30
    assert found.transit_utc is not None
    crossing = track.transit_near(end)
    assert crossing is not None
    assert abs((crossing - found.transit_utc).total_seconds()) < 5


@pytest.mark.parametrize("body", ["Moon", "Jupiter"])
def test_what_moves_is_followed(body: str) -> None:
    track = track_of(WALES, None, body, EVENING, 0.0)
    _, frame = night_and_frame(WALES, EVENING)
    spans = Mover(frame, body).spans_above(0.0)
    ends = [each.end for each in spans]
    assert track.sets_utc
    assert min(abs((track.sets_utc[-1] - each).total_seconds()) for each in ends) < 30
    now = track.at(track.start_utc + timedelta(hours=9))
    assert now is not None
    if body == "Moon":
        assert now.moon_separation_deg == pytest.approx(0.0, abs=1e-4)


def test_outside_the_night_nothing_is_said() -> None:
    track = track_of(WALES, (10.0, 41.0), "", EVENING, 30.0)
    assert track.at(track.start_utc - timedelta(minutes=1)) is None
    assert track.at(track.start_utc + timedelta(hours=25)) is None
    assert track.next_set(track.start_utc + timedelta(hours=24)) is None
    assert np.isfinite(track.standings[300].airmass)


def test_a_body_that_is_none_is_refused() -> None:
    with pytest.raises(NotFound):
        track_of(WALES, None, "Vulcan", EVENING, 0.0)
