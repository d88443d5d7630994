"""What was seen in a picture of a defocused star. Plain values; nothing heavy is imported.

Pixels count from 0 at the middle of the first; x is the column, y the row as stored. The offset is
the shadow's centre from the disc's centre in radii of the disc; its position angle is
atan2(dy, dx): from +x toward +row, which is clockwise where row 0 is shown at the top.
"""

import math
from dataclasses import dataclass
from datetime import datetime

REFUSALS = (
    "unreadable",
    "no star",
    "saturated",
    "several",
    "cut",
    "near focus",
    "no shadow",
    "trailed or double",
)

GOOD_FROM = 0.7
FAIR_FROM = 0.4
# Of a Gaussian scatter in two directions, 95 % lies within this many standard errors of one.
RADIUS_95 = 2.448


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle in pixels of the whole picture."""

    x_px: float
    y_px: float
    radius_px: float


@dataclass(frozen=True, slots=True)
class Facts:
    """What a file says of itself. Empty or None where it says nothing."""

    width_px: int
    height_px: int
    form: str
    object_name: str = ""
    taken_at: datetime | None = None
    exposure_s: float | None = None
    focal_length_mm: float | None = None
    aperture_mm: float | None = None
    pixel_um: float | None = None


@dataclass(frozen=True, slots=True)
class StarMeasure:
    """One measured picture, or why it was refused.

    `offset_sigma` is the standard error along each axis, in radii of the disc. `quality` runs from
    0 (refused, or useless) to 1. `refusal` is one of REFUSALS, or empty.
    """

    file: str
    ok: bool
    refusal: str = ""
    reason: str = ""
    disc: Circle | None = None
    shadow: Circle | None = None
    offset_fraction: float | None = None
    offset_sigma: float | None = None
    position_angle_deg: float | None = None
    quality: float = 0.0
    notes: tuple[str, ...] = ()
    facts: Facts | None = None

    @property
    def offset_x(self) -> float:
        """Toward +column, in radii of the disc; 0 when refused."""
        return (self.offset_fraction or 0.0) * math.cos(
            math.radians(self.position_angle_deg or 0.0)
        )

    @property
    def offset_y(self) -> float:
        """Toward +row, in radii of the disc; 0 when refused."""
        return (self.offset_fraction or 0.0) * math.sin(
            math.radians(self.position_angle_deg or 0.0)
        )

    @property
    def radius_95(self) -> float | None:
        """Radius round the offset that holds the truth in 95 of 100 pictures, in disc radii."""
        return None if self.offset_sigma is None else RADIUS_95 * self.offset_sigma

    @property
    def quality_words(self) -> str:
        """good, fair, poor or refused."""
        if not self.ok:
            return "refused"
        if self.quality >= GOOD_FROM:
            return "good"
        return "fair" if self.quality >= FAIR_FROM else "poor"
