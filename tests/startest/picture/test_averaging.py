"""Several pictures of one setting: the mean and its error, against numpy and simulation."""

import math

import numpy as np
import pytest

from logbook.errors import BadInput
from logbook.startest.picture.averaging import average
from logbook.startest.result import Circle, StarMeasure


def star(x: float, y: float, *, sigma: float = 0.012, radius_px: float = 50.0) -> StarMeasure:
    return StarMeasure(
        "a.png",
        ok=True,
        disc=Circle(100.0, 100.0, radius_px),
        shadow=Circle(100.0 + x * radius_px, 100.0 + y * radius_px, 18.0),
        offset_fraction=math.hypot(x, y),
        offset_sigma=sigma,
        position_angle_deg=math.degrees(math.atan2(y, x)) % 360.0,
        quality=0.8,
    )


REFUSED = StarMeasure("b.png", ok=False, refusal="no star", reason="no star: look again")


def test_the_mean_is_the_mean_of_vectors_not_of_lengths() -> None:
    mean = average([star(0.1, 0.0), star(-0.1, 0.0), star(0.0, 0.02)])
    assert mean.offset_x == pytest.approx(0.0, abs=1e-9)
    assert mean.offset_y == pytest.approx(0.02 / 3, abs=1e-9)
    assert mean.used == 3


def test_certain_pictures_count_more() -> None:
    mean = average([star(0.0, 0.0, sigma=0.01), star(0.1, 0.0, sigma=0.03)])
    assert mean.offset_x == pytest.approx(np.average([0.0, 0.1], weights=[1 / 1e-4, 1 / 9e-4]))


def test_the_truth_lies_inside_the_stated_circle_in_about_95_of_100_settings() -> None:
    dice = np.random.default_rng(11)
    inside = 0
    for _ in range(400):
        looks = [star(*dice.normal((0.05, -0.03), 0.012)) for _ in range(5)]
        mean = average(looks)
        inside += math.hypot(mean.offset_x - 0.05, mean.offset_y + 0.03) <= mean.radius_95
    assert 0.88 <= inside / 400 <= 0.995


def test_five_pictures_say_more_than_one() -> None:
    dice = np.random.default_rng(2)
    looks = [star(*dice.normal((0.05, 0.0), 0.012)) for _ in range(5)]
    assert average(looks).offset_sigma < 0.7 * 0.012


def test_pictures_that_scatter_more_than_they_say_are_believed_less() -> None:
    looks = [star(0.05, 0.05), star(-0.05, 0.05), star(0.05, -0.05), star(-0.05, -0.05)]
    assert average(looks).offset_sigma > 0.02


def test_one_far_from_the_others_is_left_out_and_told() -> None:
    looks = [star(0.05, 0.0), star(0.06, 0.0), star(0.05, 0.01), star(0.05, -0.01), star(0.4, 0.3)]
    mean = average(looks)
    assert mean.used == 4
    assert mean.offset_x == pytest.approx(0.0525, abs=1e-6)
    assert any("left out" in note for note in mean.notes)


def test_refused_pictures_are_counted_and_not_used() -> None:
    mean = average([star(0.05, 0.0), REFUSED])
    assert (mean.used, mean.of) == (1, 2)
    assert any("1 refused" in note for note in mean.notes)


def test_what_cannot_be_averaged_says_why() -> None:
    with pytest.raises(BadInput, match="none of the pictures"):
        average([REFUSED])
    with pytest.raises(BadInput, match="one defocus"):
        average([star(0.1, 0.0), star(0.1, 0.0, radius_px=70.0)])
