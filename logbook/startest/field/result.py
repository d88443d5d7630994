"""How star widths run over a focused frame: the results. Plain values; nothing heavy."""

from dataclasses import dataclass

_SURE = 3.0  # standard errors


@dataclass(frozen=True, slots=True)
class Zone:
    """One ninth of the frame. Width in pixels; None where no star was usable.

    The angle is the direction of the long axis, from +x (right) toward +row, 0 … 180.
    """

    row: int
    column: int
    stars: int
    fwhm_px: float | None = None
    elongation: float | None = None  # 1 − minor/major axis
    angle_deg: float | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a pattern, its standard error, and the direction it has (None: it has none)."""

    size: float
    sigma: float
    angle_deg: float | None = None

    @property
    def sure(self) -> bool:
        """At least three standard errors from nothing."""
        return abs(self.size) >= _SURE * self.sigma


@dataclass(frozen=True, slots=True)
class WidthPattern:
    """What each part adds to the width, in pixels, from the middle to a corner.

    `one_sided` grows toward its angle and shrinks opposite; `all_round` grows alike toward all
    corners; `two_sided` grows toward its angle and opposite, and shrinks across.
    """

    one_sided: Part
    all_round: Part
    two_sided: Part


@dataclass(frozen=True, slots=True)
class ElongationPattern:
    """`common` has one direction everywhere; `radial` points to the middle (+) or around it (−)."""

    common: Part
    radial: Part


@dataclass(frozen=True, slots=True)
class FieldMap:
    """Zones row by row, the patterns (None with too few stars) and what they mean in words."""

    ok: bool
    reason: str = ""
    stars: int = 0
    scale_arcsec_px: float | None = None
    fwhm_px: float | None = None  # median
    elongation: float | None = None  # median
    zones: tuple[Zone, ...] = ()
    width: WidthPattern | None = None
    shape: ElongationPattern | None = None
    words: tuple[str, ...] = ()

    def shown(self, pixels: float) -> str:
        """A width in arcseconds where the scale is known, else in pixels."""
        if self.scale_arcsec_px is None:
            return f"{pixels:.2f} px"
        return f"{pixels * self.scale_arcsec_px:.2f}″"
