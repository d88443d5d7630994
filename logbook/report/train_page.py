"""What a train does, as text or JSON."""

import json
from typing import TYPE_CHECKING

from rich.text import Text

from logbook.kit.sheet import TrainSheet, sheet
from logbook.kit.values import PartLines
from logbook.report.printing import print_lines

if TYPE_CHECKING:
    from logbook.store.book import Book


def print_trains(book: "Book", name: str | None, *, as_json: bool) -> None:
    """One train, or every one. Raises NotFound."""
    records = (book.kit.train_named(name),) if name else book.kit.trains()
    sheets = [sheet(each.train) for each in records]
    if as_json:
        found = [train_json(each) for each in sheets]
        print(json.dumps(found[0] if name else found, indent=2, ensure_ascii=False))
        return
    for each in sheets:
        print_lines([*train_lines(each), Text("")])


def train_lines(what: TrainSheet) -> list[Text]:
    """The numbers that are known, then what is not."""
    lines = [Text(f"{what.name} ({what.kind})", style="bold")]
    for label, value in (
        ("aperture", _with(what.aperture_mm, "mm", 0)),
        ("focal length", _with(what.effective_focal_length_mm, "mm", 0)),
        ("focal ratio", "" if what.focal_ratio is None else f"f/{what.focal_ratio:.2f}"),
        ("image scale", _with(what.image_scale_arcsec_px, "″/px", 3)),
        ("field", _field(what)),
        ("magnification", _with(what.magnification, "×", 0)),
        ("exit pupil", _with(what.exit_pupil_mm, "mm", 1)),
        ("obstruction", _with(what.obstruction_by_diameter, "of the diameter", 3)),
        ("mass", _with(what.mass_kg, "kg", 2)),
        ("parts", ", ".join(each.name for each in what.parts)),
        ("not known", ", ".join(what.missing)),
    ):
        if value:
            lines.append(Text(f"  {label:14} {value}"))
    return lines


def _with(value: float | None, unit: str, decimals: int) -> str:
    return "" if value is None else f"{value:.{decimals}f} {unit}"


def _field(what: TrainSheet) -> str:
    return "" if what.field_deg is None else " × ".join(f"{each:.3f}°" for each in what.field_deg)


def train_json(what: TrainSheet) -> dict[str, object]:
    """A train as plain values; what is not known is null."""
    focus, sensor = what.back_focus, what.sensor
    return {
        "name": what.name,
        "kind": what.kind,
        "aperture_mm": what.aperture_mm,
        "effective_focal_length_mm": what.effective_focal_length_mm,
        "focal_ratio": what.focal_ratio,
        "obstruction_by_diameter": what.obstruction_by_diameter,
        "image_scale_arcsec_px": what.image_scale_arcsec_px,
        "field_deg": None if what.field_deg is None else list(what.field_deg),
        "sensor": None
        if sensor is None
        else {
            "pixel_um": sensor.pixel_um,
            "width_px": sensor.width_px,
            "height_px": sensor.height_px,
        },
        "mass_kg": what.mass_kg,
        "back_focus_mm": {
            "wanted": focus.wanted_mm if focus else None,
            "reached": focus.reached_mm if focus else None,
        },
        "parts": [_part_json(each) for each in what.parts],
    }


def _part_json(part: PartLines) -> dict[str, object]:
    return {"name": part.name, "kind": part.kind, "carried": part.carried}
