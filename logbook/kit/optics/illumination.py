"""How evenly a sensor is lit behind the clear apertures of its train.

Seen from a point of the sensor, light comes through a cone. Where a part's opening cuts the cone,
that point is dimmer. What stands before a reducer or Barlow is counted in the bundle and to the
focus that there would be without it.
"""

import math
from dataclasses import dataclass

from logbook.kit.optics.contrast import overlap_area
from logbook.kit.optics.formulas import positive


@dataclass(frozen=True, slots=True)
class Opening:
    """A clear aperture before the focus of its bundle, and that bundle's focal ratio.

    magnifies -- what the lenses between it and the sensor multiply the picture by;
    pupil_mm -- from the focus to the exit pupil of that bundle; negative behind the focus.
    """

    part: str
    clear_aperture_mm: float
    before_focus_mm: float
    ratio: float
    magnifies: float = 1.0
    pupil_mm: float = math.inf

    @property
    def narrows(self) -> float:
        """How much nearer to the axis a slanting bundle runs here than at the focus."""
        return 1.0 - self.before_focus_mm / self.pupil_mm


@dataclass(frozen=True, slots=True)
class Illumination:
    """The sensor behind the opening that cuts most.

    fully_lit_mm -- width of the circle, at the sensor, that gets all the light; 0 if none does.
    corner_fraction -- light in the corner as a share of that in the middle of a clear path.
    """

    part: str
    clear_aperture_mm: float
    before_focus_mm: float
    fully_lit_mm: float
    sensor_diagonal_mm: float
    corner_fraction: float
    words: str


def fully_lit_mm(opening: Opening) -> float:
    """Width of the circle at the sensor that gets all the light: (A - L/N)/(1 - L/P).

    Source: similar triangles of the marginal ray (any optics text).
    """
    positive(narrows=opening.narrows)
    cone_mm = opening.before_focus_mm / opening.ratio
    return max(0.0, (opening.clear_aperture_mm - cone_mm) / opening.narrows) * opening.magnifies


def lit_fraction(opening: Opening, off_axis_mm: float, obstruction: float = 0.0) -> float:
    """Share of its cone that reaches a point of the sensor, by the overlap of circles.

    obstruction -- by diameter; the middle of the cone is dark anyway.
    """
    off_mm = off_axis_mm / opening.magnifies * opening.narrows
    cone_mm = opening.before_focus_mm / opening.ratio / 2.0
    hole_mm = opening.clear_aperture_mm / 2.0
    if cone_mm <= 0.0:
        return 1.0 if abs(off_mm) <= hole_mm else 0.0
    dark_mm = cone_mm * obstruction
    lit = overlap_area(cone_mm, hole_mm, abs(off_mm))
    lit -= overlap_area(dark_mm, hole_mm, abs(off_mm)) if dark_mm else 0.0
    return max(0.0, min(1.0, lit / (math.pi * (cone_mm**2 - dark_mm**2))))


def illumination(
    openings: tuple[Opening, ...],
    sensor_diagonal_mm: float,
    obstruction: float = 0.0,
) -> Illumination | None:
    """The opening that leaves least light in the corner, then the least lit circle; None without
    openings."""
    positive(sensor_diagonal_mm=sensor_diagonal_mm)
    found = [
        _judged(each, sensor_diagonal_mm, obstruction) for each in openings if each.narrows > 0
    ]
    return min(found, key=lambda each: (each.corner_fraction, each.fully_lit_mm), default=None)


def _judged(opening: Opening, diagonal_mm: float, obstruction: float) -> Illumination:
    lit_mm = fully_lit_mm(opening)
    corner = lit_fraction(opening, diagonal_mm / 2.0, obstruction)
    if lit_mm >= diagonal_mm:
        words = f"{opening.part} lights the whole sensor"
    elif corner > 0.995:
        words = f"{opening.part} only just touches the corners' light"
    else:
        words = f"{opening.part} takes {(1 - corner) * 100:.0f} % of the corners' light"
    return Illumination(
        opening.part,
        opening.clear_aperture_mm,
        opening.before_focus_mm,
        lit_mm,
        diagonal_mm,
        corner,
        words,
    )
