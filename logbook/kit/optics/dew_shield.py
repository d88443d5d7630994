"""How long a dew shield should be, and the notch it needs."""

import math
from dataclasses import dataclass

from logbook.kit.optics.formulas import positive

SHORTEST, LONGEST = 1.5, 2.0  # times the aperture; common practice, no source


@dataclass(frozen=True, slots=True)
class DewShield:
    """A dew shield, or what one should be like where there is none (length_mm is None).

    sky_view -- share of the cold sky that the front still sees; 1 without a shield.
    """

    length_mm: float | None
    by_aperture: float | None
    sky_view: float
    wanted_mm: tuple[float, float]
    notch_words: str
    words: str


def sky_view(length_mm: float, width_mm: float) -> float:
    """Share of the sky that the front still sees from the bottom of a tube of that length.

    View factor between two equal coaxial discs: (X - sqrt(X² - 4))/2 with X = 2 + 4 (L/D)²
    (Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, ch. 13, coaxial parallel discs).
    Raises ValueError for a width of nothing or a length below 0.
    """
    positive(width_mm=width_mm)
    if not length_mm >= 0:
        raise ValueError(f"a length of {length_mm} mm cannot be")
    x = 2.0 + 4.0 * (length_mm / width_mm) ** 2
    return (x - math.sqrt(x * x - 4.0)) / 2.0


def clear_width_mm(aperture_mm: float, length_mm: float, field_deg: float) -> float:
    """How wide a shield must be inside so that it does not cut the edge of the field."""
    return aperture_mm + 2.0 * length_mm * math.tan(math.radians(field_deg) / 2.0)


def dew_shield(
    aperture_mm: float,
    length_mm: float | None,
    *,
    inner_diameter_mm: float | None = None,
    notch_mm: float | None = None,
    rail_width_mm: float | None = None,
    field_deg: float | None = None,
) -> DewShield:
    """What a shield does. field_deg is the field from corner to corner."""
    positive(aperture_mm=aperture_mm)
    wanted_mm = (SHORTEST * aperture_mm, LONGEST * aperture_mm)
    asked = f"{wanted_mm[0]:.0f} to {wanted_mm[1]:.0f} mm (1.5 to 2 apertures, common practice)"
    notch_words = _notch_words(length_mm, notch_mm, rail_width_mm)
    if length_mm is None:
        view = sky_view(SHORTEST * aperture_mm, aperture_mm)
        words = f"no shield; one of {asked} would leave {view * 100:.0f} % of the sky's cold"
        return DewShield(None, None, 1.0, wanted_mm, notch_words, words)
    view = sky_view(length_mm, inner_diameter_mm or aperture_mm)
    words = f"{length_mm:.0f} mm leaves {view * 100:.0f} % of the sky's cold"
    if length_mm < wanted_mm[0]:
        words += f"; short of {asked}"
    if inner_diameter_mm and field_deg:
        needed_mm = clear_width_mm(aperture_mm, length_mm, field_deg)
        if needed_mm > inner_diameter_mm:
            words += f"; it cuts the field: {needed_mm:.0f} mm inside would do"
    return DewShield(length_mm, length_mm / aperture_mm, view, wanted_mm, notch_words, words)


def _notch_words(
    length_mm: float | None, notch_mm: float | None, rail_width_mm: float | None
) -> str:
    if rail_width_mm is None:
        return ""
    if length_mm is None or notch_mm is None:
        return f"a notch of more than {rail_width_mm:.0f} mm lets it over the dovetail"
    if notch_mm < rail_width_mm:
        return f"the notch of {notch_mm:.0f} mm is narrower than the {rail_width_mm:.0f} mm rail"
    return f"the notch of {notch_mm:.0f} mm clears the {rail_width_mm:.0f} mm rail"
