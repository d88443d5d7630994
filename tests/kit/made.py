"""Parts for the tests of the kit: generic numbers, and threads where they matter."""

from logbook.kit.parts.part import STATED, Part, Value


def part(name: str, kind: str, /, **given: float | str) -> Part:
    """A part with stated values; words for text quantities."""
    values = tuple(
        Value(quantity, STATED, word=value)
        if isinstance(value, str)
        else Value(quantity, STATED, float(value))
        for quantity, value in given.items()
    )
    return Part(name, kind, values)


TUBE = part(
    "Long tube", "telescope", aperture_mm=203, focal_length_mm=1624, obstruction_mm=67,
    back_focus_mm=160, mirror_count=2, mass_kg=9.4, tube_length_mm=640, tube_material="aluminium",
    primary_focal_length_mm=609, mirror_spacing_mm=377.455, eye_side_thread="M68x1 female",
)  # fmt: skip
FOCUSER = part(
    "Focuser", "focuser", optical_length_mm=80, mass_kg=0.9, travel_mm=40, step_um=2,
    clear_aperture_mm=50, sky_side_thread="M68x1 male", eye_side_thread="M54x0.75 female",
)  # fmt: skip
CAMERA = part(
    "Night camera", "camera", pixel_um=3.76, width_px=6248, height_px=4176,
    flange_distance_mm=17.5, mass_kg=0.62, sky_side_thread="M54x0.75 male",
)  # fmt: skip
REDUCER = part(
    "Reducer", "reducer", factor=0.72, lens_focal_length_mm=300, design_spacing_mm=85,
    optical_length_mm=20, mass_kg=0.3, clear_aperture_mm=46, sky_side_thread="M54x0.75 male",
    eye_side_thread="M54x0.75 female",
)  # fmt: skip


def ring(length_mm: float, name: str = "") -> Part:
    return part(
        name or f"Ring {length_mm:g}", "extension ring", optical_length_mm=length_mm,
        mass_kg=0.05, clear_aperture_mm=51, sky_side_thread="M54x0.75 male",
        eye_side_thread="M54x0.75 female",
    )  # fmt: skip
