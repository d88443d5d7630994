"""How the planets look, and what a night offers of them."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from logbook.sky.bright_night.tonight import PlanetTonight, planets_tonight
from logbook.sky.framing.framing import FieldOfView
from logbook.sky.framing.instrument import Instrument
from logbook.sky.night import earth
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.site import Site
from logbook.sky.night.sky_frame import sky_frame
from logbook.sky.solar_system.appearance import PlanetLook, planet_look
from logbook.sky.solar_system.positions import PLANETS
from tests.sky import tables

LONG = Instrument(203.0, FieldOfView("long focus", 1624.0, 0.4776, (0.829, 0.553)))


def look(name: str, at: datetime) -> PlanetLook:
    day = timedelta(hours=12)
    return planet_look(sky_frame(tables.WALES, at - day, at + day), name, earth.to_mjd(at))


# Source: semidiameters at 1 AU, arcsec: Meeus 1998, ch. 55.
@pytest.mark.parametrize(
    ("name", "semidiameter_arcsec"),
    [
        ("Mercury", 3.36),
        ("Venus", 8.34),
        ("Mars", 4.68),
        ("Jupiter", 98.44),
        ("Saturn", 82.73),
        ("Uranus", 35.02),
        ("Neptune", 33.50),
    ],
)
def test_discs_are_as_wide_as_printed(name: str, semidiameter_arcsec: float) -> None:
    found = look(name, datetime(2026, 11, 21, tzinfo=UTC))
    at_one_au = found.diameter_arcsec * found.distance_au / 2.0
    # The handbook's Uranus and Neptune are rounder than those of the Voyager probe.
    assert at_one_au == pytest.approx(semidiameter_arcsec, rel=0.025)


@pytest.mark.parametrize("name", PLANETS)
def test_magnitude_phase_and_elongation_agree_with_an_almanac(name: str) -> None:
    # Source: skyfield with DE421; its magnitudes are those of Mallama & Hilton 2018 too, with the
    # Sun put at the middle of the solar system (Mercury: 0.1 mag in thin phases).
    from skyfield.magnitudelib import planetary_magnitude

    scale, bodies = tables.jpl()
    outer = name in ("Jupiter", "Saturn", "Uranus", "Neptune")
    body = bodies[f"{name} barycenter" if outer else name]
    for step in range(6):
        at = datetime(2024, 3, 1, tzinfo=UTC) + timedelta(days=311.7 * step)
        centre = bodies["earth"].at(scale.from_datetime(at))
        there, sun = centre.observe(body), centre.observe(bodies["sun"])
        found = look(name, at)
        assert found.magnitude == pytest.approx(float(planetary_magnitude(there)), abs=0.1)
        lit = float(there.fraction_illuminated(bodies["sun"]))
        assert found.illumination == pytest.approx(lit, abs=0.001)
        assert found.distance_au == pytest.approx(there.distance().au, rel=2e-4)
        apart = float(there.apparent().separation_from(sun.apparent()).degrees)
        assert found.elongation_deg == pytest.approx(apart, abs=0.03)


# Source: Mallama & Hilton 2018, the printed ranges of apparent magnitudes.
@pytest.mark.parametrize(
    ("name", "brightest", "faintest"),
    [
        ("Venus", -4.98, -2.98),
        ("Mars", -2.94, 1.86),
        ("Jupiter", -2.94, -1.66),
        ("Saturn", -0.55, 1.17),
        ("Uranus", 5.38, 6.03),
        ("Neptune", 7.67, 8.00),
    ],
)
def test_magnitudes_stay_in_their_printed_range(
    name: str, brightest: float, faintest: float
) -> None:
    days = (datetime(2020, 1, 1, tzinfo=UTC) + timedelta(days=97 * i) for i in range(40))
    found = [look(name, day) for day in days]
    magnitudes = [each.magnitude for each in found if each.elongation_deg > 10.0]
    assert brightest - 0.1 <= min(magnitudes)
    assert max(magnitudes) <= faintest + 0.1


def test_saturn_brightens_at_opposition() -> None:
    # Source: skyfield with DE421 on 2018-06-27, opposition, and two months later; rings wide open.
    from skyfield.magnitudelib import planetary_magnitude

    scale, bodies = tables.jpl()
    magnitudes = []
    for at in (datetime(2018, 6, 27, 13, tzinfo=UTC), datetime(2018, 8, 27, tzinfo=UTC)):
        there = bodies["earth"].at(scale.from_datetime(at)).observe(bodies["saturn barycenter"])
        magnitudes.append(look("Saturn", at).magnitude)
        assert magnitudes[-1] == pytest.approx(float(planetary_magnitude(there)), abs=0.02)
    assert magnitudes[1] - magnitudes[0] > 0.3


def test_saturn_rings_close_and_open() -> None:
    # Source: the Earth crossed the ring plane on 2025-03-23; widest open 2017-10, 27.0 degrees
    # (almanacs, from memory).
    assert look("Saturn", datetime(2025, 3, 23, tzinfo=UTC)).tilt_deg == pytest.approx(0, abs=0.1)
    wide = look("Saturn", datetime(2017, 10, 15, tzinfo=UTC))
    assert abs(wide.tilt_deg) == pytest.approx(27.0, abs=0.1)


def test_venus_in_the_evening_is_east_of_the_sun() -> None:
    # Source: greatest elongations of Venus 2025-01-10 (47.2 east), 2025-06-01 (45.9 west), from
    # memory.
    evening, morning = (
        look("Venus", datetime(2025, month, day, tzinfo=UTC)) for month, day in ((1, 10), (6, 1))
    )
    assert evening.east
    assert evening.elongation_deg == pytest.approx(47.2, abs=0.1)
    assert not morning.east
    assert morning.elongation_deg == pytest.approx(45.9, abs=0.1)


def tonight(
    day: date, site: Site = tables.WALES, at: datetime | None = None
) -> dict[str, PlanetTonight]:
    night, frame = night_and_frame(site, day)
    return {planet.name: planet for planet in planets_tonight(frame, night, LONG, at=at)}


def test_a_night_offers_all_seven_best_first() -> None:
    planets = tonight(date(2026, 11, 21))
    assert set(planets) == set(PLANETS)
    scores = [planet.score for planet in planets.values()]
    assert scores == sorted(scores, reverse=True)
    jupiter = planets["Jupiter"]
    (window,) = jupiter.window
    assert jupiter.hours == pytest.approx(window.hours)
    assert jupiter.diameter_px == pytest.approx(jupiter.diameter_arcsec / 0.4776)
    assert any("80 pixels" in words for words in jupiter.words)
    assert jupiter.constellation == "Leo"


def test_nothing_near_the_sun_is_offered() -> None:
    # Source: conjunctions with the Sun: Mercury 2026-11-04, Jupiter 2026-07-29 (almanacs, from
    # memory).
    for name, day in (("Mercury", date(2026, 11, 4)), ("Jupiter", date(2026, 7, 29))):
        planet = tonight(day)[name]
        assert planet.elongation_deg < 20.0
        assert planet.too_near_sun
        assert planet.window == ()
        assert planet.score == 0.0
        assert "Never point a telescope" in planet.words[0]


def test_a_window_lies_in_the_dark_above_the_limit() -> None:
    night, frame = night_and_frame(tables.CAPE, date(2026, 11, 24))
    for planet in planets_tonight(frame, night, LONG, min_altitude_deg=25.0):
        for window in planet.window:
            edges = np.array([earth.to_mjd(window.start), earth.to_mjd(window.end)])
            assert np.all(frame.sun_altitude_deg(edges) <= -6.0 + 1e-3)
            assert planet.max_altitude_deg is not None
            assert planet.max_altitude_deg >= 25.0 - 1e-3


def test_without_a_dark_hour_the_planets_say_so() -> None:
    planets = tonight(date(2026, 6, 20), site=tables.TROMS)
    assert all(planet.window == () for planet in planets.values())
    assert all(planet.max_altitude_deg is None for planet in planets.values())
    assert "never 6° below" in planets["Saturn"].words[0]


def test_what_stands_too_low_says_how_low() -> None:
    night, frame = night_and_frame(tables.WALES, date(2026, 11, 21))
    planets = planets_tonight(frame, night, LONG, min_altitude_deg=60.0)
    saturn = next(planet for planet in planets if planet.name == "Saturn")
    assert saturn.words[0] == "up to 39° only: never above 60° while the Sun is down"


def test_the_places_are_those_of_the_instant_asked_for() -> None:
    at = datetime(2026, 11, 21, 21, tzinfo=UTC)
    jupiter = tonight(date(2026, 11, 21), at=at)["Jupiter"]
    later = tonight(date(2026, 11, 21), at=at + timedelta(hours=6))["Jupiter"]
    assert jupiter.altitude_deg < 0.0 < later.altitude_deg
