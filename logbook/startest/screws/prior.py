"""What is known of a secondary and its screws before anything was turned.

Equations: D. J. Schroeder, Astronomical Optics, 2nd ed. 2000, chapters 2 and 6 (two-mirror
telescopes, misaligned secondary).
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

ARCSEC = 180.0 * 3600.0 / math.pi
USUAL_WAVES = 10.7  # of defocus: enough for a clean shadow, little enough to see an offset
WAVELENGTH_MM = 0.55e-3
# Where a value is not known: common practice, no source.
USUAL_FOCAL_RATIO = 8.0
USUAL_APERTURE_MM = 200.0
USUAL_PRIMARY_RATIO = 3.0
USUAL_BACK_TO_PRIMARY = 0.4
USUAL_OBSTRUCTION = 0.4
USUAL_PITCH_MM = 0.7
USUAL_CIRCLE_MM = 20.0
VERTEX_TO_REAR_MM = 50.0  # from the primary's face to the thread at the rear
_NO_SLOPE = 1e-6  # screws that all stand at one place tilt nothing
_KNOWN_SIZE_SHARE = 0.35
_GUESSED_SIZE_SHARE = 1.0


@dataclass(frozen=True, slots=True)
class ScrewPlace:
    """An outer screw; the hour is seen from the front of the tube, 12 at the top."""

    name: str
    clock_hour: float
    lock_kind: str = ""  # "", push-pull, locked


@dataclass(frozen=True, slots=True)
class Secondary:
    """The outer screws, and as much of the telescope as is known."""

    screws: tuple[ScrewPlace, ...]
    aperture_mm: float | None = None
    focal_length_mm: float | None = None
    primary_focal_length_mm: float | None = None
    obstruction_mm: float | None = None
    back_focus_mm: float | None = None  # behind the rear of the tube
    screw_pitch_mm: float | None = None
    screw_circle_radius_mm: float | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the outer screws, in their order."""
        return tuple(screw.name for screw in self.screws)

    @property
    def aperture(self) -> float:
        """Aperture in mm; a usual one where it is not known."""
        return self.aperture_mm or USUAL_APERTURE_MM

    @property
    def focal_length(self) -> float:
        """Focal length in mm; from a usual focal ratio where it is not known."""
        return self.focal_length_mm or USUAL_FOCAL_RATIO * self.aperture

    @property
    def focal_ratio(self) -> float:
        """N in f/N."""
        return self.focal_length / self.aperture

    @property
    def obstruction_ratio(self) -> float:
        """Shadow over aperture, by diameter, 0.8 at most; a usual one where it is not known."""
        if self.obstruction_mm is None:
            return USUAL_OBSTRUCTION
        return min(0.8, self.obstruction_mm / self.aperture)

    @property
    def shadow_share(self) -> float:
        """How much of the tangential coma shows as a shift of the shadow: 1 − ε²."""
        return 1.0 - self.obstruction_ratio**2


def usual_radius_arcsec(secondary: Secondary) -> float:
    """Radius of the disc at the usual defocus, for looks that do not say how large it was.

    A defocus of W waves shifts the focus by dz = 8 N² W λ and makes a disc of radius dz/(2 N);
    Schroeder 2000, ch. 4.
    """
    radius_mm = 4.0 * secondary.focal_ratio * USUAL_WAVES * WAVELENGTH_MM
    return radius_mm / secondary.focal_length * ARCSEC


def defocused_radius_arcsec(secondary: Secondary, defocus_mm: float) -> float:
    """Radius of the disc with the focus `defocus_mm` away."""
    return abs(defocus_mm) / (2.0 * secondary.focal_ratio) / secondary.focal_length * ARCSEC


def shift_per_tilt(secondary: Secondary) -> float:
    """Arcsec of shadow shift per arcsec of tilt of the secondary about its vertex.

    Tangential coma 3 a (m − 1)(1 + β)/(16 N²), of which the shadow shows 1 − ε².
    Source: Schroeder 2000, ch. 6.
    """
    primary_mm = secondary.primary_focal_length_mm or USUAL_PRIMARY_RATIO * secondary.aperture
    magnification = max(1.1, secondary.focal_length / primary_mm)
    back = USUAL_BACK_TO_PRIMARY
    if secondary.back_focus_mm is not None:
        back = (secondary.back_focus_mm + VERTEX_TO_REAR_MM) / primary_mm
    coma = 3.0 * (magnification - 1.0) * (1.0 + back) / (16.0 * secondary.focal_ratio**2)
    return coma * secondary.shadow_share


def screw_shapes(secondary: Secondary) -> Array:
    """Slope of the plate per unit of each screw, scaled to a mean size of 1; shape (screws, 2).

    Three screws hold a plane: one raised alone tilts it about the line through the other two.
    More than three are taken together by least squares.
    """
    angles = np.radians([(each.clock_hour - 3.0) * 30.0 for each in secondary.screws])
    places = np.column_stack([np.cos(angles), np.sin(angles), np.ones(len(angles))])
    slopes: Array = np.linalg.pinv(places)[:2].T
    size = np.sqrt(np.mean(np.sum(slopes**2, axis=1)))
    scaled: Array = slopes / max(float(size), _NO_SLOPE)
    return scaled


def response_size(secondary: Secondary) -> tuple[float, float]:
    """Expected arcsec of shift per turn of one screw, and its uncertainty as a share of it."""
    pitch_mm = secondary.screw_pitch_mm or USUAL_PITCH_MM
    radius_mm = secondary.screw_circle_radius_mm or USUAL_CIRCLE_MM
    tilt_arcsec = pitch_mm / (1.5 * radius_mm) * ARCSEC
    known = None not in (
        secondary.screw_pitch_mm,
        secondary.screw_circle_radius_mm,
        secondary.focal_length_mm,
    )
    share = _KNOWN_SIZE_SHARE if known else _GUESSED_SIZE_SHARE
    return tilt_arcsec * shift_per_tilt(secondary), share
