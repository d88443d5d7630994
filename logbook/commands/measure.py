"""Measured pictures as text or JSON."""

import json
from collections.abc import Iterable, Sequence
from pathlib import Path

from rich.text import Text

from logbook.commands.field import print_fields
from logbook.errors import BadInput, NotWritten
from logbook.report.terminal import print_lines
from logbook.startest.picture.averaging import average
from logbook.startest.picture.measure import measure_file
from logbook.startest.picture.overlay import write_overlay_file
from logbook.startest.result import Circle, StarMeasure
from logbook.text import clean


def print_pictures(
    paths: Sequence[Path],
    *,
    as_json: bool,
    overlay_folder: Path | None,
    field: bool,
    scale_arcsec_px: float | None,
) -> None:
    """Measure pictures of a star, or star widths over a field. Raises BadInput and NotWritten."""
    if field:
        print_fields(paths, scale_arcsec_px=scale_arcsec_px, as_json=as_json)
        return
    if scale_arcsec_px is not None:
        raise BadInput("--scale belongs to --field")
    print_measures(paths, as_json=as_json, overlay_folder=overlay_folder)


def print_measures(
    paths: Sequence[Path], *, as_json: bool, overlay_folder: Path | None = None
) -> None:
    """Measure every picture and print one item for each, refused ones too.

    A picture that is not there is an item as well. Raises NotWritten when drawings cannot be saved.
    """
    found = []
    for path in paths:
        measure = measure_file(path)
        found.append(measure)
        if not as_json:
            print_lines(measure_lines(measure))
        if overlay_folder is not None:
            _draw(path, measure, overlay_folder)
    if as_json:
        print(json.dumps([measure_json(each) for each in found], indent=2, ensure_ascii=False))
    elif len(found) > 1:
        print_lines(together_lines(found))


def _draw(path: Path, measure: StarMeasure, folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_overlay_file(path, measure, folder)
    except OSError as error:
        words = clean(error.strerror or "unknown reason", longest=100)
        raise NotWritten(
            f"no drawing could be written into the folder {clean(str(folder))}: {words}"
        ) from None


def measure_json(measure: StarMeasure) -> dict[str, object]:
    """One picture as plain values; what was not measured is null."""
    return {
        "file": measure.file,
        "ok": measure.ok,
        "reason": measure.reason,
        "disc": _circle(measure.disc),
        "shadow": _circle(measure.shadow),
        "offset_fraction": _rounded(measure.offset_fraction, 5),
        "offset_sigma": _rounded(measure.offset_sigma, 5),
        "position_angle_deg": _rounded(measure.position_angle_deg, 2),
        "quality": round(measure.quality, 3),
    }


def _circle(circle: Circle | None) -> dict[str, float] | None:
    if circle is None:
        return None
    return {
        "x_px": round(circle.x_px, 3),
        "y_px": round(circle.y_px, 3),
        "radius_px": round(circle.radius_px, 3),
    }


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


def measure_lines(measure: StarMeasure) -> list[Text]:
    """One picture for reading."""
    lines = [Text(measure.file, style="bold")]
    if measure.disc is None or measure.shadow is None:
        lines.append(Text(f"  refused: {measure.reason}"))
    else:
        lines += [Text(f"  {label:9} {value}") for label, value in _rows(measure)]
    return [*lines, *(Text(f"  note      {note}") for note in measure.notes)]


def _rows(measure: StarMeasure) -> Iterable[tuple[str, str]]:
    assert measure.disc is not None
    assert measure.shadow is not None
    yield (
        "offset",
        f"{measure.offset_fraction or 0.0:.3f} of the disc's radius toward"
        f" {measure.position_angle_deg or 0.0:.0f}° (0° right, 90° toward the last row),"
        f" ± {measure.offset_sigma or 0.0:.3f} each way",
    )
    yield "disc", _place(measure.disc)
    yield "shadow", _place(measure.shadow)
    yield "quality", f"{measure.quality:.2f}, {measure.quality_words}"


def _place(circle: Circle) -> str:
    return f"radius {circle.radius_px:.1f} px at column {circle.x_px:.1f}, row {circle.y_px:.1f}"


def together_lines(measures: Sequence[StarMeasure]) -> list[Text]:
    """What several pictures of one setting say together."""
    measured = sum(each.ok for each in measures)
    head = Text(f"{measured} of {len(measures)} measured", style="bold")
    if measured < 2:
        return [head]
    try:
        mean = average(measures)
    except BadInput as error:
        return [head, Text(f"  no mean: {error}")]
    words = (
        f"  if of one setting: {mean.offset_fraction:.3f} toward"
        f" {mean.position_angle_deg:.0f}°, ± {mean.offset_sigma:.3f} each way"
    )
    return [head, Text(words), *(Text(f"  note      {note}") for note in mean.notes)]
