"""Double stars: how hard they are, and what a night offers."""

from datetime import date

import numpy as np
import pytest

from logbook.sky.bright_night.doubles_tonight import (
    DoublesTonight,
    difficulty,
    doubles_tonight,
    needed_arcsec,
)
from logbook.sky.catalogue.doubles import DoubleStar, double_stars
from logbook.sky.framing.framing import FieldOfView
from logbook.sky.framing.instrument import Instrument
from logbook.sky.night import earth
from logbook.sky.night.almanac import night_and_frame
from tests.sky import tables

FIELD = FieldOfView("long focus", 1624.0, 0.4776, (0.829, 0.553))


def tonight(aperture_mm: float | None) -> DoublesTonight:
    night, frame = night_and_frame(tables.WALES, date(2026, 11, 21))
    return doubles_tonight(frame, night, Instrument(aperture_mm, FIELD), most=400)


def star(identifier: str) -> DoubleStar:
    return next(each for each in double_stars() if each.id == identifier)


def test_limits_of_an_aperture_are_the_published_ones() -> None:
    # Source: Dawes 1867, 4.56 arcsec for one inch; Rayleigh, 1.22 x 550 nm / D: 1.38 arcsec for
    # 100 mm (any optics text).
    inch = Instrument(25.4, None)
    assert inch.dawes_arcsec == pytest.approx(4.56, abs=0.01)
    assert Instrument(100.0, None).smallest_split_arcsec == pytest.approx(1.384, abs=0.001)
    assert Instrument(None, None).dawes_arcsec is None
    assert Instrument(100.0, None).pixels(3.0) is None


# Source: Lewis 1914, The Observatory 37, 378, from memory: for one inch 4.8 for equal bright
# stars, 16.5 for pairs 3.3 magnitudes apart, 36 for 5.7.
@pytest.mark.parametrize(("difference_mag", "arcsec_inch"), [(0.0, 4.8), (3.3, 16.5), (5.7, 36.0)])
def test_unequal_pairs_need_what_was_found_by_trial(
    difference_mag: float, arcsec_inch: float
) -> None:
    assert needed_arcsec(4.56, difference_mag) == pytest.approx(arcsec_inch, rel=0.09)


def test_difficulty_goes_from_easy_to_beyond() -> None:
    said = [difficulty(times) for times in (30.0, 2.5, 1.5, 1.0, 0.5)]
    assert said == ["easy", "fair", "hard", "very hard", "beyond this aperture"]
    assert difficulty(None) == "unknown"


def test_a_larger_aperture_makes_each_pair_easier() -> None:
    small, large = (
        {each.star.id: each for each in tonight(aperture).doubles} for aperture in (100.0, 250.0)
    )
    assert set(small) == set(large)
    for identifier, pair in small.items():
        assert pair.times_limit is not None
        assert large[identifier].times_limit == pytest.approx(2.5 * pair.times_limit)
    # The two close pairs of epsilon Lyrae are the trade's trial for 60 to 100 mm.
    assert small["HIP 91919"].difficulty in ("fair", "hard")
    assert large["HIP 91919"].difficulty == "easy"


def test_numbers_are_those_of_the_night_and_the_train() -> None:
    found = tonight(203.0)
    scores = [each.score for each in found.doubles]
    assert scores == sorted(scores, reverse=True)
    for each in found.doubles:
        assert each.max_altitude_deg >= 30.0
        (window,) = each.window
        assert 0.0 < each.hours <= window.hours + 1e-6
        assert each.separation_px == pytest.approx(each.star.separation_arcsec / 0.4776)
    assert "203 mm: Rayleigh 0.68″, Dawes 0.57″" in found.words[0]


def test_every_pair_that_stands_high_is_there_and_no_other() -> None:
    # Source: astropy, each pair's altitude through the dark every five minutes.
    import astropy.units as u
    from astropy.coordinates import AltAz, SkyCoord
    from astropy.time import Time

    from logbook.sky.observer import observer

    night, frame = night_and_frame(tables.CAPE, date(2026, 11, 21))
    found = doubles_tonight(frame, night, Instrument(203.0, FIELD), most=1000)
    (dark,) = night.below_6
    stars = double_stars()
    places = SkyCoord([s.ra_deg for s in stars] * u.deg, [s.dec_deg for s in stars] * u.deg)
    mjd = np.linspace(earth.to_mjd(dark.start), earth.to_mjd(dark.end), 120)
    there = AltAz(obstime=Time(mjd, format="mjd")[:, None], location=observer(tables.CAPE).location)
    highest = places[None, :].transform_to(there).alt.deg.max(axis=0)
    ids = {each.star.id for each in found.doubles}
    for pair, altitude in zip(stars, highest, strict=True):
        if abs(altitude - 30.0) > 0.1:
            assert (pair.id in ids) == (altitude > 30.0), pair.id


def test_movement_is_told_as_it_is_known() -> None:
    assert "very roughly" in star("HIP 61941").moves  # gamma Virginis, 169 years
    assert star("HIP 104214").moves.startswith("moved by 0.12″ a year")  # 61 Cygni
    assert star("HIP 78820").moves == ""  # beta Scorpii hardly moves
    # alpha Circini runs 0.3″ a year and is 15″ from a star that only one source has.
    assert "unless both travel together" in star("HIP 71908").moves


def test_what_is_not_known_is_said() -> None:
    unknown = tonight(None)
    assert "Aperture unknown" in unknown.words[0]
    assert {each.difficulty for each in unknown.doubles} == {"unknown"}
    assert all(each.times_limit is None for each in unknown.doubles)
    night, frame = night_and_frame(tables.TROMS, date(2026, 6, 20))
    light = doubles_tonight(frame, night, Instrument(203.0, None))
    assert light.doubles == ()
    assert any("never 6° below" in words for words in light.words)
