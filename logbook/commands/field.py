"""Star widths over focused frames, as a small map in text or as JSON."""

import json
from collections.abc import Sequence
from pathlib import Path

from rich.text import Text

from logbook.report.terminal import print_lines
from logbook.startest.field.map import measure_field
from logbook.startest.field.result import FieldMap, Part, Zone
from logbook.startest.picture.picture import PictureRefused, shown_name
from logbook.startest.picture.read import read_picture

_DIRECTIONS = "─╲│╱"  # long axis at 0, 45, 90, 135 degrees, row 0 at the top
_LEAST_DRAWN = 0.05  # elongation from which a direction is drawn


def print_fields(paths: Sequence[Path], *, scale_arcsec_px: float | None, as_json: bool) -> None:
    """Measure the stars of every frame. Raises BadInput where the scale cannot be."""
    items = []
    for path in paths:
        name = shown_name(path)
        try:
            found = measure_field(read_picture(path), scale_arcsec_px)
        except PictureRefused as error:
            found = FieldMap(ok=False, reason=str(error))
        items.append(field_json(name, found))
        if not as_json:
            print_lines(field_lines(name, found))
    if as_json:
        print(json.dumps(items, indent=2, ensure_ascii=False))


def field_lines(name: str, found: FieldMap) -> list[Text]:
    """The map: width, stars and direction of each ninth; then what it means."""
    lines = [Text(name, style="bold")]
    if not found.ok:
        return [*lines, Text(f"  refused: {found.reason}")]
    lines.append(
        Text(
            f"  {found.stars} stars, width {found.shown(found.fwhm_px or 0.0)} (median),"
            f" elongation {100 * (found.elongation or 0.0):.0f} %"
        )
    )
    rows = sorted({zone.row for zone in found.zones})
    for row in rows:
        cells = [_cell(found, zone) for zone in found.zones if zone.row == row]
        lines.append(Text("  " + "  ".join(f"{cell:>16}" for cell in cells)))
    return [*lines, *(Text(f"  {words}") for words in found.words)]


def _cell(found: FieldMap, zone: Zone) -> str:
    if zone.fwhm_px is None:
        return "no star"
    drawn = (zone.elongation or 0.0) >= _LEAST_DRAWN
    mark = _DIRECTIONS[round((zone.angle_deg or 0.0) / 45.0) % 4] if drawn else "○"
    return f"{found.shown(zone.fwhm_px)} {mark} ({zone.stars})"


def field_json(name: str, found: FieldMap) -> dict[str, object]:
    """One frame as plain values; widths in pixels; what is not known is null."""
    width, shape = found.width, found.shape
    return {
        "file": name,
        "ok": found.ok,
        "reason": found.reason,
        "stars": found.stars,
        "scale_arcsec_px": found.scale_arcsec_px,
        "fwhm_px": _rounded(found.fwhm_px),
        "elongation": _rounded(found.elongation),
        "zones": [_zone_json(zone) for zone in found.zones],
        "one_sided_px": _part(width.one_sided if width else None),
        "all_round_px": _part(width.all_round if width else None),
        "two_sided_px": _part(width.two_sided if width else None),
        "common_elongation": _part(shape.common if shape else None),
        "radial_elongation": _part(shape.radial if shape else None),
        "words": list(found.words),
    }


def _zone_json(zone: Zone) -> dict[str, object]:
    return {
        "row": zone.row,
        "column": zone.column,
        "stars": zone.stars,
        "fwhm_px": _rounded(zone.fwhm_px),
        "elongation": _rounded(zone.elongation),
        "angle_deg": _rounded(zone.angle_deg),
    }


def _part(part: Part | None) -> dict[str, float | None] | None:
    if part is None:
        return None
    return {
        "size": round(part.size, 4),
        "sigma": round(part.sigma, 4),
        "angle_deg": _rounded(part.angle_deg),
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)
