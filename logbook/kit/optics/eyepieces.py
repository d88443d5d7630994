"""What each eyepiece shows behind a telescope."""

from collections.abc import Iterable
from dataclasses import dataclass

from logbook.kit.optics import formulas
from logbook.kit.parts.part import Part

WIDEST_PUPIL_MM = 7.0  # of a young eye in the dark; common practice, no source
NARROWEST_PUPIL_MM = 0.5  # common practice, no source


@dataclass(frozen=True, slots=True)
class Eyepiece:
    """true_field_deg is exact from the field stop, else good to 10 % from the apparent field."""

    name: str
    magnification: float
    exit_pupil_mm: float
    true_field_deg: float | None
    from_stop: bool
    warning: str


def eyepiece(part: Part, focal_length_mm: float, ratio: float) -> Eyepiece | None:
    """None where the eyepiece's own focal length is not known."""
    own_mm = part.possible("focal_length_mm")
    if own_mm is None:
        return None
    magnifies = formulas.magnification(focal_length_mm, own_mm)
    pupil_mm = formulas.exit_pupil_mm(own_mm, ratio)
    stop_mm, apparent_deg = part.possible("field_stop_mm"), part.possible("apparent_field_deg")
    field_deg = None
    if stop_mm:
        field_deg = formulas.field_deg(stop_mm, focal_length_mm)
    elif apparent_deg:
        field_deg = formulas.true_field_from_apparent_deg(apparent_deg, magnifies)
    warning = pupil_warning(pupil_mm)
    return Eyepiece(part.name, magnifies, pupil_mm, field_deg, bool(stop_mm), warning)


def eyepieces(parts: Iterable[Part], focal_length_mm: float, ratio: float) -> tuple[Eyepiece, ...]:
    """Every eyepiece of which enough is known, lowest magnification first."""
    found = (eyepiece(part, focal_length_mm, ratio) for part in parts if part.kind == "eyepiece")
    known = (each for each in found if each is not None)
    return tuple(sorted(known, key=lambda each: (each.magnification, each.name)))


def pupil_warning(pupil_mm: float) -> str:
    """Words for a bundle that no eye takes in, or that is too thin to see well with."""
    if pupil_mm > WIDEST_PUPIL_MM:
        return f"exit pupil {pupil_mm:.1f} mm is wider than an eye's 7 mm: light is lost"
    if pupil_mm < NARROWEST_PUPIL_MM:
        return f"exit pupil {pupil_mm:.2f} mm is under 0.5 mm: dim, and the eye's own specks show"
    return ""
