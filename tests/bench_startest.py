"""How well and how fast pictures of a defocused star are measured, on sets of fresh seeds.

`python -m tests.bench_startest [pictures a set]` prints it; nothing is asserted. Times are given as
a share of what may be taken: 0.2 s for 1000 × 1000 pixels, 1 s for 24 megapixels.
"""

import sys
import time
from collections import Counter
from collections.abc import Callable

import numpy as np

from logbook.startest.picture.averaging import average
from logbook.startest.picture.measure import measure_picture
from logbook.startest.picture.picture import Picture
from logbook.startest.result import Facts
from tests.startest.figures import figures, measured
from tests.startest.picture_sets import bad_recipes, good_recipe
from tests.startest.pictures import Recipe, picture, truth

SETS = (5000, 7000, 8000)
SPEEDS = (
    ((1000, 1000), 60.0, 0.2),
    ((1000, 1000), 350.0, 0.2),
    ((4000, 6000), 60.0, 1.0),
    ((4000, 6000), 400.0, 1.0),
)


def run(pictures: int = 28) -> list[str]:
    """Lines with figures."""
    lines = [
        f"set {first}: {figures(good_recipe(first + n) for n in range(pictures)).line()}"
        for first in SETS
    ]
    lines += [_bad(first) for first in SETS]
    lines.append(_averaged(8))
    return lines + [_speed(*each) for each in SPEEDS]


def _bad(first: int) -> str:
    outcomes: Counter[str] = Counter()
    for fault, recipe in bad_recipes(first + 100):
        star = measured(recipe)
        outcomes["accepted" if star.ok else "right" if star.refusal == fault else "other name"] += 1
    counted = ", ".join(f"{count} {what}" for what, count in sorted(outcomes.items()))
    return f"set {first}, bad ones: {counted}"


def _averaged(settings: int) -> str:
    """Five pictures of one setting, other air in each."""
    errors, inside = [], []
    for n in range(settings):
        base = good_recipe(9000 + n)
        shots = [Recipe(**{**vars(base), "seed": 9100 + 10 * n + k}) for k in range(5)]
        mean = average([measured(shot) for shot in shots])
        true = truth(base).offset
        error = float(np.hypot(mean.offset_x - true[0], mean.offset_y - true[1]))
        errors.append(error)
        inside.append(error <= mean.radius_95)
    return (
        f"five pictures averaged, {settings} settings: error median {np.median(errors):.4f},"
        f" worst {max(errors):.4f}; {100 * np.mean(inside):.0f} % inside the 95 % circle"
    )


def _speed(size: tuple[int, int], radius_px: float, allowed_s: float) -> str:
    rows, columns = size
    pixels = picture(Recipe(3, radius_px=radius_px, size=size, moments=6)).astype(np.float32)
    one = Picture(pixels, Facts(columns, rows, ""), step=1.0)
    took_s = min(_timed(lambda: measure_picture(one)) for _ in range(3))
    return f"{columns} x {rows}, disc {2 * radius_px:.0f} px: {took_s / allowed_s:.2f} of its time"


def _timed(job: Callable[[], object]) -> float:
    begun = time.perf_counter()
    job()
    return time.perf_counter() - begun


if __name__ == "__main__":
    for line in run(int(sys.argv[1]) if len(sys.argv) > 1 else 28):
        print(line, flush=True)
