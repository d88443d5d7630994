"""Measure a set of pictures and sum up how well it went."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from logbook.startest.picture.measure import measure_picture
from logbook.startest.picture.picture import Picture
from logbook.startest.result import Facts, StarMeasure
from tests.startest.pictures import Recipe, picture, truth


@dataclass
class Figures:
    """Errors in disc radii of those measured; seeds of those refused."""

    errors: list[float] = field(default_factory=list)
    in_95: list[bool] = field(default_factory=list)
    disc_ratio: list[float] = field(default_factory=list)
    refused: list[tuple[int, str]] = field(default_factory=list)

    def line(self) -> str:
        """In words."""
        errors = np.array(self.errors)
        return (
            f"{errors.size} measured, {len(self.refused)} refused: error median"
            f" {np.median(errors):.4f}, 90 % {np.quantile(errors, 0.9):.4f}, worst"
            f" {errors.max():.4f} disc radii; {100 * np.mean(self.in_95):.0f} % inside the stated"
            f" 95 % circle; disc radius {np.median(self.disc_ratio):.3f} of the true one"
        )


def measured(recipe: Recipe) -> StarMeasure:
    """One picture, built and measured."""
    pixels = picture(recipe).astype(np.float32)
    rows, columns = recipe.size
    return measure_picture(Picture(pixels, Facts(columns, rows, "simulated"), step=1.0))


def figures(recipes: Iterable[Recipe]) -> Figures:
    """Of pictures that should all be measured."""
    found = Figures()
    for recipe in recipes:
        star = measured(recipe)
        if not star.ok or star.disc is None:
            found.refused.append((recipe.seed, star.refusal))
            continue
        true = truth(recipe)
        error = np.hypot(star.offset_x - true.offset[0], star.offset_y - true.offset[1])
        found.errors.append(float(error))
        found.in_95.append(bool(error <= (star.radius_95 or 0.0)))
        found.disc_ratio.append(star.disc.radius_px / true.disc[2])
    return found
