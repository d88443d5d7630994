"""How the stars' width and elongation run over a focused frame: tilt apart from the rest.

Width is fitted over the frame by a + g·u + c·r² + q₁·(x² − y²) + q₂·2xy with u = (x, y) from the
middle in half diagonals. g is one-sided: tilt. c is alike toward all corners: spacing, curvature,
the mirrors' own off-axis blur. q widens two opposite sides: a tilt whose middle is in focus looks
so, and so does astigmatism.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from logbook.errors import BadInput
from logbook.startest.field.result import ElongationPattern, FieldMap, Part, WidthPattern, Zone
from logbook.startest.field.stars import Stars, field_stars
from logbook.startest.field.words import verdict
from logbook.startest.picture.circles import biweight, spread
from logbook.startest.picture.picture import Picture

Array = NDArray[np.float64]

ZONES = 3  # each way
LEAST_STARS = 12
_ROUNDS = 6


@dataclass(frozen=True)
class _Fit:
    values: Array
    covariance: Array


def measure_field(picture: Picture, scale_arcsec_px: float | None = None) -> FieldMap:
    """A focused frame's stars over its field. Raises BadInput where the scale is not above 0."""
    if scale_arcsec_px is not None and not 0.0 < scale_arcsec_px < 1e4:
        raise BadInput("the scale must be a number of arcseconds a pixel above 0")
    stars = field_stars(picture.pixels)
    if not len(stars):
        return FieldMap(
            ok=False,
            reason="no single, unsaturated star: focus, expose 10 to 60 s, aim at more stars",
            scale_arcsec_px=scale_arcsec_px,
        )
    rows, columns = picture.pixels.shape
    u, v = _from_middle(stars, columns, rows)
    enough = len(stars) >= LEAST_STARS and _spread_out(u, v)
    found = FieldMap(
        ok=True,
        stars=len(stars),
        scale_arcsec_px=scale_arcsec_px,
        fwhm_px=float(np.median(stars.fwhm_px)),
        elongation=float(np.median(stars.elongation)),
        zones=_zones(stars, columns, rows),
        width=_width_pattern(stars, u, v) if enough else None,
        shape=_elongation_pattern(stars, u, v) if enough else None,
    )
    return verdict(found)


def _from_middle(stars: Stars, columns: int, rows: int) -> tuple[Array, Array]:
    """Places in half diagonals from the middle."""
    half = np.hypot(columns, rows) / 2.0
    return (stars.x_px - (columns - 1) / 2.0) / half, (stars.y_px - (rows - 1) / 2.0) / half


def _spread_out(u: Array, v: Array) -> bool:
    """Stars on all four sides."""
    return bool(min((u > 0.2).sum(), (u < -0.2).sum(), (v > 0.15).sum(), (v < -0.15).sum()) >= 2)


def _fit(design: Array, values: Array, weights: Array) -> _Fit:
    """Robust least squares; the covariance comes from the scatter that is left."""
    now = weights
    for _ in range(_ROUNDS):
        inverse = np.linalg.inv((design.T * now) @ design)
        found = inverse @ ((design.T * now) @ values)
        left = (values - design @ found) * np.sqrt(weights)
        now = weights * biweight(left, spread(left))
    freedom = max(1.0, float((now > 0).sum()) - design.shape[1])
    scatter = float((now * (values - design @ found) ** 2).sum()) / freedom
    return _Fit(found, inverse * scatter)


def _width_pattern(stars: Stars, u: Array, v: Array) -> WidthPattern:
    square = u**2 + v**2
    design = np.column_stack([np.ones_like(u), u, v, square, u**2 - v**2, 2.0 * u * v])
    fit = _fit(design, stars.fwhm_px, _weights(stars))
    return WidthPattern(
        one_sided=_vector(fit, 1),
        all_round=Part(float(fit.values[3]), float(np.sqrt(fit.covariance[3, 3]))),
        two_sided=_vector(fit, 4, fold=2.0),
    )


def _vector(fit: _Fit, first: int, fold: float = 1.0) -> Part:
    """Length and direction of two neighbouring values; `fold` 2 where opposite is the same."""
    x, y = fit.values[first : first + 2]
    size = float(np.hypot(x, y))
    block = fit.covariance[first : first + 2, first : first + 2]
    sigma = float(np.sqrt(np.trace(block) / 2.0))
    return Part(size, sigma, float(np.degrees(np.arctan2(y, x)) % 360.0) / fold)


def _elongation_pattern(stars: Stars, u: Array, v: Array) -> ElongationPattern:
    """e = (e cos 2φ, e sin 2φ): a common vector and one that turns with the place's own angle."""
    turn = np.radians(2.0 * stars.angle_deg)
    square = u**2 + v**2
    zero, one = np.zeros_like(u), np.ones_like(u)
    design = np.concatenate(
        [
            np.column_stack([one, zero, u**2 - v**2]),
            np.column_stack([zero, one, 2.0 * u * v]),
        ]
    )
    values = np.concatenate([stars.elongation * np.cos(turn), stars.elongation * np.sin(turn)])
    fit = _fit(design, values, np.tile(_weights(stars), 2))
    mean_square = float(np.mean(square))
    radial = Part(
        float(fit.values[2]) * mean_square, float(np.sqrt(fit.covariance[2, 2])) * mean_square
    )
    return ElongationPattern(common=_vector(fit, 0, fold=2.0), radial=radial)


def _weights(stars: Stars) -> Array:
    """Faint stars count less; beyond a signal of 100 noises a star's own scatter rules."""
    snr = np.minimum(stars.snr, 100.0) / 100.0
    found: Array = snr**2
    return found


def _zones(stars: Stars, columns: int, rows: int) -> tuple[Zone, ...]:
    at_column = np.clip((stars.x_px / columns * ZONES).astype(int), 0, ZONES - 1)
    at_row = np.clip((stars.y_px / rows * ZONES).astype(int), 0, ZONES - 1)
    return tuple(
        _zone(stars, (at_row == row) & (at_column == column), row, column)
        for row in range(ZONES)
        for column in range(ZONES)
    )


def _zone(stars: Stars, inside: NDArray[np.bool_], row: int, column: int) -> Zone:
    count = int(inside.sum())
    if not count:
        return Zone(row, column, 0)
    turn = np.radians(2.0 * stars.angle_deg[inside])
    elongation = stars.elongation[inside]
    along = float(np.mean(elongation * np.cos(turn))), float(np.mean(elongation * np.sin(turn)))
    return Zone(
        row,
        column,
        count,
        float(np.median(stars.fwhm_px[inside])),
        float(np.hypot(*along)),
        float(np.degrees(np.arctan2(along[1], along[0])) / 2.0 % 180.0),
    )
