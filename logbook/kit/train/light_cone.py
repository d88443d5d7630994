"""The light cone of a train: lenses between, obstruction, sensor, mirrors."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from logbook.kit.optics import formulas
from logbook.kit.parts.kinds import KINDS
from logbook.kit.parts.part import Part, Train
from logbook.kit.train.lengths import LENSES, length_behind_mm


class Gaps:
    """Values asked for, with words for those not there, and notes on how numbers came about."""

    def __init__(self) -> None:
        self.words: list[str] = []
        self.notes: list[str] = []

    def number(self, part: Part, quantity: str) -> float | None:
        """The number of a part's quantity; one that is missing or impossible is noted as a gap."""
        value = part.possible(quantity)
        if value is None:
            known = KINDS[part.kind].quantity(quantity) if part.kind in KINDS else None
            self.lacks(f"the {known.label if known else quantity} of {part.name}")
        return value

    def lacks(self, words: str) -> None:
        """Note what is missing, once."""
        if words not in self.words:
            self.words.append(words)


@dataclass(frozen=True, slots=True)
class Sensor:
    pixel_um: float
    width_px: int
    height_px: int

    @property
    def width_mm(self) -> float:
        """Width of the rows: pixels times their size."""
        return formulas.sensor_size_mm(self.pixel_um, self.width_px)

    @property
    def height_mm(self) -> float:
        """Height of the columns: pixels times their size."""
        return formulas.sensor_size_mm(self.pixel_um, self.height_px)

    @property
    def diagonal_mm(self) -> float:
        """Corner to corner."""
        return math.hypot(self.width_mm, self.height_mm)


@dataclass(frozen=True, slots=True)
class Lens:
    """A reducer or Barlow at its real spacing; None where that is not known."""

    place: int
    factor: float
    spacing_mm: float | None

    @property
    def to_native_focus_mm(self) -> float | None:
        """From the lens to where the focus would be without it: x = s/M (thin lens)."""
        return None if self.spacing_mm is None else self.spacing_mm / self.factor

    @property
    def focal_length_mm(self) -> float:
        """By 1/s - 1/x = 1/f: infinite for no lens, negative for a Barlow."""
        if self.spacing_mm is None or self.factor == 1.0:
            return math.inf
        return self.spacing_mm / (1.0 - self.factor)


def both(
    function: Callable[[float, float], float], one: float | None, other: float | None
) -> float | None:
    """The function of two numbers; None if one is not known or is nothing."""
    if one is None or other is None or one <= 0 or other <= 0:
        return None
    return function(one, other)


def lenses(train: Train, gaps: Gaps) -> tuple[Lens, ...]:
    """Every reducer and Barlow with what it multiplies by, from the sky."""
    found = []
    for place, part in enumerate(train.parts):
        if part.kind in LENSES:
            spacing_mm = length_behind_mm(train, place)
            found.append(Lens(place, _factor(part, spacing_mm, gaps), spacing_mm))
    return tuple(found)


def _factor(part: Part, spacing_mm: float | None, gaps: Gaps) -> float:
    """By the thin lens where its focal length and the real spacing are known, else as stated."""
    lens_mm = part.possible("lens_focal_length_mm")
    design_mm = part.possible("design_spacing_mm")
    if lens_mm is not None and spacing_mm is not None and _works(part, spacing_mm, lens_mm):
        factor = _thin(part, spacing_mm, lens_mm)
        sign = "−" if part.kind == "reducer" else "+"
        words = (
            f"{part.name} at {spacing_mm:.1f} mm gives {factor:.3f}× (1 {sign} {spacing_mm:.1f}/"
            f"{lens_mm:g}, thin lens)"
        )
        if design_mm and abs(design_mm - spacing_mm) >= 0.05:
            right = _thin(part, design_mm, lens_mm)
            off_mm = spacing_mm - design_mm
            way = "too far" if off_mm > 0 else "too near"
            words += f"; {abs(off_mm):.1f} mm {way}: at {design_mm:g} mm {right:.3f}×"
        gaps.notes.append(words)
        return factor
    stated = gaps.number(part, "factor")
    if stated is not None:
        gaps.notes.append(
            f"{part.name} taken at its {stated:g}×, for the spacing it was designed for"
        )
    return stated or 1.0


def _works(part: Part, spacing_mm: float, lens_mm: float) -> bool:
    return spacing_mm > 0 and (part.kind == "barlow" or spacing_mm < lens_mm)


def _thin(part: Part, spacing_mm: float, lens_mm: float) -> float:
    if part.kind == "barlow":
        return formulas.barlow_factor(spacing_mm, lens_mm)
    return formulas.reducer_factor(min(spacing_mm, lens_mm * 0.999), lens_mm)


def obstruction(telescope: Part | None, aperture_mm: float | None, gaps: Gaps) -> float | None:
    """By diameter; 0 for a telescope without mirrors."""
    if telescope is None or aperture_mm is None:
        return None
    if telescope.possible("mirror_count") == 0:
        return 0.0
    obstruction_mm = gaps.number(telescope, "obstruction_mm")
    if obstruction_mm is None or not 0 <= obstruction_mm < aperture_mm:
        return None
    return formulas.obstruction_by_diameter(obstruction_mm, aperture_mm)


def sensor(train: Train, gaps: Gaps) -> Sensor | None:
    """The sensor of a train's first camera; None, with the gaps noted, where it is not known."""
    camera = train.first("camera")
    if camera is None:
        if train.kind == "camera":
            gaps.lacks("a camera")
        return None
    numbers = [gaps.number(camera, name) for name in ("pixel_um", "width_px", "height_px")]
    if not all(number is not None and number > 0 for number in numbers):
        return None
    pixel_um, width_px, height_px = (number or 0.0 for number in numbers)
    return Sensor(pixel_um, round(width_px), round(height_px))


def mirrored(train: Train) -> bool:
    """An odd number of mirrors turns the picture the wrong way round."""
    mirrors = 0
    for part in train.parts:
        count = part.possible("mirror_count")
        if count is None and part.kind == "diagonal":
            count = 1.0
        mirrors += round(count or 0.0)
    return mirrors % 2 == 1
