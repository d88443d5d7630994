"""The bright ring between the disc's edge and the shadow's: both circles, fitted in turns."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from logbook.startest.circles import Fit, fit_circle
from logbook.startest.edges import RAYS, bright_levels, crossing, rays
from logbook.startest.finding import closed

Array = NDArray[np.float64]
Round = tuple[float, float, float]  # x, y, radius

_ROUNDS = 4
_REACH = 1.5  # disc radii along a ray
_LEVEL = 0.35  # of a ray's own bright level: between a sharp Fresnel edge and a blurred one
_BLUR = 1.0 / 40.0  # of the radius
_LEAST_BLUR_PX = 1.0
_MASK_LEVEL = 0.45  # of the plateau, for the first look at the hole
_MARGIN = 0.2  # of the ring's width, left out at each edge when its brightness is taken


@dataclass(frozen=True)
class Shape:
    """First look: the filled patch and the holes in it, in pixels of the cut."""

    x: float
    y: float
    radius: float
    flattening: float  # 1 − minor/major axis of the filled patch
    hole: Round | None
    second_hole: float  # area of the next hole, of the first's


@dataclass(frozen=True)
class Ring:
    """Both circles with their residuals, in pixels of the cut."""

    disc: Fit
    shadow: Fit
    found: float  # share of the rays on which both edges were found


def smoothed(light: Array, radius: float) -> Array:
    """Blurred by a small part of the disc."""
    found: Array = ndimage.gaussian_filter(light, max(_LEAST_BLUR_PX, _BLUR * radius))
    return found


def first_look(light: Array, plateau: float) -> Shape | None:
    """The largest patch above a share of the plateau and the holes in it."""
    mask = closed(light > _MASK_LEVEL * plateau, 1)
    labels, count = ndimage.label(ndimage.binary_fill_holes(mask))
    if not count:
        return None
    largest = labels == 1 + int(np.argmax(np.bincount(labels.ravel())[1:]))
    rows, columns = np.nonzero(largest)
    spread = np.linalg.eigvalsh(np.cov(np.stack([columns, rows]))) if rows.size > 8 else (1.0, 1.0)
    hole, second = _holes(largest & ~mask)
    return Shape(
        float(columns.mean()),
        float(rows.mean()),
        float(np.sqrt(rows.size / np.pi)),
        1.0 - float(np.sqrt(max(spread[0], 0.0) / spread[1])),
        hole,
        second,
    )


def _holes(dark: NDArray[np.bool_]) -> tuple[Round | None, float]:
    labels, count = ndimage.label(dark)
    if not count:
        return None, 0.0
    areas = np.bincount(labels.ravel())[1:]
    order = np.argsort(areas)[::-1]
    rows, columns = np.nonzero(labels == 1 + int(order[0]))
    second = float(areas[order[1]] / areas[order[0]]) if count > 1 else 0.0
    radius = float(np.sqrt(areas[order[0]] / np.pi))
    return (float(columns.mean()), float(rows.mean()), radius), second


def fit_ring(light: Array, disc: Round, shadow: Round) -> Ring | None:
    """Both circles from a first guess; None where too few edges are found."""
    for _ in range(_ROUNDS):
        outer = _edge(light, disc[:2], disc, shadow, outward=True)
        inner = _edge(light, shadow[:2], disc, shadow, outward=False)
        if outer is None or inner is None:
            return None
        disc = outer.x, outer.y, outer.radius
        shadow = inner.x, inner.y, inner.radius
        if not _nested(disc, shadow):
            return None
    found = np.isfinite(outer.residuals).mean() * np.isfinite(inner.residuals).mean()
    return Ring(outer, inner, float(found))


def _nested(disc: Round, shadow: Round) -> bool:
    apart = float(np.hypot(shadow[0] - disc[0], shadow[1] - disc[1]))
    return 0.0 < shadow[2] < disc[2] and apart < 0.9 * disc[2]


def _edge(
    light: Array, centre: tuple[float, float], disc: Round, shadow: Round, *, outward: bool
) -> Fit | None:
    angles, distances, along = rays(light, *centre, _REACH * disc[2])
    inner, outer = _to_circle(centre, shadow, angles), _to_circle(centre, disc, angles)
    width = np.maximum(outer - inner, 1.0)
    bright = bright_levels(along, distances, inner + _MARGIN * width, outer - _MARGIN * width)
    at = crossing(along, distances, _LEVEL * bright, inner + 0.5 * width, outward=outward)
    at[bright <= 0.0] = np.nan
    if np.isfinite(at).sum() < RAYS // 3:
        return None
    return fit_circle(centre[0] + at * np.cos(angles), centre[1] + at * np.sin(angles))


def _to_circle(centre: tuple[float, float], circle: Round, angles: Array) -> Array:
    """Distance from a point inside a circle to it, along each angle."""
    dx, dy = circle[0] - centre[0], circle[1] - centre[1]
    along = dx * np.cos(angles) + dy * np.sin(angles)
    beside = np.maximum(circle[2] ** 2 - (dx**2 + dy**2 - along**2), 0.0)
    return along + np.sqrt(beside)
