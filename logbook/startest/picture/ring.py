"""The bright ring between the disc's edge and the shadow's: both circles, fitted in turns."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from logbook.startest.picture.circles import Fit, fit_circle
from logbook.startest.picture.edges import RAYS, bright_levels, mean_crossing, one_wave, rays
from logbook.startest.picture.find_star import closed

Array = NDArray[np.float64]
Round = tuple[float, float, float]  # x, y, radius

_ROUNDS = 4
_REACH = 1.5  # disc radii along a ray
# Of the bright level there: between a sharp Fresnel edge and a blurred one, and between pictures
# that hold light as it is and those that hold its 1.6th or 2.2nd root.
_DISC_LEVELS = np.array([0.25, 0.35, 0.45])
_SHADOW_LEVELS = np.array([0.30, 0.40, 0.50])
_BLUR = 1.0 / 50.0  # of the radius
_LEAST_BLUR_PX = 1.0
_MASK_LEVEL = 0.45  # of the plateau, for the first look at the hole
_MIDDLE = 0.5  # of the shadow's radius
_TOWARD_LIGHT = 0.42  # of the disc's radius for a side as bright as the plateau; by simulation
_MOST_STEP = 0.05  # of the disc's radius
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

    @property
    def found(self) -> float:
        """Share of the rays on which the edges were found."""
        return min(float(np.isfinite(fit.residuals).mean()) for fit in (self.disc, self.shadow))


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
    ring = None
    for _ in range(_ROUNDS):
        outer = _edge(light, disc[:2], disc, shadow, outward=True)
        inner = _edge(light, shadow[:2], disc, shadow, outward=False)
        if outer is None or inner is None:
            return None
        ring = Ring(outer, inner)
        disc, shadow = _round(outer), _round(inner)
        if not _nested(disc, shadow):
            return None
    return None if ring is None else _centred_by_its_light(light, ring)


def _centred_by_its_light(light: Array, ring: Ring) -> Ring:
    """The shadow's centre moved toward the light in its middle.

    What is diffracted and blurred into a round shadow lies evenly about its true centre, with
    Poisson's spot in the middle (Born & Wolf, § 8.4.2); more of it on one side shows that the edges
    gave a centre too far to the other, because that light lifts the edge there.
    """
    shadow = ring.shadow
    angles, distances, along = rays(light, shadow.x, shadow.y, _REACH * ring.disc.radius)
    middle = along[:, distances <= _MIDDLE * shadow.radius].mean(axis=1)
    to_disc = _to_circle((shadow.x, shadow.y), _round(ring.disc), angles)
    edge = np.full_like(angles, shadow.radius)
    width = np.maximum(to_disc - edge, 1.0)
    plateau = bright_levels(along, distances, edge + _MARGIN * width, to_disc - _MARGIN * width)
    share = 2.0 * _TOWARD_LIGHT * ring.disc.radius / max(float(plateau.mean()), 1e-9)
    step = np.array([(middle * np.cos(angles)).mean(), (middle * np.sin(angles)).mean()]) * share
    step *= min(1.0, _MOST_STEP * ring.disc.radius / max(float(np.hypot(*step)), 1e-9))
    moved = replace(shadow, x=shadow.x + float(step[0]), y=shadow.y + float(step[1]))
    return Ring(ring.disc, moved)


def _round(fit: Fit) -> Round:
    return fit.x, fit.y, fit.radius


def _nested(disc: Round, shadow: Round) -> bool:
    apart = float(np.hypot(shadow[0] - disc[0], shadow[1] - disc[1]))
    return 0.0 < shadow[2] < disc[2] and apart < 0.9 * disc[2]


def light_beside(light: Array, ring: Ring) -> float:
    """How much brighter the brightest twelfth of the disc's surroundings is than the usual one.

    In shares of the ring's brightness. Seeing and diffraction spread light evenly; another star
    does not.
    """
    disc = ring.disc
    _, distances, along = rays(light, disc.x, disc.y, _REACH * disc.radius)
    share = distances / disc.radius
    beside = along[:, (share > 1.2) & (share < 1.45)].mean(axis=1)
    bright = along[:, (share > 0.75) & (share < 0.9)].mean(axis=1)
    twelfths = beside.reshape(12, -1).mean(axis=1)
    return float((twelfths.max() - np.median(twelfths)) / max(float(np.median(bright)), 1e-9))


def _edge(
    light: Array, centre: tuple[float, float], disc: Round, shadow: Round, *, outward: bool
) -> Fit | None:
    angles, distances, along = rays(light, *centre, _REACH * disc[2])
    inner, outer = _to_circle(centre, shadow, angles), _to_circle(centre, disc, angles)
    width = np.maximum(outer - inner, 1.0)
    bright = bright_levels(along, distances, inner + _MARGIN * width, outer - _MARGIN * width)
    shares = _DISC_LEVELS if outward else _SHADOW_LEVELS
    levels = shares[:, None] * one_wave(bright, angles)
    at = mean_crossing(along, distances, levels, inner + 0.5 * width, outward=outward)
    if np.isfinite(at).sum() < RAYS // 3:
        return None
    return fit_circle(centre[0] + at * np.cos(angles), centre[1] + at * np.sin(angles))


def _to_circle(centre: tuple[float, float], circle: Round, angles: Array) -> Array:
    """Distance from a point inside a circle to it, along each angle."""
    dx, dy = circle[0] - centre[0], circle[1] - centre[1]
    along = dx * np.cos(angles) + dy * np.sin(angles)
    beside = np.maximum(circle[2] ** 2 - (dx**2 + dy**2 - along**2), 0.0)
    return along + np.sqrt(beside)
