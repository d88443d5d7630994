"""The words of the Kit page: a train with its numbers, a part with its values."""

from collections.abc import Sequence

from rich.text import Text

from logbook.kit.parts.part import Part
from logbook.kit.parts.threads import NO_MATE
from logbook.kit.parts.values import ValueLine, difference_words, value_lines
from logbook.kit.train.cautions import SUN
from logbook.kit.train.rows import CAUTIONS, rows
from logbook.kit.train.sheet import Assumed, TrainSheet, sheet
from logbook.records.entries import PartRecord, TrainRecord
from logbook.screen.services.typed_values import number_typed

FIRST_STEPS = """Nothing here yet. In this order:
1. n  write down the telescope, as its papers state it; measure it later
2. n  the camera or an eyepiece, and what goes between
3. n  the mount: then its load is reckoned too
4. c  put them together as a train, from sky to eye or sensor
5. Enter  use the train: Choose then knows what fits its field"""


def train_line(record: TrainRecord, in_use: int | None) -> Text:
    line = Text("train ")
    line.append(record.train.name, style="bold")
    if record.retired:
        line.append("  retired", style="not bold")
    elif record.id == in_use:
        line.append("  in use", style="not bold")
    return line


def part_line(record: PartRecord, columns: int) -> Text:
    """Kind and name; of what is not simply owned, its state with price and reason."""
    part = record.part
    line = Text(f"{part.kind} ")
    line.append(part.name, style="bold")
    if record.retired:
        line.append("  retired", style="not bold")
    if part.state != "owned":
        price = "" if part.price is None else f" {part.price:.2f}"
        reason = f": {part.reason}" if part.reason else ""
        line.append(f"  {part.state}{price}{reason}", style="not bold")
    line.truncate(columns, overflow="ellipsis")
    return line


def train_words(
    record: TrainRecord, assumed: Assumed, shelf: Sequence[Part], *, whole: bool
) -> Text:
    """The numbers of a train: in short, or all of them where there is room."""
    found = sheet(record.train, assumed, shelf)
    words = sheet_words(found, record)
    for caution in found.cautions:
        words.append(f"! {caution}\n", style="bold not italic")
    if whole:
        section = ""
        for row in (each for each in rows(found) if each.section != CAUTIONS):
            if row.section != section:
                section = row.section
                words.append(f"\n{section}\n", style="italic not bold")
            words.append(f"{row.label:20} {row.shown}  {row.remark}".rstrip() + "\n", "not bold")
    return words


def sheet_words(what: TrainSheet, record: TrainRecord) -> Text:
    """The numbers of a train, then its parts in order, then what is not known."""
    words = Text(f"{what.name}", style="bold")
    words.append(f"  {what.kind}, revision {record.revision}", style="not bold")
    urgent = next((each for each in what.cautions if each != SUN), "")
    words.append(f"  ! {urgent}\n" if urgent else "\n", style="bold")
    numbers = [
        ("focal length", _with(what.effective_focal_length_mm, "mm", 0), _ratio(what)),
        ("scale", _with(what.image_scale_arcsec_px, "″/px", 3), ""),
        ("field", _field(what), "mirrored" if what.mirrored else ""),
        ("magnification", _with(what.magnification, "×", 0), _pupil(what)),
        ("obstruction", _percent(what.obstruction_by_diameter), _light(what)),
        ("back focus", *_back_focus(what)),
        ("mass", _with(what.mass_kg, "kg", 2), _payload(what)),
    ]
    for label, value, more in numbers:
        if value:
            words.append(f"{label:14}{value:>16}  {more}\n", style="not bold")
    names = " → ".join(each.name for each in what.parts if not each.carried)
    words.append(f"light path: {names}\n", style="not bold")
    carried = ", ".join(each.name for each in what.parts if each.carried)
    if carried:
        words.append(f"carried: {carried}\n", style="not bold")
    for joint in what.joints:
        if joint.verdict == NO_MATE:
            words.append(f"✗ {joint.above} → {joint.below}: {joint.why}\n", style="bold not italic")
    for note in what.notes:
        words.append(f"{note}\n", style="not bold")
    if what.missing:
        words.append(f"not known: {', '.join(what.missing)}\n", style="bold not italic")
    return words


def _with(value: float | None, unit: str, decimals: int) -> str:
    return "" if value is None else f"{value:.{decimals}f} {unit}"


def _ratio(what: TrainSheet) -> str:
    return "" if what.focal_ratio is None else f"f/{what.focal_ratio:.2f}"


def _field(what: TrainSheet) -> str:
    if what.field_deg is None:
        return ""
    width, height = what.field_deg
    return f"{width:.2f}° × {height:.2f}°" if what.sensor else f"{width:.2f}°"


def _pupil(what: TrainSheet) -> str:
    return "" if what.exit_pupil_mm is None else f"exit pupil {what.exit_pupil_mm:.1f} mm"


def _percent(value: float | None) -> str:
    return "" if value is None else f"{value * 100:.0f} % diameter"


def _light(what: TrainSheet) -> str:
    loss = what.light_loss_fraction
    return "" if loss is None else f"{loss * 100:.0f} % of the light lost"


def _back_focus(what: TrainSheet) -> tuple[str, str]:
    found = what.back_focus
    if found is None or found.reached_mm is None:
        return "", ""
    wanted = "" if found.wanted_mm is None else f"wanted {found.wanted_mm:.1f} mm"
    return f"{found.reached_mm:.1f} mm", f"{wanted} from {found.counted_from}"


def _payload(what: TrainSheet) -> str:
    return "" if what.payload_kg is None else f"mount carries {what.payload_kg:.1f} kg"


def part_words(record: PartRecord) -> Text:
    """A part: its values as stated and as measured, with the difference."""
    part = record.part
    words = Text(part.name, style="bold")
    words.append(f"  {part.kind}, {part.state}, revision {record.revision}\n", style="not bold")
    for each in value_lines(part):
        words.append(f"{value_words(each)}\n", style="not bold")
    price = "" if part.price is None else f"{part.price:.2f}"
    for label, text in (
        ("why so", part.reason),
        ("price", price),
        ("note", part.note),
        ("photo", part.photo_path),
        ("link", part.link),
        ("last change", record.why),
    ):
        if text:
            words.append(f"{label}: {text}\n", style="not bold")
    return words


def value_words(line: ValueLine) -> str:
    """`mass  9.8 kg stated, 9.45 kg measured, −0.35 kg (−3.6 %): kitchen scale`."""
    pieces = []
    if line.stated is not None:
        pieces.append(f"{_value(line.stated, line.unit)} stated")
    if line.measured is not None:
        pieces.append(f"{_value(line.measured, line.unit)} measured")
    difference = difference_words(line)
    if difference:
        pieces.append(difference)
    how = f": {line.how}" if line.how else ""
    on_day = f", {line.measured_on}" if line.measured_on else ""
    return f"{line.label:20}{', '.join(pieces)}{how}{on_day}"


def _value(value: float | str, unit: str) -> str:
    return value if isinstance(value, str) else number_typed(value, unit)
