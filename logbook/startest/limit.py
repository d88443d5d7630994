"""What the seeing lets one see of coma, in numbers."""

import math

from logbook.startest.advice import Limit
from logbook.startest.secondary import Secondary

USUAL_SEEING_ARCSEC = 2.5  # where none was logged: common practice, no source
HIDDEN_SHARE = 0.25  # tangential coma below this share of a star's width does not show


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
