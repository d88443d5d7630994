"""Every kind of part and every quantity it may carry, described once.

Forms, checks, the book and the sheets all read this description.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value a part may carry. `name` ends in its unit; `low`..`high` is what is possible.

    is_text -- it holds words (a material, a type) and has no unit; is_thread -- the words are read
    by `threads.read_thread`; choices -- words the program knows more about; others may be said too.
    """

    name: str
    label: str
    unit: str = ""
    low: float = 0.0
    high: float = 1e6
    is_text: bool = False
    choices: tuple[str, ...] = ()
    is_thread: bool = False


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of part and the quantities that describe it, most important first."""

    name: str
    quantities: tuple[Quantity, ...]

    def quantity(self, name: str) -> Quantity | None:
        return next((each for each in self.quantities if each.name == name), None)


def _text(name: str, label: str, *choices: str) -> Quantity:
    return Quantity(name, label, is_text=True, choices=choices)


def _thread(name: str, label: str) -> Quantity:
    return Quantity(name, label, is_text=True, is_thread=True)


_MASS = Quantity("mass_kg", "mass", "kg", 0.0, 500.0)
_OPTICAL_LENGTH = Quantity("optical_length_mm", "optical length", "mm", 0.0, 2000.0)
_CLEAR_APERTURE = Quantity("clear_aperture_mm", "clear aperture", "mm", 1.0, 2000.0)
_DESIGN_SPACING = Quantity("design_spacing_mm", "design spacing", "mm", 0.0, 1000.0)
_LENS_FOCAL_LENGTH = Quantity("lens_focal_length_mm", "focal length", "mm", 10.0, 10000.0)
_MIRROR_COUNT = Quantity("mirror_count", "mirrors", "", 0.0, 5.0)
_WIDTH = Quantity("width_mm", "width", "mm", 5.0, 300.0)
_SKY_THREAD = _thread("sky_side_thread", "thread, sky side")
_EYE_THREAD = _thread("eye_side_thread", "thread, eye side")
_BETWEEN = (_OPTICAL_LENGTH, _CLEAR_APERTURE, _SKY_THREAD, _EYE_THREAD, _MASS)

TUBE_MATERIALS = ("aluminium", "steel", "stainless steel", "carbon fibre", "glass fibre", "wood")
MIRROR_MATERIALS = ("borosilicate", "soda-lime", "fused silica", "glass-ceramic")
HARDWARE_TYPES = (
    "screw", "nut", "washer", "O-ring", "felt", "belt", "spring", "battery", "fuse", "desiccant",
)  # fmt: skip

_TELESCOPE = Kind(
    "telescope",
    (
        Quantity("aperture_mm", "aperture", "mm", 10.0, 5000.0),
        Quantity("focal_length_mm", "focal length", "mm", 50.0, 50000.0),
        Quantity("obstruction_mm", "secondary housing", "mm", 0.0, 2500.0),
        Quantity("back_focus_mm", "back focus", "mm", 0.0, 2000.0),
        _CLEAR_APERTURE,
        Quantity("tube_length_mm", "tube length", "mm", 10.0, 10000.0),
        Quantity("tube_diameter_mm", "tube outer diameter", "mm", 10.0, 5000.0),
        _text("tube_material", "tube material", *TUBE_MATERIALS),
        Quantity("tube_wall_mm", "tube wall", "mm", 0.2, 50.0),
        Quantity("balance_mm", "balance point from the back", "mm", -1000.0, 10000.0),
        _MIRROR_COUNT,
        _text("mirror_material", "mirror material", *MIRROR_MATERIALS),
        Quantity("mirror_thickness_mm", "primary thickness", "mm", 1.0, 500.0),
        _text("mirror_coating", "mirror coating"),
        Quantity("primary_focal_length_mm", "primary focal length", "mm", 10.0, 20000.0),
        Quantity("mirror_spacing_mm", "mirror spacing", "mm", 5.0, 20000.0),
        Quantity("screw_pitch_mm", "secondary screw pitch", "mm", 0.1, 3.0),
        Quantity("screw_circle_radius_mm", "secondary screw radius", "mm", 1.0, 500.0),
        _EYE_THREAD,
        _MASS,
    ),
)
_FOCUSER = Kind(
    "focuser",
    (
        _text(
            "focuser_type",
            "type",
            "rack and pinion",
            "friction drive",
            "helical",
            "sliding tube",
            "moving mirror",
        ),
        Quantity("travel_mm", "travel", "mm", 0.0, 1000.0),
        Quantity("step_um", "finest step", "µm", 0.0, 1000.0),
        _text("tilt_adjustment", "tilt adjustment", "none", "three screws", "push-pull screws"),
        *_BETWEEN,
    ),
)
_CAMERA = Kind(
    "camera",
    (
        Quantity("pixel_um", "pixel", "µm", 0.5, 100.0),
        Quantity("width_px", "sensor width", "px", 1.0, 100000.0),
        Quantity("height_px", "sensor height", "px", 1.0, 100000.0),
        Quantity("flange_distance_mm", "flange distance", "mm", 0.0, 200.0),
        _SKY_THREAD,
        _MASS,
    ),
)
_EYEPIECE = Kind(
    "eyepiece",
    (
        Quantity("focal_length_mm", "focal length", "mm", 1.0, 200.0),
        Quantity("field_stop_mm", "field stop", "mm", 1.0, 100.0),
        Quantity("apparent_field_deg", "apparent field", "°", 10.0, 140.0),
        _SKY_THREAD,
        _MASS,
    ),
)
_FILTER = Kind(
    "filter",
    (
        Quantity("thickness_mm", "thickness", "mm", 0.0, 30.0),
        Quantity("refractive_index", "refractive index", "", 1.0, 3.0),
        *_BETWEEN,
    ),
)
_GUIDE_TELESCOPE = Kind(
    "guide telescope",
    (
        Quantity("aperture_mm", "aperture", "mm", 5.0, 1000.0),
        Quantity("focal_length_mm", "focal length", "mm", 20.0, 5000.0),
        Quantity("tube_length_mm", "length", "mm", 10.0, 5000.0),
        _MASS,
    ),
)
_DEW_SHIELD = Kind(
    "dew shield",
    (
        Quantity("length_mm", "length past the tube", "mm", 1.0, 3000.0),
        Quantity("inner_diameter_mm", "inner diameter", "mm", 10.0, 5000.0),
        Quantity("notch_mm", "notch for the dovetail", "mm", 0.0, 500.0),
        _MASS,
    ),
)
_HARDWARE = Kind(
    "small hardware",
    (
        _text("hardware_type", "what it is", *HARDWARE_TYPES),
        _text("goes_on", "goes on"),
        _thread("thread", "thread"),
        Quantity("shaft_length_mm", "shaft length", "mm", 0.1, 1000.0),
        Quantity("overall_length_mm", "overall length", "mm", 0.1, 10000.0),
        Quantity("inner_diameter_mm", "inner diameter", "mm", 0.1, 1000.0),
        Quantity("width_mm", "width", "mm", 0.1, 1000.0),
        Quantity("thickness_mm", "thickness", "mm", 0.01, 200.0),
        Quantity("stock_count", "in stock", "", 0.0, 10000.0),
        _MASS,
    ),
)

KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        _TELESCOPE,
        _FOCUSER,
        Kind("extension ring", _BETWEEN),
        Kind("adapter", _BETWEEN),
        Kind(
            "reducer",
            (
                Quantity("factor", "factor", "×", 0.1, 1.0),
                _DESIGN_SPACING,
                _LENS_FOCAL_LENGTH,
                *_BETWEEN,
            ),
        ),
        Kind("corrector", (_DESIGN_SPACING, *_BETWEEN)),
        Kind(
            "barlow",
            (
                Quantity("factor", "factor", "×", 1.0, 10.0),
                _DESIGN_SPACING,
                _LENS_FOCAL_LENGTH,
                *_BETWEEN,
            ),
        ),
        _CAMERA,
        _EYEPIECE,
        _FILTER,
        Kind("diagonal", (_MIRROR_COUNT, *_BETWEEN)),
        Kind("mount", (Quantity("payload_kg", "payload", "kg", 0.1, 5000.0), _MASS)),
        Kind("dovetail", (_WIDTH, Quantity("length_mm", "length", "mm", 5.0, 3000.0), _MASS)),
        Kind("saddle", (_WIDTH, Quantity("length_mm", "length", "mm", 5.0, 1000.0), _MASS)),
        _GUIDE_TELESCOPE,
        Kind("counterweight", (_MASS,)),
        _DEW_SHIELD,
        Kind("finder", (Quantity("magnification", "magnification", "×", 0.5, 50.0), _MASS)),
        _HARDWARE,
    )
}
