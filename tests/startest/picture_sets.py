"""Sets of test pictures by seed: good ones of every kind, bad ones with the name of their fault.

Ranges: obstruction 0.25 to 0.5, 6 to 20 waves, seeing 0.8 to 3 arcseconds, no vane, three or four,
shadow off by 0 to 0.3 through coma, a decentred shadow or both, sloping sky, hot pixels, gamma 1 to
2.2, 8 and 16 bit. Set 0 to 240 was used to choose numbers in the program; tests use others.
"""

import math
from dataclasses import replace

import numpy as np

from tests.startest.pictures import Recipe


def good_recipe(seed: int, *, largest_px: float = 160.0) -> Recipe:
    """A picture that can be measured, its disc up to `largest_px` in radius."""
    dice = np.random.default_rng(seed * 7919 + 13)
    waves = dice.uniform(6, 20) if dice.random() < 0.4 else dice.uniform(8, 12)
    obstruction = dice.uniform(0.25, 0.5)
    offset = dice.uniform(0, 0.3) if dice.random() < 0.4 else dice.uniform(0, 0.15)
    angle = dice.uniform(0, 2 * math.pi)
    by_coma = dice.choice([1.0, 1.0, 0.5, 0.0])
    coma = by_coma * offset * 2 * waves / (3 * (1 - obstruction**2))
    moved = (1 - by_coma) * offset
    small = dice.random() < 0.8 or largest_px < 100.0
    radius = min(dice.uniform(30, 70) if small else dice.uniform(70, 160), largest_px)
    side = int(max(200, radius * dice.uniform(3.2, 5)))
    play = 0.8 * (side - 3.0 * radius - 10)
    return Recipe(
        seed=seed,
        radius_px=radius,
        defocus_waves=waves,
        obstruction=obstruction,
        decentre=(moved * math.cos(angle), moved * math.sin(angle)),
        coma_waves=(coma * math.cos(angle), coma * math.sin(angle)),
        astigmatism_waves=dice.normal(0, 0.15),
        spherical_waves=dice.normal(0, 0.1),
        seeing_arcsec=dice.uniform(0.8, 3.0),
        moments=int(dice.integers(18, 37)),
        vanes=int(dice.choice([0, 3, 4])),
        size=(side, side),
        place=(
            side / 2 + dice.uniform(-0.5, 0.5) * play,
            side / 2 + dice.uniform(-0.5, 0.5) * play,
        ),
        plateau_e=dice.uniform(600, 9000),
        sky_e=dice.uniform(20, 800),
        slope_e=dice.uniform(-150, 150),
        read_noise_e=dice.uniform(2, 15),
        hot_pixels=int(dice.integers(0, 25)),
        full_well_e=60_000.0,
        gamma=float(dice.choice([1, 1, 1, 1.6, 2.2])),
        bits=int(dice.choice([8, 16, 16])),
    )


def bad_recipes(seed: int, *, largest_px: float = 160.0) -> list[tuple[str, Recipe]]:
    """Twelve pictures that must be refused, each with the name of its fault."""

    def plain(number: int) -> Recipe:
        one = good_recipe(seed + number, largest_px=largest_px)
        coma = one.coma_waves[0] * 0.4, one.coma_waves[1] * 0.4
        return replace(one, place=None, gamma=1.0, coma_waves=coma)

    return [
        ("no star", replace(plain(0), plateau_e=0.0)),
        ("no star", replace(plain(1), plateau_e=0.0, slope_e=2000.0)),
        ("saturated", _saturated(plain(2), 0.75)),
        ("saturated", _saturated(plain(3), 0.9)),
        ("several", _several(plain(4), 0.6)),
        ("several", _several(plain(5), 1.0)),
        ("cut", _cut(plain(6), 0.5)),
        ("cut", _cut(plain(7), 0.9)),
        ("near focus", replace(plain(8), radius_px=4.0, defocus_waves=0.8, size=(200, 200))),
        ("no shadow", replace(plain(9), obstruction=0.0, decentre=(0.0, 0.0))),
        ("trailed or double", _wide(replace(plain(10), trail_px=0.8 * plain(10).radius_px))),
        ("trailed or double", _wide(_double(plain(11)))),
    ]


def _saturated(one: Recipe, share: float) -> Recipe:
    return replace(one, full_well_e=one.sky_e + share * one.plateau_e)


def _several(one: Recipe, share: float) -> Recipe:
    apart = 2.8 * one.radius_px
    side = int(2.6 * apart)
    companion = (0.75 * apart, 0.4 * apart, share)
    return replace(one, size=(side, side), companion=companion, place=(0.85 * apart, apart))


def _cut(one: Recipe, inside: float) -> Recipe:
    return replace(one, place=(inside * one.radius_px, one.size[0] / 2.0))


def _double(one: Recipe) -> Recipe:
    return replace(one, companion=(0.6 * one.radius_px, 0.3 * one.radius_px, 0.7))


def _wide(one: Recipe) -> Recipe:
    rows, columns = one.size
    return replace(one, size=(int(1.3 * rows), int(1.3 * columns)))
