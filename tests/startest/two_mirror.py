"""A two-mirror telescope by exact ray trace, to hold the learner against.

Ritchey–Chrétien conics, spacing and the check values of a tilted secondary: D. J. Schroeder,
Astronomical Optics, 2nd ed. 2000, chapters 2 and 6. Nothing here uses the program's own optics.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
ARCSEC = 206264.806


@dataclass(frozen=True)
class TwoMirror:
    """Light comes down along −z; the primary's vertex is at the origin, its face toward +z."""

    aperture_mm: float = 203.0
    focal_length_mm: float = 1624.0
    primary_focal_length_mm: float = 609.0
    back_mm: float = 240.0  # from the primary's vertex to the focus behind it
    obstruction_mm: float = 68.4

    @property
    def magnification(self) -> float:
        return self.focal_length_mm / self.primary_focal_length_mm

    @property
    def spacing_mm(self) -> float:
        m, f1 = self.magnification, self.primary_focal_length_mm
        return (m * f1 - self.back_mm) / (m + 1.0)

    def conics(self) -> tuple[float, float]:
        """Schroeder 2000, ch. 6, Ritchey–Chrétien."""
        m, beta = self.magnification, self.back_mm / self.primary_focal_length_mm
        first = -1.0 - 2.0 * (1.0 + beta) / (m**2 * (m - beta))
        second = -(((m + 1.0) / (m - 1.0)) ** 2)
        second -= 2.0 * m * (m + 1.0) / ((m - beta) * (m - 1.0) ** 3)
        return first, second

    def secondary_radius_mm(self) -> float:
        """Radius of curvature, k R1 m/(m − 1) with R1 = 2 f1."""
        m, f1 = self.magnification, self.primary_focal_length_mm
        k = (f1 - self.spacing_mm) / f1
        return 2.0 * f1 * k * m / (m - 1.0)

    def trace(
        self, entry: Array, rotation: Array | None = None, shift: Array | None = None
    ) -> tuple[Array, Array]:
        """Points and directions after the secondary of rays that enter along the axis.

        entry -- (rays, 2) where they cross the aperture. rotation, shift -- of the secondary, as
        a rigid body about its vertex.
        """
        first, second = self.conics()
        z = _sag_height(np.sum(entry**2, axis=1), 2.0 * self.primary_focal_length_mm, first)
        at = np.column_stack([entry, z])
        down = np.tile([0.0, 0.0, -1.0], (len(entry), 1))
        up = _reflect(down, _normal(at, 2.0 * self.primary_focal_length_mm, first))
        turn = np.eye(3) if rotation is None else rotation
        vertex = np.array([0.0, 0.0, self.spacing_mm])
        vertex = vertex if shift is None else vertex + shift
        radius = self.secondary_radius_mm()
        local, toward = (at - vertex) @ turn, up @ turn
        met = _meet(local, toward, radius, second)
        out = _reflect(toward, _normal(met, radius, second))
        return met @ turn.T + vertex, out @ turn.T

    def shadow_offset_arcsec(
        self, rotation: Array, shift: Array, defocus_mm: float
    ) -> tuple[Array, float]:
        """Shift of the shadow against the disc on the sky, and the radius of the disc, arcsec."""
        disc, radius = _circle(self._edge(self.aperture_mm / 2.0, rotation, shift, defocus_mm))
        shadow, _ = _circle(self._edge(self.obstruction_mm / 2.0, rotation, shift, defocus_mm))
        scale = ARCSEC / self.focal_length_mm
        return (shadow - disc) * scale, radius * scale

    def _edge(self, radius_mm: float, rotation: Array, shift: Array, defocus_mm: float) -> Array:
        angles = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
        entry = radius_mm * np.column_stack([np.cos(angles), np.sin(angles)])
        at, toward = self.trace(entry, rotation, shift)
        plane = -self.back_mm - defocus_mm
        step = (plane - at[:, 2]) / toward[:, 2]
        return (at + step[:, None] * toward)[:, :2]

    def tangential_coma_arcsec(self, rotation: Array, shift: Array) -> float:
        """Distance of the marginal pair's crossing from the chief ray, in the plane of the tilt."""
        edge = self.aperture_mm / 2.0
        entry = np.array([[0.0, 0.0], [0.0, edge], [0.0, -edge]])
        at, toward = self.trace(entry, rotation, shift)
        step = (-self.back_mm - at[:, 2]) / toward[:, 2]
        y = (at + step[:, None] * toward)[:, 1]
        return float(abs((y[1] + y[2]) / 2.0 - y[0]) * ARCSEC / self.focal_length_mm)


def tilted(x_rad: float, y_rad: float) -> Array:
    """Rotation about x, then about y."""
    cx, sx, cy, sy = np.cos(x_rad), np.sin(x_rad), np.cos(y_rad), np.sin(y_rad)
    about_x = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])
    about_y = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
    turn: Array = about_y @ about_x
    return turn


def screw_motion(
    places_mm: Array, raised_mm: Array, plate_to_vertex_mm: float
) -> tuple[Array, Array]:
    """Rotation and shift of the secondary's vertex when three screws raise its plate.

    places_mm -- (3, 2) where the screws stand; raised_mm -- (3,) along the axis.
    """
    plane = np.linalg.solve(np.column_stack([places_mm, np.ones(3)]), raised_mm)
    rotation = tilted(float(np.arctan(plane[1])), float(-np.arctan(plane[0])))
    arm = np.array([0.0, 0.0, -plate_to_vertex_mm])
    shift = rotation @ arm - arm + np.array([0.0, 0.0, plane[2]])
    return rotation, shift


def _circle(points: Array) -> tuple[Array, float]:
    """Centre and radius of the circle through points, least squares."""
    wanted = np.column_stack([2.0 * points, np.ones(len(points))])
    x, y, rest = np.linalg.lstsq(wanted, np.sum(points**2, axis=1), rcond=None)[0]
    return np.array([x, y]), float(np.sqrt(rest + x**2 + y**2))


def _sag_height(squared: Array, radius: float, conic: float) -> Array:
    root = np.sqrt(1.0 - (1.0 + conic) * squared / radius**2)
    height: Array = squared / radius / (1.0 + root)
    return height


def _normal(at: Array, radius: float, conic: float) -> Array:
    """Of x² + y² + (1 + K) z² − 2 R z = 0."""
    gradient = np.column_stack([at[:, 0], at[:, 1], (1.0 + conic) * at[:, 2] - radius])
    normal: Array = gradient / np.linalg.norm(gradient, axis=1)[:, None]
    return normal


def _reflect(toward: Array, normal: Array) -> Array:
    reflected: Array = toward - 2.0 * np.sum(toward * normal, axis=1)[:, None] * normal
    return reflected


def _meet(at: Array, toward: Array, radius: float, conic: float) -> Array:
    """Where rays from below meet the conic nearest its vertex."""
    stretch = np.array([1.0, 1.0, 1.0 + conic])
    a = np.sum(stretch * toward**2, axis=1)
    b = np.sum(stretch * at * toward, axis=1) - radius * toward[:, 2]
    c = np.sum(stretch * at**2, axis=1) - 2.0 * radius * at[:, 2]
    root = np.sqrt(b**2 - a * c)
    steps = np.stack([c / (-b + root), c / (-b - root)])
    heights = np.abs(at[:, 2] + steps * toward[:, 2])
    step = np.where(heights[0] < heights[1], steps[0], steps[1])
    met: Array = at + step[:, None] * toward
    return met
