"""What the seeing lets one see of coma, in numbers."""

import math

from logbook.startest.screws.advice import Limit
from logbook.startest.screws.prior import Secondary

USUAL_SEEING_ARCSEC = 2.5  # where none was logged: common practice, no source
# Star widths that go with the steps of a scale: rough, for a mid-sized aperture. W. H. Pickering:
# 1 worst to 10 best; E. M. Antoniadi 1 best to 5 worst; the user's five steps 1 worst to 5 best.
# Common practice, no source.
_PICKERING = (6.0, 5.0, 4.5, 4.0, 3.2, 2.5, 2.0, 1.6, 1.3, 1.0)
_ANTONIADI = (1.2, 1.8, 2.5, 3.5, 5.0)
_OF_FIVE = (5.0, 3.5, 2.5, 1.8, 1.2)
_STEPS = {
    "seeing_pickering": _PICKERING,
    "seeing_antoniadi": _ANTONIADI,
    "seeing_of_five": _OF_FIVE,
}
HIDDEN_SHARE = 0.25  # tangential coma below this share of a star's width does not show


def seeing_arcsec(scale: str, value: float) -> float:
    """Width of a star, from a reading of it or on a scale."""
    if scale == "fwhm_arcsec":
        return value
    steps = _STEPS[scale]
    low = min(len(steps) - 2, max(0, int(value) - 1))
    between = value - 1.0 - low
    return steps[low] + between * (steps[low + 1] - steps[low])


def seeing_limit(
    secondary: Secondary, radius_arcsec: float, look_arcsec: float, seeing_arcsec: float | None
) -> Limit:
    """How far off the shadow may sit before this seeing would show it.

    radius_arcsec -- of the disc as last seen. look_arcsec -- standard error of one look.
    The shadow shows 1 − ε² of the tangential coma; Schroeder 2000, ch. 6, and the shift of an
    annular pupil's edges through a comatic wavefront.
    """
    seeing = USUAL_SEEING_ARCSEC if seeing_arcsec is None else seeing_arcsec
    coma = HIDDEN_SHARE * seeing
    fraction = coma * secondary.shadow_share / radius_arcsec
    look = look_arcsec / radius_arcsec
    taken = "" if seeing_arcsec is not None else " (not logged, taken as usual)"
    words = (
        f"Seeing {seeing:.1f}″{taken} hides {coma:.2f}″ of coma: "
        f"an offset of {fraction:.3f} of the radius at this defocus; one look errs by {look:.3f}."
    )
    return Limit(
        seeing_arcsec=seeing,
        seeing_known=seeing_arcsec is not None,
        coma_arcsec=coma,
        fraction=fraction,
        look_sigma=look,
        total=math.hypot(fraction, look),
        words=words,
    )
