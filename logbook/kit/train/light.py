"""What the light through a train comes to: aperture, focal length, scale, field.

For whoever needs just that; the sheet puts masses, balance, joints and cautions beside it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from logbook.kit.optics import formulas
from logbook.kit.optics.eyepieces import Eyepiece, eyepieces
from logbook.kit.parts.part import Part, Train
from logbook.kit.train.light_cone import Gaps, Lens, Sensor, both, lenses, mirrored, sensor


@dataclass(frozen=True, slots=True)
class TrainLight:
    """None stands for what cannot be calculated.

    factor -- what reducers and Barlows multiply the focal length by; 1 without any.
    field_deg -- width and height; for an eyepiece the true field, twice.
    mirrored -- an odd number of mirrors: the picture is the wrong way round.
    eyepieces -- of a visual train: its own and those of the shelf.
    """

    name: str
    aperture_mm: float | None
    native_focal_length_mm: float | None
    factor: float
    effective_focal_length_mm: float | None
    focal_ratio: float | None
    image_scale_arcsec_px: float | None
    field_deg: tuple[float, float] | None
    sensor: Sensor | None
    mirrored: bool
    lenses: tuple[Lens, ...]
    eyepieces: tuple[Eyepiece, ...]
    own_eyepiece: Eyepiece | None


def light_of(train: Train, shelf: Sequence[Part] = (), gaps: Gaps | None = None) -> TrainLight:
    """The light of a train; what is not known, and how numbers came about, goes into `gaps`."""
    gaps = Gaps() if gaps is None else gaps
    telescope = train.first("telescope")
    if telescope is None:
        gaps.lacks("a telescope")
    aperture_mm = gaps.number(telescope, "aperture_mm") if telescope else None
    native_mm = gaps.number(telescope, "focal_length_mm") if telescope else None
    found = lenses(train, gaps)
    factor = _product(found)
    effective_mm = None if native_mm is None else native_mm * factor
    ratio = both(formulas.focal_ratio, effective_mm, aperture_mm)
    chip = sensor(train, gaps)
    shown = _eyepieces(train, shelf, effective_mm, ratio, gaps)
    own = _own_eyepiece(train, shown)
    return TrainLight(
        name=train.name,
        aperture_mm=aperture_mm,
        native_focal_length_mm=native_mm,
        factor=factor,
        effective_focal_length_mm=effective_mm,
        focal_ratio=ratio,
        image_scale_arcsec_px=both(
            formulas.image_scale_arcsec_px, chip.pixel_um if chip else None, effective_mm
        ),
        field_deg=_field(chip, own, effective_mm, gaps),
        sensor=chip,
        mirrored=mirrored(train),
        lenses=found,
        eyepieces=shown,
        own_eyepiece=own,
    )


def _product(found: tuple[Lens, ...]) -> float:
    factor = 1.0
    for lens in found:
        factor *= lens.factor
    return factor


def _eyepieces(
    train: Train,
    shelf: Sequence[Part],
    focal_length_mm: float | None,
    ratio: float | None,
    gaps: Gaps,
) -> tuple[Eyepiece, ...]:
    """Of a visual train every eyepiece there is, of a camera train only one in the light path."""
    own = train.first("eyepiece")
    if own is None and train.kind == "visual":
        gaps.lacks("an eyepiece")
    if own is not None:
        gaps.number(own, "focal_length_mm")
    if focal_length_mm is None or ratio is None:
        return ()
    more = [part for part in shelf if part.state == "owned"] if train.kind == "visual" else []
    parts = {part.name: part for part in (*more, *((own,) if own else ()))}
    return eyepieces(parts.values(), focal_length_mm, ratio)


def _own_eyepiece(train: Train, shown: tuple[Eyepiece, ...]) -> Eyepiece | None:
    own = train.first("eyepiece")
    return next((each for each in shown if own is not None and each.name == own.name), None)


def _field(
    chip: Sensor | None, own: Eyepiece | None, focal_length_mm: float | None, gaps: Gaps
) -> tuple[float, float] | None:
    if chip is not None:
        if focal_length_mm is None or focal_length_mm <= 0:
            return None
        width_deg = formulas.field_deg(chip.width_mm, focal_length_mm)
        return width_deg, formulas.field_deg(chip.height_mm, focal_length_mm)
    if own is None:
        return None
    if own.true_field_deg is None:
        gaps.lacks(f"the field stop or apparent field of {own.name}")
        return None
    if not own.from_stop:
        gaps.notes.append("the true field is from the apparent one: good to 10 %")
    return own.true_field_deg, own.true_field_deg
