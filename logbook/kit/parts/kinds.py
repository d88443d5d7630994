"""Every kind of part and every quantity it may carry, described once.

Forms, checks, the book and the sheets all read this description.
"""

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value a part may carry. `name` ends in its unit; `low`..`high` is what is possible.

    is_text -- it holds words (a material, a type) and has no unit; is_thread -- the words are read
    by `threads.read_thread`; choices -- words the program knows more about; others will do too.
    means -- what is measured, and from where; example -- something that may be typed for it.
    """

    name: str
    label: str
    unit: str = ""
    low: float = 0.0
    high: float = 1e6
    is_text: bool = False
    choices: tuple[str, ...] = ()
    is_thread: bool = False
    means: str = field(kw_only=True)
    example: str = field(kw_only=True)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of part and the quantities that describe it, most important first."""

    name: str
    quantities: tuple[Quantity, ...]

    def quantity(self, name: str) -> Quantity | None:
        """The quantity of that name that a part of this kind may carry, if any."""
        return next((each for each in self.quantities if each.name == name), None)


def _text(name: str, label: str, means: str, *choices: str, example: str = "") -> Quantity:
    said = example or choices[0]
    return Quantity(name, label, is_text=True, choices=choices, means=means, example=said)


def _thread(name: str, label: str, means: str) -> Quantity:
    example = 'M48x0.75 male, 2"-24 tpi female, 31.75 mm, none'
    return Quantity(name, label, is_text=True, is_thread=True, means=means, example=example)


def _mm(name: str, label: str, low: float, high: float, means: str, example: str) -> Quantity:
    return Quantity(name, label, "mm", low, high, means=means, example=example)


_MASS = Quantity(
    "mass_kg", "mass", "kg", 0.0, 500.0, means="What it weighs by itself.", example="2.3, 850 g"
)
_OPTICAL_LENGTH = _mm(
    "optical_length_mm",
    "optical length",
    0.0,
    2000.0,
    "How much longer it makes the light path, from seat to seat; threads that go into the next "
    "part do not count.",
    "25, or 1 in",
)
_CLEAR_APERTURE = _mm(
    "clear_aperture_mm",
    "clear aperture",
    1.0,
    2000.0,
    "The narrowest opening that the light goes through in it.",
    "46",
)
_DESIGN_SPACING = _mm(
    "design_spacing_mm",
    "design spacing",
    0.0,
    1000.0,
    "How far behind its rear seat the sensor is meant to be.",
    "55",
)
_LENS_FOCAL_LENGTH = _mm(
    "lens_focal_length_mm",
    "focal length",
    10.0,
    10000.0,
    "The focal length of the lens by itself, without a sign.",
    "260",
)
_MIRROR_COUNT = Quantity(
    "mirror_count",
    "mirrors",
    "",
    0.0,
    5.0,
    means="How many mirrors the light meets in it; each takes some of it.",
    example="2",
)
_RAIL = "From end to end, along the tube."
_WIDTH = _mm("width_mm", "width", 5.0, 300.0, "How wide the rail is at its foot.", "44")
_SKY_THREAD = _thread(
    "sky_side_thread", "thread, sky side", "What it screws or slides into, toward the sky."
)
_EYE_THREAD = _thread(
    "eye_side_thread", "thread, eye side", "What it takes on the side of the eye or sensor."
)
_BETWEEN = (_OPTICAL_LENGTH, _CLEAR_APERTURE, _SKY_THREAD, _EYE_THREAD, _MASS)

TUBE_MATERIALS = ("aluminium", "steel", "stainless steel", "carbon fibre", "glass fibre", "wood")
MIRROR_MATERIALS = ("borosilicate", "soda-lime", "fused silica", "glass-ceramic")
HARDWARE_TYPES = (
    "screw", "nut", "washer", "O-ring", "felt", "belt", "spring", "battery", "fuse", "desiccant",
)  # fmt: skip

_TELESCOPE = Kind(
    "telescope",
    (
        _mm(
            "aperture_mm",
            "aperture",
            10.0,
            5000.0,
            "The free diameter of the main mirror or lens.",
            "203, or 8 in",
        ),
        _mm(
            "focal_length_mm",
            "focal length",
            50.0,
            50000.0,
            "The focal length of the whole telescope, without reducer or Barlow.",
            "1624",
        ),
        _mm(
            "obstruction_mm",
            "secondary housing",
            0.0,
            2500.0,
            "The diameter of whatever holds the secondary in the light; 0 where nothing does.",
            "69",
        ),
        _mm(
            "back_focus_mm",
            "back focus",
            0.0,
            2000.0,
            "How far the focus lies behind the seat at the tube's rear where the train begins.",
            "160",
        ),
        _CLEAR_APERTURE,
        _mm("tube_length_mm", "tube length", 10.0, 10000.0, "The tube from end to end.", "480"),
        _mm(
            "tube_diameter_mm",
            "tube outer diameter",
            10.0,
            5000.0,
            "Across the outside of the tube.",
            "230",
        ),
        _text("tube_material", "tube material", "What the tube is made of.", *TUBE_MATERIALS),
        _mm("tube_wall_mm", "tube wall", 0.2, 50.0, "How thick the tube's wall is.", "1.5"),
        _mm(
            "balance_mm",
            "balance point from the back",
            -1000.0,
            10000.0,
            "Where the bare tube balances, from its back plate toward the sky.",
            "210",
        ),
        _MIRROR_COUNT,
        _text(
            "mirror_material", "mirror material", "What the primary is made of.", *MIRROR_MATERIALS
        ),
        _mm(
            "mirror_thickness_mm",
            "primary thickness",
            1.0,
            500.0,
            "How thick the primary is; it says how fast it cools.",
            "25",
        ),
        _text(
            "mirror_coating",
            "mirror coating",
            "What the mirrors are coated with.",
            example="aluminium, overcoated",
        ),
        _mm(
            "primary_focal_length_mm",
            "primary focal length",
            10.0,
            20000.0,
            "The focal length of the primary mirror alone.",
            "610",
        ),
        _mm(
            "mirror_spacing_mm",
            "mirror spacing",
            5.0,
            20000.0,
            "From the primary's surface to the secondary's.",
            "450",
        ),
        _mm(
            "screw_pitch_mm",
            "secondary screw pitch",
            0.1,
            3.0,
            "How far one turn moves a screw of the secondary: 0.7 for M4, 0.8 for M5.",
            "0.7",
        ),
        _mm(
            "screw_circle_radius_mm",
            "secondary screw radius",
            1.0,
            500.0,
            "From the middle of the secondary's cell to the middle of an outer screw.",
            "20",
        ),
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
            "How it moves.",
            "rack and pinion",
            "friction drive",
            "helical",
            "sliding tube",
            "moving mirror",
        ),
        _mm("travel_mm", "travel", 0.0, 1000.0, "How far it moves from all in to all out.", "25"),
        Quantity(
            "step_um",
            "finest step",
            "µm",
            0.0,
            1000.0,
            means="How far the smallest step you can make moves it.",
            example="4",
        ),
        _text(
            "tilt_adjustment",
            "tilt adjustment",
            "How its tilt is adjusted, if it can be.",
            "none",
            "three screws",
            "push-pull screws",
        ),
        _mm(
            "optical_length_mm",
            "optical length",
            0.0,
            2000.0,
            "Its length in the light path when it is racked all the way in, from seat to seat.",
            "61.5",
        ),
        _CLEAR_APERTURE,
        _SKY_THREAD,
        _EYE_THREAD,
        _MASS,
    ),
)
_CAMERA = Kind(
    "camera",
    (
        Quantity(
            "pixel_um", "pixel", "µm", 0.5, 100.0, means="The side of one pixel.", example="3.76"
        ),
        Quantity(
            "width_px",
            "sensor width",
            "px",
            1.0,
            100000.0,
            means="How many pixels the sensor has along its longer side.",
            example="6248",
        ),
        Quantity(
            "height_px",
            "sensor height",
            "px",
            1.0,
            100000.0,
            means="How many pixels the sensor has along its shorter side.",
            example="4176",
        ),
        _mm(
            "flange_distance_mm",
            "flange distance",
            0.0,
            200.0,
            "From the camera's front seat to its sensor.",
            "17.5",
        ),
        _SKY_THREAD,
        _MASS,
    ),
)
_EYEPIECE = Kind(
    "eyepiece",
    (
        _mm("focal_length_mm", "focal length", 1.0, 200.0, "Its focal length.", "24"),
        _mm(
            "field_stop_mm",
            "field stop",
            1.0,
            100.0,
            "The diameter of the ring inside it that bounds the field.",
            "27.2",
        ),
        Quantity(
            "apparent_field_deg",
            "apparent field",
            "°",
            10.0,
            140.0,
            means="How wide the field looks to the eye.",
            example="68",
        ),
        _SKY_THREAD,
        _MASS,
    ),
)
_FILTER = Kind(
    "filter",
    (
        _mm("thickness_mm", "thickness", 0.0, 30.0, "How thick its glass is, not its cell.", "2"),
        Quantity(
            "refractive_index",
            "refractive index",
            "",
            1.0,
            3.0,
            means="Of its glass; about 1.5 if you do not know it.",
            example="1.52",
        ),
        *_BETWEEN,
    ),
)
_GUIDE_TELESCOPE = Kind(
    "guide telescope",
    (
        _mm("aperture_mm", "aperture", 5.0, 1000.0, "The free diameter of its lens.", "50"),
        _mm("focal_length_mm", "focal length", 20.0, 5000.0, "Its focal length.", "200"),
        _mm("tube_length_mm", "length", 10.0, 5000.0, "From end to end.", "240"),
        _MASS,
    ),
)
_DEW_SHIELD = Kind(
    "dew shield",
    (
        _mm(
            "length_mm",
            "length past the tube",
            1.0,
            3000.0,
            "How far it reaches past the front of the tube.",
            "250",
        ),
        _mm(
            "inner_diameter_mm",
            "inner diameter",
            10.0,
            5000.0,
            "Across the inside at its front.",
            "235",
        ),
        _mm(
            "notch_mm",
            "notch for the dovetail",
            0.0,
            500.0,
            "How wide it is cut out for the dovetail; 0 without.",
            "50",
        ),
        _MASS,
    ),
)
_HARDWARE = Kind(
    "small hardware",
    (
        _text("hardware_type", "what it is", "What sort of small thing it is.", *HARDWARE_TYPES),
        _text("goes_on", "goes on", "The part it belongs to.", example="Long tube"),
        _thread("thread", "thread", "Its thread."),
        _mm(
            "shaft_length_mm",
            "shaft length",
            0.1,
            1000.0,
            "Of a screw, from under its head to its end; of a grub screw, the whole.",
            "12",
        ),
        _mm("overall_length_mm", "overall length", 0.1, 10000.0, "From end to end.", "16"),
        _mm("inner_diameter_mm", "inner diameter", 0.1, 1000.0, "Across its hole.", "4.3"),
        _mm("width_mm", "width", 0.1, 1000.0, "Across its shorter side.", "6"),
        _mm(
            "thickness_mm",
            "thickness",
            0.01,
            200.0,
            "How thick it is; of an O-ring, its cord.",
            "1",
        ),
        Quantity(
            "stock_count",
            "in stock",
            "",
            0.0,
            10000.0,
            means="How many you have to hand.",
            example="8",
        ),
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
                Quantity(
                    "factor",
                    "factor",
                    "×",
                    0.1,
                    1.0,
                    means="By how much it shortens the focal length at its design spacing.",
                    example="0.63",
                ),
                _DESIGN_SPACING,
                _LENS_FOCAL_LENGTH,
                *_BETWEEN,
            ),
        ),
        Kind("corrector", (_DESIGN_SPACING, *_BETWEEN)),
        Kind(
            "barlow",
            (
                Quantity(
                    "factor",
                    "factor",
                    "×",
                    1.0,
                    10.0,
                    means="By how much it lengthens the focal length at its design spacing.",
                    example="2",
                ),
                _DESIGN_SPACING,
                _LENS_FOCAL_LENGTH,
                *_BETWEEN,
            ),
        ),
        _CAMERA,
        _EYEPIECE,
        _FILTER,
        Kind("diagonal", (_MIRROR_COUNT, *_BETWEEN)),
        Kind(
            "mount",
            (
                Quantity(
                    "payload_kg",
                    "payload",
                    "kg",
                    0.1,
                    5000.0,
                    means="The load it is stated to carry, without counterweights.",
                    example="20",
                ),
                _MASS,
            ),
        ),
        Kind("dovetail", (_WIDTH, _mm("length_mm", "length", 5.0, 3000.0, _RAIL, "325"), _MASS)),
        Kind("saddle", (_WIDTH, _mm("length_mm", "length", 5.0, 1000.0, _RAIL, "120"), _MASS)),
        _GUIDE_TELESCOPE,
        Kind("counterweight", (_MASS,)),
        _DEW_SHIELD,
        Kind(
            "finder",
            (
                Quantity(
                    "magnification",
                    "magnification",
                    "×",
                    0.5,
                    50.0,
                    means="How much it magnifies; 1 for one that does not.",
                    example="6",
                ),
                _MASS,
            ),
        ),
        _HARDWARE,
    )
}
