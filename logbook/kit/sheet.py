"""The sheet of a train: what its parts do together, and what is not known of them."""

from collections.abc import Callable
from dataclasses import dataclass

from logbook.kit import optics
from logbook.kit.kinds import KINDS, Quantity
from logbook.kit.parts import MEASURED, STATED, Part, Train

# Rides on the mount's own side and does not count as carried by it.
_NOT_CARRIED = frozenset({"mount", "saddle", "counterweight"})
_CORRECTING = ("reducer", "corrector", "barlow")
_GLASS_INDEX = 1.52  # of a filter whose glass is not known; crown glass, common practice
_NO_LENGTH = frozenset({"telescope", "camera", "eyepiece"})


@dataclass(frozen=True, slots=True)
class Sensor:
    pixel_um: float
    width_px: int
    height_px: int

    @property
    def width_mm(self) -> float:
        return optics.sensor_size_mm(self.pixel_um, self.width_px)

    @property
    def height_mm(self) -> float:
        return optics.sensor_size_mm(self.pixel_um, self.height_px)


@dataclass(frozen=True, slots=True)
class BackFocus:
    """How far the sensor should be from `counted_from`, and how far it is by the parts' lengths.

    Either is None where a length is not known. What filters push the focus back is taken off.
    """

    counted_from: str
    wanted_mm: float | None
    reached_mm: float | None

    @property
    def off_mm(self) -> float | None:
        """Too far is positive."""
        if self.wanted_mm is None or self.reached_mm is None:
            return None
        return self.reached_mm - self.wanted_mm


@dataclass(frozen=True, slots=True)
class ValueLine:
    """One value of a part, as stated and as measured; the measured one counts."""

    label: str
    unit: str
    stated: float | str | None
    measured: float | str | None
    how: str = ""
    measured_on: str = ""

    @property
    def counts(self) -> float | str | None:
        return self.stated if self.measured is None else self.measured

    @property
    def difference(self) -> float | None:
        """Measured less stated, where both are numbers."""
        if isinstance(self.stated, float) and isinstance(self.measured, float):
            return self.measured - self.stated
        return None


@dataclass(frozen=True, slots=True)
class PartLines:
    name: str
    kind: str
    values: tuple[ValueLine, ...]
    carried: bool = False


@dataclass(frozen=True, slots=True)
class TrainSheet:
    """What a train's parts do together. None stands for what cannot be said; `missing` says why.

    field_deg -- width and height; for an eyepiece the true field, twice.
    factor -- what reducers and Barlows multiply the focal length by; 1 without any.
    mass_kg -- the light path and what rides along, without mount, saddle and counterweights;
        the sum of what was weighed, so too little while `missing` names a mass.
    mirrored -- an odd number of mirrors: the picture is the wrong way round.
    notes -- how a number came about where that is not plain.
    """

    name: str
    kind: str
    aperture_mm: float | None
    native_focal_length_mm: float | None
    factor: float
    effective_focal_length_mm: float | None
    focal_ratio: float | None
    obstruction_by_diameter: float | None
    light_loss_fraction: float | None
    image_scale_arcsec_px: float | None
    field_deg: tuple[float, float] | None
    sensor: Sensor | None
    magnification: float | None
    exit_pupil_mm: float | None
    mass_kg: float | None
    payload_kg: float | None
    back_focus: BackFocus | None
    mirrored: bool
    missing: tuple[str, ...]
    notes: tuple[str, ...]
    parts: tuple[PartLines, ...]


def possible(part: Part, quantity: str) -> float | None:
    """A part's number, if it is one that can be; a zero pixel counts as not known."""
    number = part.number(quantity)
    described = KINDS[part.kind].quantity(quantity) if part.kind in KINDS else None
    if number is None or described is None or not described.low <= number <= described.high:
        return None
    return number


class _Gaps:
    """Values asked for, with words for those not there."""

    def __init__(self) -> None:
        self.words: list[str] = []

    def number(self, part: Part, quantity: str) -> float | None:
        value = possible(part, quantity)
        if value is None:
            known = KINDS[part.kind].quantity(quantity) if part.kind in KINDS else None
            self.note(f"the {known.label if known else quantity} of {part.name}")
        return value

    def note(self, words: str) -> None:
        if words not in self.words:
            self.words.append(words)


def sheet(train: Train) -> TrainSheet:
    """What the train does. Values that cannot be (a zero pixel) count as not known."""
    gaps = _Gaps()
    notes: list[str] = []
    telescope = _first(train, "telescope")
    if telescope is None:
        gaps.note("a telescope")
    aperture_mm = gaps.number(telescope, "aperture_mm") if telescope else None
    native_mm = gaps.number(telescope, "focal_length_mm") if telescope else None
    factor = _factor(train, gaps, notes)
    effective_mm = None if native_mm is None else native_mm * factor
    ratio = _both(optics.focal_ratio, effective_mm, aperture_mm)
    by_diameter = _obstruction(telescope, aperture_mm, gaps)
    sensor = _sensor(train, gaps)
    eyepiece = _eyepiece(train, gaps)
    eyepiece_mm = gaps.number(eyepiece, "focal_length_mm") if eyepiece else None
    scale = _both(optics.image_scale_arcsec_px, sensor.pixel_um if sensor else None, effective_mm)
    return TrainSheet(
        name=train.name,
        kind=train.kind,
        aperture_mm=aperture_mm,
        native_focal_length_mm=native_mm,
        factor=factor,
        effective_focal_length_mm=effective_mm,
        focal_ratio=ratio,
        obstruction_by_diameter=by_diameter,
        light_loss_fraction=None if by_diameter is None else by_diameter**2,
        image_scale_arcsec_px=scale,
        field_deg=_field(sensor, eyepiece, effective_mm, gaps, notes),
        sensor=sensor,
        magnification=_both(optics.magnification, effective_mm, eyepiece_mm),
        exit_pupil_mm=_both(optics.exit_pupil_mm, eyepiece_mm, ratio),
        mass_kg=_mass_kg(train, gaps),
        payload_kg=_payload_kg(train),
        back_focus=_back_focus(train),
        mirrored=_mirrored(train),
        missing=tuple(gaps.words),
        notes=tuple(notes),
        parts=_part_lines(train),
    )


def _first(train: Train, kind: str) -> Part | None:
    return next((part for part in train.parts if part.kind == kind), None)


def _both(
    function: Callable[[float, float], float], one: float | None, other: float | None
) -> float | None:
    if one is None or other is None or one <= 0 or other <= 0:
        return None
    return function(one, other)


def _factor(train: Train, gaps: _Gaps, notes: list[str]) -> float:
    """What all reducers and Barlows of the train multiply by."""
    factor = 1.0
    for place, part in enumerate(train.parts):
        if part.kind == "reducer":
            factor *= _reducer(part, _length_after(train, place), gaps, notes)
        elif part.kind == "barlow":
            factor *= gaps.number(part, "factor") or 1.0
    return factor


def _reducer(part: Part, spacing_mm: float | None, gaps: _Gaps, notes: list[str]) -> float:
    """By the thin lens where its focal length and the real spacing are known, else as stated."""
    lens_mm = possible(part, "lens_focal_length_mm")
    if lens_mm is not None and spacing_mm is not None and 0 < spacing_mm < lens_mm:
        factor = optics.reducer_factor(spacing_mm, lens_mm)
        notes.append(
            f"{part.name} at {spacing_mm:.1f} mm gives {factor:.3f}× (1 − {spacing_mm:.1f}/"
            f"{lens_mm:g}, thin lens)"
        )
        return factor
    stated = gaps.number(part, "factor")
    if stated is not None:
        notes.append(f"{part.name} taken at its {stated:g}×, for the spacing it was designed for")
    return stated or 1.0


def _obstruction(telescope: Part | None, aperture_mm: float | None, gaps: _Gaps) -> float | None:
    if telescope is None or aperture_mm is None:
        return None
    mirrors = possible(telescope, "mirror_count")
    if mirrors == 0:
        return 0.0
    obstruction_mm = gaps.number(telescope, "obstruction_mm")
    if obstruction_mm is None or not 0 <= obstruction_mm < aperture_mm:
        return None
    return optics.obstruction_by_diameter(obstruction_mm, aperture_mm)


def _sensor(train: Train, gaps: _Gaps) -> Sensor | None:
    camera = _first(train, "camera")
    if camera is None:
        if train.kind == "camera":
            gaps.note("a camera")
        return None
    numbers = [gaps.number(camera, name) for name in ("pixel_um", "width_px", "height_px")]
    if not all(number is not None and number > 0 for number in numbers):
        return None
    pixel_um, width_px, height_px = (number or 0.0 for number in numbers)
    return Sensor(pixel_um, round(width_px), round(height_px))


def _eyepiece(train: Train, gaps: _Gaps) -> Part | None:
    eyepiece = _first(train, "eyepiece")
    if eyepiece is None and train.kind == "visual":
        gaps.note("an eyepiece")
    return eyepiece


def _field(
    sensor: Sensor | None,
    eyepiece: Part | None,
    focal_length_mm: float | None,
    gaps: _Gaps,
    notes: list[str],
) -> tuple[float, float] | None:
    if focal_length_mm is None or focal_length_mm <= 0:
        return None
    if sensor is not None:
        width_deg = optics.field_deg(sensor.width_mm, focal_length_mm)
        return width_deg, optics.field_deg(sensor.height_mm, focal_length_mm)
    if eyepiece is None:
        return None
    stop_mm, apparent_deg = (
        possible(eyepiece, "field_stop_mm"),
        possible(eyepiece, "apparent_field_deg"),
    )
    if stop_mm:
        true_deg = optics.field_deg(stop_mm, focal_length_mm)
        return true_deg, true_deg
    eyepiece_mm = possible(eyepiece, "focal_length_mm")
    if not apparent_deg or not eyepiece_mm:
        gaps.note(f"the field stop or apparent field of {eyepiece.name}")
        return None
    magnifies = optics.magnification(focal_length_mm, eyepiece_mm)
    notes.append("the true field is from the apparent one: good to 10 %")
    true_deg = optics.true_field_from_apparent_deg(apparent_deg, magnifies)
    return true_deg, true_deg


def _mass_kg(train: Train, gaps: _Gaps) -> float | None:
    weighed = [
        gaps.number(part, "mass_kg")
        for part in (*train.parts, *train.carried)
        if part.kind not in _NOT_CARRIED
    ]
    known = [mass for mass in weighed if mass is not None]
    return sum(known) if known else None


def _payload_kg(train: Train) -> float | None:
    mount = next((part for part in (*train.carried, *train.parts) if part.kind == "mount"), None)
    return possible(mount, "payload_kg") if mount else None


def _mirrored(train: Train) -> bool:
    mirrors = 0
    for part in train.parts:
        count = possible(part, "mirror_count")
        if count is None and part.kind == "diagonal":
            count = 1.0
        mirrors += round(count or 0.0)
    return mirrors % 2 == 1


def _length_after(train: Train, place: int) -> float | None:
    """Optical length from behind the part at `place` to the sensor; None if one is not known."""
    if train.kind == "visual":
        return None
    total_mm = 0.0
    for part in train.parts[place + 1 :]:
        length_mm = _length_mm(part)
        if length_mm is None:
            return None
        total_mm += length_mm - _glass_mm(part)
    return total_mm


def _length_mm(part: Part) -> float | None:
    if part.kind == "camera":
        return possible(part, "flange_distance_mm")
    if part.kind in _NO_LENGTH:
        return 0.0
    length_mm = possible(part, "optical_length_mm")
    if length_mm is None and part.kind == "filter":
        return 0.0  # in a cell or a wheel that has the length already
    return length_mm


def _glass_mm(part: Part) -> float:
    """How far a filter's glass puts the focus back."""
    thickness_mm = possible(part, "thickness_mm") if part.kind == "filter" else None
    if not thickness_mm:
        return 0.0
    return optics.glass_shift_mm(thickness_mm, possible(part, "refractive_index") or _GLASS_INDEX)


def _back_focus(train: Train) -> BackFocus | None:
    """From the last corrector that asks for a spacing, else from the telescope."""
    for place, part in reversed(tuple(enumerate(train.parts))):
        if part.kind in _CORRECTING:
            wanted_mm = possible(part, "design_spacing_mm")
        elif part.kind == "telescope":
            wanted_mm = possible(part, "back_focus_mm")
        else:
            continue
        if wanted_mm is not None:
            return BackFocus(part.name, wanted_mm, _length_after(train, place))
    return None


def _part_lines(train: Train) -> tuple[PartLines, ...]:
    lines = [PartLines(part.name, part.kind, value_lines(part)) for part in train.parts]
    carried = (PartLines(part.name, part.kind, value_lines(part), True) for part in train.carried)
    return (*lines, *carried)


def value_lines(part: Part) -> tuple[ValueLine, ...]:
    """The values a part has, in the order of its kind, stated beside measured."""
    kind = KINDS.get(part.kind)
    quantities = kind.quantities if kind else ()
    lines = (_value_line(part, quantity) for quantity in quantities)
    return tuple(line for line in lines if line is not None)


def _value_line(part: Part, quantity: Quantity) -> ValueLine | None:
    found = {each.basis: each for each in part.values if each.quantity == quantity.name}
    if not found:
        return None
    shown = {
        basis: each.number if each.word is None else each.word for basis, each in found.items()
    }
    measured = found.get(MEASURED)
    return ValueLine(
        quantity.label,
        quantity.unit,
        shown.get(STATED),
        shown.get(MEASURED),
        measured.how if measured else "",
        measured.measured_on if measured else "",
    )
