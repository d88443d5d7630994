"""What the owner has: parts with stated and measured values, and trains of them.

Every kind of part and every quantity it may carry is described here once; forms, checks, the book
and the sheets all read this description.
"""

from dataclasses import dataclass, field, replace

STATED = "stated"
MEASURED = "measured"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value a part may carry. `name` ends in its unit; `low`..`high` is what is possible.

    A quantity with `words` holds text (a thread, a material) and has no unit.
    """

    name: str
    label: str
    unit: str = ""
    low: float = 0.0
    high: float = 1e6
    is_text: bool = False


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of part and the quantities that describe it, most important first."""

    name: str
    quantities: tuple[Quantity, ...]

    def quantity(self, name: str) -> Quantity | None:
        return next((each for each in self.quantities if each.name == name), None)


_MASS = Quantity("mass_kg", "mass", "kg", 0.0, 500.0)
_OPTICAL_LENGTH = Quantity("optical_length_mm", "optical length", "mm", 0.0, 2000.0)
_CLEAR_APERTURE = Quantity("clear_aperture_mm", "clear aperture", "mm", 1.0, 2000.0)
_SKY_THREAD = Quantity("sky_side_thread", "thread, sky side", is_text=True)
_EYE_THREAD = Quantity("eye_side_thread", "thread, eye side", is_text=True)
_BETWEEN = (_OPTICAL_LENGTH, _CLEAR_APERTURE, _SKY_THREAD, _EYE_THREAD, _MASS)

KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind(
            "telescope",
            (
                Quantity("aperture_mm", "aperture", "mm", 10.0, 5000.0),
                Quantity("focal_length_mm", "focal length", "mm", 50.0, 50000.0),
                Quantity("obstruction_mm", "secondary housing", "mm", 0.0, 2500.0),
                Quantity("back_focus_mm", "back focus", "mm", 0.0, 2000.0),
                Quantity("tube_length_mm", "tube length", "mm", 10.0, 10000.0),
                Quantity("tube_diameter_mm", "tube outer diameter", "mm", 10.0, 5000.0),
                Quantity("tube_material", "tube material", is_text=True),
                Quantity("primary_focal_length_mm", "primary focal length", "mm", 10.0, 20000.0),
                Quantity("screw_pitch_mm", "secondary screw pitch", "mm", 0.1, 3.0),
                Quantity("screw_circle_radius_mm", "secondary screw radius", "mm", 1.0, 500.0),
                Quantity("mirror_count", "mirrors", "", 0.0, 5.0),
                _EYE_THREAD,
                _MASS,
            ),
        ),
        Kind(
            "focuser",
            (
                Quantity("travel_mm", "travel", "mm", 0.0, 1000.0),
                Quantity("step_um", "finest step", "µm", 0.0, 1000.0),
                *_BETWEEN,
            ),
        ),
        Kind("extension ring", _BETWEEN),
        Kind("adapter", _BETWEEN),
        Kind(
            "reducer",
            (
                Quantity("factor", "factor", "×", 0.1, 1.0),
                Quantity("design_spacing_mm", "design spacing", "mm", 0.0, 1000.0),
                Quantity("lens_focal_length_mm", "focal length", "mm", 10.0, 10000.0),
                *_BETWEEN,
            ),
        ),
        Kind("corrector", (Quantity("design_spacing_mm", "design spacing", "mm"), *_BETWEEN)),
        Kind(
            "barlow",
            (
                Quantity("factor", "factor", "×", 1.0, 10.0),
                Quantity("design_spacing_mm", "design spacing", "mm", 0.0, 1000.0),
                *_BETWEEN,
            ),
        ),
        Kind(
            "camera",
            (
                Quantity("pixel_um", "pixel", "µm", 0.5, 100.0),
                Quantity("width_px", "sensor width", "px", 1.0, 100000.0),
                Quantity("height_px", "sensor height", "px", 1.0, 100000.0),
                Quantity("flange_distance_mm", "flange distance", "mm", 0.0, 200.0),
                _SKY_THREAD,
                _MASS,
            ),
        ),
        Kind(
            "eyepiece",
            (
                Quantity("focal_length_mm", "focal length", "mm", 1.0, 200.0),
                Quantity("field_stop_mm", "field stop", "mm", 1.0, 100.0),
                Quantity("apparent_field_deg", "apparent field", "°", 10.0, 140.0),
                _MASS,
            ),
        ),
        Kind(
            "filter",
            (
                Quantity("thickness_mm", "thickness", "mm", 0.0, 30.0),
                Quantity("refractive_index", "refractive index", "", 1.0, 3.0),
                *_BETWEEN,
            ),
        ),
        Kind("diagonal", (Quantity("mirror_count", "mirrors", "", 0.0, 5.0), *_BETWEEN)),
        Kind("mount", (Quantity("payload_kg", "payload", "kg", 0.1, 5000.0), _MASS)),
        Kind(
            "dovetail",
            (
                Quantity("width_mm", "width", "mm", 5.0, 300.0),
                Quantity("length_mm", "length", "mm", 5.0, 3000.0),
                _MASS,
            ),
        ),
        Kind("saddle", (Quantity("width_mm", "width", "mm", 5.0, 300.0), _MASS)),
        Kind(
            "guide telescope",
            (
                Quantity("aperture_mm", "aperture", "mm", 5.0, 1000.0),
                Quantity("focal_length_mm", "focal length", "mm", 20.0, 5000.0),
                _MASS,
            ),
        ),
        Kind("counterweight", (_MASS,)),
        Kind(
            "dew shield",
            (
                Quantity("length_mm", "length", "mm", 1.0, 3000.0),
                Quantity("notch_mm", "notch for the dovetail", "mm", 0.0, 500.0),
                _MASS,
            ),
        ),
        Kind("finder", (Quantity("magnification", "magnification", "×", 0.5, 50.0), _MASS)),
        Kind(
            "small hardware",
            (
                Quantity("thread", "thread", is_text=True),
                Quantity("shaft_length_mm", "shaft length", "mm", 0.1, 1000.0),
                Quantity("overall_length_mm", "overall length", "mm", 0.1, 1000.0),
                _MASS,
            ),
        ),
    )
}


@dataclass(frozen=True, slots=True)
class Value:
    """One value of a part: a number in the quantity's unit, or a word for a text quantity."""

    quantity: str
    basis: str  # STATED or MEASURED
    number: float | None = None
    word: str | None = None
    how: str = ""
    measured_on: str = ""  # ISO date, as the owner gave it


@dataclass(frozen=True, slots=True)
class Part:
    """A part as it stands at one moment."""

    name: str
    kind: str
    values: tuple[Value, ...] = ()
    state: str = "owned"
    note: str = ""
    reason: str = ""  # why it is wished for, lent or sold
    price: float | None = None
    photo_path: str = ""
    link: str = ""

    def value(self, quantity: str) -> Value | None:
        """The value that counts: the measured one if there is one, else the stated one."""
        found = {each.basis: each for each in self.values if each.quantity == quantity}
        return found.get(MEASURED) or found.get(STATED)

    def number(self, quantity: str) -> float | None:
        value = self.value(quantity)
        return value.number if value else None

    def word(self, quantity: str) -> str | None:
        value = self.value(quantity)
        return value.word if value else None

    def with_number(
        self, quantity: str, number: float, *, basis: str = STATED, how: str = "", on: str = ""
    ) -> "Part":
        """This part with one value set; the other basis of the same quantity is kept."""
        kept = tuple(
            each for each in self.values if (each.quantity, each.basis) != (quantity, basis)
        )
        value = Value(quantity, basis, number=number, how=how, measured_on=on)
        return replace(self, values=(*kept, value))


@dataclass(frozen=True, slots=True)
class Train:
    """Parts in the order in which light meets them, from sky to eye or sensor."""

    name: str
    kind: str  # camera or visual
    parts: tuple[Part, ...] = field(default_factory=tuple)
    carried: tuple[Part, ...] = field(default_factory=tuple)  # rides along: mount, weights, finder
