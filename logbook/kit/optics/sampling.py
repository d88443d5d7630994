"""How a camera's pixels sit to the seeing: too coarse, fitting, or finer than they need be.

A star's width at half its height should fall on 2 to 3.3 pixels: two by Nyquist's rule for a width
(Howell 2006, Handbook of CCD Astronomy, ch. 5), up to 3.3 to preserve its finer shape (common
practice, no source). Seeing here is that width at the camera, guiding and focus included.
"""

from dataclasses import dataclass

from logbook.kit.optics.formulas import positive

FEWEST_PX, MOST_PX = 2.0, 3.3
UNDER, FITS, OVER = "under", "fits", "over"


@dataclass(frozen=True, slots=True)
class Binned:
    """One way of binning. off_factor: how many times too coarse or too fine; 1 where it fits."""

    binning: int
    scale_arcsec_px: float
    pixels_across: float
    verdict: str
    off_factor: float
    words: str


@dataclass(frozen=True, slots=True)
class Sampling:
    """How the seeing is sampled unbinned, and what binning by 1, 2, 3 and 4 does.

    finest_arcsec_px, coarsest_arcsec_px -- the scales that fit this seeing.
    """

    seeing_arcsec: float
    scale_arcsec_px: float
    pixels_across: float
    verdict: str
    off_factor: float
    words: str
    finest_arcsec_px: float
    coarsest_arcsec_px: float
    binned: tuple[Binned, ...]


def sampling(scale_arcsec_px: float, seeing_arcsec: float) -> Sampling:
    """How a scale samples a seeing (FWHM). Raises ValueError unless both are more than 0."""
    positive(scale_arcsec_px=scale_arcsec_px, seeing_arcsec=seeing_arcsec)
    binned = tuple(_binned(count, scale_arcsec_px, seeing_arcsec) for count in (1, 2, 3, 4))
    plain = binned[0]
    return Sampling(
        seeing_arcsec=seeing_arcsec,
        scale_arcsec_px=scale_arcsec_px,
        pixels_across=plain.pixels_across,
        verdict=plain.verdict,
        off_factor=plain.off_factor,
        words=plain.words,
        finest_arcsec_px=seeing_arcsec / MOST_PX,
        coarsest_arcsec_px=seeing_arcsec / FEWEST_PX,
        binned=binned,
    )


def _binned(binning: int, scale_arcsec_px: float, seeing_arcsec: float) -> Binned:
    scale = scale_arcsec_px * binning
    across = seeing_arcsec / scale
    verdict, off_factor = judged(across)
    return Binned(binning, scale, across, verdict, off_factor, _words(across, verdict, off_factor))


def judged(pixels_across: float) -> tuple[str, float]:
    """The verdict, and how many times too few or too many pixels; 1 where they fit."""
    if pixels_across < FEWEST_PX * (1 - 1e-9):
        return UNDER, FEWEST_PX / pixels_across
    if pixels_across > MOST_PX * (1 + 1e-9):
        return OVER, pixels_across / MOST_PX
    return FITS, 1.0


def _words(across: float, verdict: str, off_factor: float) -> str:
    said = {
        UNDER: f"{off_factor:.1f}× too coarse: fine detail is lost",
        FITS: "fits",
        OVER: f"{off_factor:.1f}× finer than needed: faint light is spread",
    }[verdict]
    return f"{across:.1f} px across a star, {said}"
