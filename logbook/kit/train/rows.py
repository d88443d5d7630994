"""A train's sheet as rows of words, for the screen, the terminal and for setting two side by side.

What is not known has no row here; the sheet's `missing` names it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import zip_longest

from logbook.kit.parts.threads import MATES
from logbook.kit.train.balance import Balance
from logbook.kit.train.lengths import Rung
from logbook.kit.train.sheet import TrainSheet

LIGHT, PICTURE, EYE = "light", "picture", "eyepieces"
SHARPNESS, FOCUS, JOINTS = "sharpness", "reaching focus", "joints"
CARRYING, COLD, CAUTIONS = "carrying", "cold and dew", "cautions"
SECTIONS = (LIGHT, PICTURE, EYE, SHARPNESS, FOCUS, JOINTS, CARRYING, COLD, CAUTIONS)


@dataclass(frozen=True, slots=True)
class SheetRow:
    """`shown` is a value with its unit; `remark` adds more about it in words."""

    section: str
    label: str
    shown: str
    remark: str = ""


@dataclass(frozen=True, slots=True)
class PairRow:
    """One row of two sheets; empty where one of them does not know it."""

    section: str
    label: str
    one: str
    other: str
    differs: bool


def rows(sheet: TrainSheet) -> tuple[SheetRow, ...]:
    """Every number of a sheet, in the order of SECTIONS."""
    found = (
        *_light(sheet),
        *_picture(sheet),
        *_eyepieces(sheet),
        *_sharpness(sheet),
        *_focus(sheet),
        *_joints(sheet),
        *_carrying(sheet),
        *_cold(sheet),
        *(SheetRow(CAUTIONS, "caution", "", words) for words in sheet.cautions),
    )
    return tuple(row for row in found if row.shown or row.remark)


def side_by_side(one: TrainSheet, other: TrainSheet) -> tuple[PairRow, ...]:
    """The rows of two sheets beside each other: two trains, or one before and after a change.

    Rows of one label are paired in their order; a row without a value shows its remark.
    """
    first, second = _by_label(one), _by_label(other)
    pairs = []
    for section, label in _merged(tuple(first), tuple(second)):
        here, there = first.get((section, label), []), second.get((section, label), [])
        for left, right in zip_longest(here, there, fillvalue=""):
            pairs.append(PairRow(section, label, left, right, left != right))
    return tuple(pairs)


_Key = tuple[str, str]


def _merged(first: tuple[_Key, ...], second: tuple[_Key, ...]) -> list[_Key]:
    """All of both, by section; what only the second has stands behind its neighbour there."""
    order = list(first)
    for place, key in enumerate(second):
        if key not in order:
            order.insert(order.index(second[place - 1]) + 1 if place else 0, key)
    return sorted(order, key=lambda key: SECTIONS.index(key[0]))


def _by_label(sheet: TrainSheet) -> dict[_Key, list[str]]:
    found: dict[_Key, list[str]] = {}
    for row in rows(sheet):
        found.setdefault((row.section, row.label), []).append(row.shown or row.remark)
    return found


def number(value: float | None, unit: str, decimals: int) -> str:
    """`1624 mm`; empty for what is not known."""
    if value is None:
        return ""
    shown = f"{round(value, decimals) + 0.0:.{decimals}f}".replace("-", "−")
    return f"{shown}{'' if unit.startswith(('°', '×', '″')) else ' '}{unit}".rstrip()


def _light(sheet: TrainSheet) -> Iterator[SheetRow]:
    yield SheetRow(LIGHT, "aperture", number(sheet.aperture_mm, "mm", 0))
    native = ""
    if sheet.factor != 1.0 and sheet.native_focal_length_mm is not None:
        native = f"{sheet.native_focal_length_mm:.0f} mm × {sheet.factor:.3f}"
    yield SheetRow(LIGHT, "focal length", number(sheet.effective_focal_length_mm, "mm", 0), native)
    ratio = sheet.focal_ratio
    yield SheetRow(LIGHT, "focal ratio", "" if ratio is None else f"f/{ratio:.2f}")
    by_diameter, loss = sheet.obstruction_by_diameter, sheet.light_loss_fraction
    if by_diameter is not None and loss is not None:
        area = f"{loss * 100:.1f} % of the area and the light, {sheet.light_loss_mag:.2f} mag"
        yield SheetRow(LIGHT, "obstruction", f"{by_diameter * 100:.1f} %", f"by diameter; {area}")


def _picture(sheet: TrainSheet) -> Iterator[SheetRow]:
    if sheet.field_deg is not None:
        width, height = sheet.field_deg
        shown = f"{width:.3f}° × {height:.3f}°" if sheet.sensor else f"{width:.3f}°"
        yield SheetRow(PICTURE, "field", shown, "mirrored" if sheet.mirrored else "")
    if sheet.sensor is not None:
        chip = sheet.sensor
        size = f"{chip.width_mm:.1f} × {chip.height_mm:.1f} mm, diagonal {chip.diagonal_mm:.1f} mm"
        yield SheetRow(PICTURE, "sensor", f"{chip.width_px} × {chip.height_px} px", size)
    yield SheetRow(PICTURE, "image scale", number(sheet.image_scale_arcsec_px, "″/px", 3))
    found = sheet.sampling
    if found is not None:
        fits = f"{found.finest_arcsec_px:.2f} to {found.coarsest_arcsec_px:.2f}″/px"
        words = f"{found.words} (at {found.seeing_arcsec:g}″ seeing {fits} fit)"
        yield SheetRow(PICTURE, "sampling", found.verdict, words)
        for each in found.binned[1:]:
            words = f"{each.scale_arcsec_px:.2f}″/px, {each.words}"
            yield SheetRow(PICTURE, f"binned {each.binning}×{each.binning}", each.verdict, words)
    lit = sheet.illumination
    if lit is not None:
        words = f"circle of {lit.fully_lit_mm:.1f} mm fully lit; {lit.words}"
        yield SheetRow(PICTURE, "corner light", f"{lit.corner_fraction * 100:.0f} %", words)


def _eyepieces(sheet: TrainSheet) -> Iterator[SheetRow]:
    for each in sheet.eyepieces:
        words = f"exit pupil {each.exit_pupil_mm:.1f} mm"
        if each.true_field_deg is not None:
            about = "" if each.from_stop else "about "
            words += f", field {about}{each.true_field_deg:.2f}°"
        if each.warning:
            words += f"; {each.warning}"
        yield SheetRow(EYE, each.name, f"{each.magnification:.0f}×", words)


def _sharpness(sheet: TrainSheet) -> Iterator[SheetRow]:
    for limit in sheet.limits:
        yield SheetRow(SHARPNESS, limit.name, f"{limit.arcsec:.2f}″", limit.source)
    if sheet.contrast is not None:
        for share, words in ((0.25, "a quarter"), (0.5, "half")):
            here, clear = sheet.contrast.at(share)
            fine = 1.0 / (sheet.contrast.cutoff_per_arcsec * share)
            said = f"{clear * 100:.0f} % unobstructed, for lines {fine:.2f}″ apart"
            yield SheetRow(SHARPNESS, f"contrast at {words}", f"{here * 100:.0f} %", said)
    for zone in sheet.focus_zones:
        words = zone.source
        if zone.steps is not None:
            words = f"{zone.steps:.0f} finest steps; {words}"
        yield SheetRow(SHARPNESS, f"zone, {zone.name}", f"{zone.length_um:.0f} µm", words)
    drift = sheet.focus_drift
    if drift is not None:
        shown = f"{drift.um_per_k:+.1f} µm/K".replace("-", "−")
        yield SheetRow(SHARPNESS, "focus drift", shown, drift.words)


def _focus(sheet: TrainSheet) -> Iterator[SheetRow]:
    focus = sheet.back_focus
    if focus is not None:
        wanted = number(focus.wanted_mm, "mm", 1)
        yield SheetRow(
            FOCUS, "wanted" if wanted else "counted", wanted, f"from {focus.counted_from}"
        )
        for rung in focus.rungs:
            yield _rung(rung)
        shoulder = "" if sheet.kind == "camera" else "to the eyepiece's shoulder"
        words = ", ".join(filter(None, (focus.words, shoulder)))
        yield SheetRow(FOCUS, "reached", number(focus.reached_mm, "mm", 1), words)
    reach = sheet.focus_reach
    if reach is not None:
        yield SheetRow(FOCUS, "focuser", number(reach.draw_mm, "mm", 1), reach.words)


def _rung(rung: Rung) -> SheetRow:
    own = "not known" if rung.length_mm is None else number(rung.length_mm, "mm", 1)
    so_far = "" if rung.total_mm is None else f"{rung.total_mm:.1f} mm so far"
    glass = f"glass takes off {rung.glass_mm:.2f} mm" if rung.glass_mm else ""
    return SheetRow(FOCUS, f"+ {rung.name}", own, "; ".join(filter(None, (so_far, glass))))


def _joints(sheet: TrainSheet) -> Iterator[SheetRow]:
    for joint in sheet.joints:
        words = [joint.why, *(fix.words for fix in joint.fixes)]
        if joint.wanted and not joint.fixes:
            words.append(f"nothing on the shelf fits: {joint.wanted}")
        said = joint.above_end.split(" ")[0] if joint.verdict == MATES else "; ".join(words)
        yield SheetRow(JOINTS, f"{joint.above} → {joint.below}", joint.verdict, said)


def _carrying(sheet: TrainSheet) -> Iterator[SheetRow]:
    load = sheet.payload
    yield SheetRow(CARRYING, "mass", number(sheet.mass_kg, "kg", 2), load.words if load else "")
    if sheet.balance is not None:
        yield from _balance(sheet.balance)


def _balance(found: Balance) -> Iterator[SheetRow]:
    yield SheetRow(CARRYING, "balance", number(found.centre_mm, "mm", 0), found.grip_words)
    for words in found.helps:
        yield SheetRow(CARRYING, "or", "", words.removeprefix("or "))
    if found.unknown:
        yield SheetRow(CARRYING, "left out", "", ", ".join(found.unknown))


def _cold(sheet: TrainSheet) -> Iterator[SheetRow]:
    cooling = sheet.cooling
    if cooling is not None:
        fast, slow = cooling.minutes
        shown = f"{slow:.0f} min" if cooling.learned else f"{fast:.0f} to {slow:.0f} min"
        basis = "learned" if cooling.learned else "an expectation for still air"
        of = f"from {cooling.from_k:g} K warm to {cooling.to_k:g} K"
        words = f"{of}; {cooling.part}, {cooling.material}: {basis}"
        yield SheetRow(COLD, "cooling down", shown, words)
    dew = sheet.dew
    if dew is not None:
        words = "; ".join(filter(None, (dew.words, dew.notch_words)))
        yield SheetRow(COLD, "dew shield", number(dew.length_mm, "mm", 0) or "none", words)
