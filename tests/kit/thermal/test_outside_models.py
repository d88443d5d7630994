"""What readings teach, where they come from other models than the program's own: `outside`."""

import numpy as np
import pytest
from scipy.stats import binom

from logbook.kit.thermal.cooling_fit import CoolingFit, fit_cooling
from logbook.kit.thermal.focus_fit import FocusSlope, fit_focus
from logbook.kit.thermal.tube_constant import TubeConstant, tube_constant
from tests.kit.outside import a_night, constant_min, focus_night

NIGHTS = 120


def at_least(share: float, of: int) -> int:
    """So many of `of` at least, if the share is the true one: in 999 of 1,000 counts."""
    return int(binom.ppf(0.001, of, share))


@pytest.mark.parametrize(
    ("thickness_m", "heat_w_m2_k", "noise"),
    [(0.030, 8.0, 0.1), (0.025, 20.0, 0.1), (0.040, 6.0, 0.3)],
)
def test_a_plate_in_falling_air_gives_its_own_constant(
    thickness_m: float, heat_w_m2_k: float, noise: float
) -> None:
    rng, truth = np.random.default_rng(29), constant_min(thickness_m, heat_w_m2_k)
    found = [fit_cooling(*a_night(rng, thickness_m, heat_w_m2_k, noise)) for _ in range(NIGHTS)]
    fits = [each for each in found if isinstance(each, CoolingFit)]
    hits = sum(each.low_min <= truth <= each.high_min for each in fits)
    assert len(fits) > 0.9 * NIGHTS
    assert hits >= at_least(0.95, len(fits))
    assert np.median([each.tau_min for each in fits]) == pytest.approx(truth, rel=0.02)


def test_the_lead_alone_would_be_far_off_where_the_air_falls() -> None:
    """Why the air's fall counts: the logarithm of the lead over it makes another constant."""
    rng, truth = np.random.default_rng(7), constant_min(0.030, 8.0)
    naive = []
    for _ in range(40):
        air, body = a_night(rng, 0.030, 8.0, 0.05)
        air_at, air_c = zip(*air, strict=True)
        lead = [(at, deg - float(np.interp(at, air_at, air_c))) for at, deg in body]
        at, over = zip(*((at, np.log(k)) for at, k in lead if k > 0.3), strict=True)
        naive.append(-1.0 / np.polyfit(at, over, 1)[0])
    assert np.median(naive) > 1.15 * truth


@pytest.mark.slow
def test_a_season_of_plates_holds_the_constant_of_the_telescope() -> None:
    rng, truth, hits, seasons = np.random.default_rng(31), constant_min(0.030, 8.0), 0, 30
    for _ in range(seasons):
        fits = (fit_cooling(*a_night(rng, 0.030, 8.0, 0.1)) for _ in range(6))
        nights = [(each.tau_min, each.sigma_min) for each in fits if isinstance(each, CoolingFit)]
        season = tube_constant(nights)
        assert isinstance(season, TubeConstant)
        hits += season.low_min <= truth <= season.high_min
    assert hits >= at_least(0.95, seasons)


@pytest.mark.slow
@pytest.mark.parametrize(("per_k", "noise"), [(-24.0, 12.0), (-4.4, 2.0), (110.0, 60.0)])
def test_focus_that_follows_late_gives_the_slope_of_its_own_scale(
    per_k: float, noise: float
) -> None:
    rng, hits, books, slopes = np.random.default_rng(5), 0, 60, []
    for _ in range(books):
        found = fit_focus([focus_night(rng, per_k, noise) for _ in range(8)])
        assert isinstance(found, FocusSlope)
        hits += found.low_per_k <= per_k <= found.high_per_k
        slopes.append(found.per_k)
    assert np.median(slopes) == pytest.approx(per_k, rel=0.05)
    assert hits >= at_least(0.95, books)
