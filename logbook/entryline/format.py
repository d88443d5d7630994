"""An entry in one line of words, for lists and reports."""

import re

from logbook.entryline.readings import leftover_words
from logbook.entryline.times import without_time
from logbook.entryline.tokens import plain
from logbook.records.entries import (
    Adjustment,
    Frames,
    NewEntry,
    StarCheck,
    StarLook,
    Turn,
    UpkeepDone,
)

_NAMES = {
    "air_temperature_c": "air {} °C",
    "mirror_temperature_c": "mirror {} °C",
    "tube_temperature_c": "tube {} °C",
    "sensor_temperature_c": "sensor {} °C",
    "humidity_percent": "humidity {} %",
    "dew_point_c": "dew point {} °C",
    "pressure_hpa": "pressure {} hPa",
    "wind_m_s": "wind {} m/s",
    "cloud_percent": "cloud {} %",
    "sky_mag_arcsec2": "sky {} mag/arcsec²",
    "limiting_magnitude": "faintest star {} mag",
    "seeing_pickering": "seeing Pickering {} of 10",
    "seeing_antoniadi": "seeing Antoniadi {}",
    "seeing_of_five": "seeing {} of 5",
    "transparency_of_five": "transparency {} of 5",
    "fwhm_arcsec": "star width {}″",
    "focus_position": "focus position {}",
    "guiding_rms_arcsec": "guiding {}″ rms",
    "drift_arcsec_min": "drift {}″/min",
}
_ROMAN = {1: "I", 2: "II", 3: "III", 4: "IV", 5: "V"}
_ONE_DECIMAL = ("_c", "_m_s", "_percent", "_hpa")
# What the first word of such a line says, put so that a list reads well.
_SAID = {"note": "", "trouble": "trouble: ", "transport": "transport: ", "setup": "setting up: "}
_TIME_SAID = re.compile(r"[0-9]\s*(?:min|h)|\bhour", re.IGNORECASE)
_COST_SAID = re.compile(r"\b(?:cost|paid|price|spent)", re.IGNORECASE)
_MEASURED = ("conditions", "reading", "focus", "guiding")


def spell(entry: NewEntry) -> str:
    """What an entry says, in one line of words with units; its time is not in it."""
    kind = entry.kind
    if kind in _MEASURED:
        return _with_remark(_measured(entry), entry)
    if kind == "frames" and entry.frames is not None:
        return _with_remark(spell_frames(entry.frames), entry)
    if kind == "turn" and entry.turn is not None:
        return _with_remark(spell_turn(entry.turn), entry)
    if kind == "star" and entry.look is not None:
        return _with_remark(spell_look(entry.look), entry)
    if kind == "check" and entry.check is not None:
        return _with_remark(spell_check(entry.check), entry)
    if kind == "adjust" and entry.adjustment is not None:
        return _with_remark(spell_adjustment(entry.adjustment), entry)
    if kind == "object":
        return _with_remark(_object(entry), entry)
    if kind == "kit" and entry.train_name:
        return _with_remark(f"now with {entry.train_name}", entry)
    if kind == "meridian":
        who = f"{entry.target.name} " if entry.target else ""
        return _with_remark(f"{who}crossed the meridian", entry)
    if kind == "upkeep" and entry.upkeep is not None:
        return spell_upkeep(entry.upkeep)
    if kind == "withdrawn":
        return "taken out"
    return _in_own_words(entry)


def spell_reading(quantity: str, value: float) -> str:
    """`air 4.2 °C` for ("air_temperature_c", 4.2)."""
    if quantity == "seeing_antoniadi" and value in _ROMAN:
        return f"seeing Antoniadi {_ROMAN[int(value)]}"
    form = _NAMES.get(quantity, f"{quantity.replace('_', ' ')} {{}}")
    if quantity.endswith(_ONE_DECIMAL):
        return form.format(_number(round(value, 1)))
    return form.format(_number(value))


def spell_frames(frames: Frames) -> str:
    """`20 × 180 s Ha, gain 100, bin 2 (1 h 00 min)`."""
    wanted = f" of {frames.wanted_count}" if frames.wanted_count is not None else ""
    exposure = duration_words(frames.exposure_s) if frames.exposure_s else ""
    pieces = [f"{frames.count}{wanted}" + (f" × {exposure}" if exposure else "")]
    if frames.filter_name:
        pieces[0] += f" {frames.filter_name}"
    if frames.frame_type != "light":
        pieces[0] += f" {frames.frame_type} frames"
    if frames.gain is not None:
        pieces.append(f"gain {_number(frames.gain)}")
    if frames.binning is not None:
        pieces.append(f"bin {frames.binning}")
    if frames.region:
        pieces.append(f"region {frames.region}")
    if frames.frames_per_second is not None:
        pieces.append(f"{_number(frames.frames_per_second)} a second")
    total_s = frames.count * frames.exposure_s
    together = f" ({total_words(total_s)})" if total_s >= 60 and frames.count > 1 else ""
    return f"{', '.join(pieces)}{together}"


def duration_words(seconds: float) -> str:
    """`180 s`, `8 ms`."""
    if seconds < 0.1:
        return f"{_number(round(seconds * 1000.0, 3))} ms"
    return f"{_number(seconds)} s"


def total_words(seconds: float) -> str:
    """`1 h 05 min`, `12 min`, `45 s`: every length of time that is summed up, wherever it is."""
    if 0.0 < seconds < 59.5:
        return f"{seconds:.0f} s" if seconds >= 9.5 else f"{seconds:.2g} s"
    minutes = int(seconds / 60.0 + 0.5 + 1e-9)  # half a minute is rounded up, whatever the sum
    hours, minutes = divmod(minutes, 60)
    return f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"


def counted(number: int, one: str, many: str = "") -> str:
    """`1 turn`, `2 turns`, `3 entries`."""
    return f"{number} {one}" if number == 1 else f"{number} {many or one + 's'}"


def spell_turn(turn: Turn) -> str:
    """`A tightened 1/8 turn, better`."""
    way = "tightened" if turn.turns > 0 else "loosened"
    pieces = [f"{turn.screw} {way} {turn_words(abs(turn.turns))}"]
    if turn.puts_back_entry_id is not None:
        pieces.append("put back")
    if turn.offset_before is not None and turn.offset_after is not None:
        pieces.append(f"offset {turn.offset_before:g} to {turn.offset_after:g}")
    if turn.result is not None:
        pieces.append(turn.result)
    return ", ".join(pieces)


_TURN_PARTS = (1, 2, 3, 4, 8, 16, 32, 64, 6, 10, 12, 20)


def turn_words(turns: float) -> str:
    """`1/8 turn`, `4.5 min (27°)`, `20°`: handy parts, half minutes of a dial, else degrees."""
    for below in _TURN_PARTS:
        above = round(turns * below)
        if above and abs(turns * below - above) < 1e-3:
            return f"{above} turn" if below == 1 else f"{above}/{below} turn"
    degrees, half_minutes = _number(round(turns * 360.0, 1)), round(turns * 120.0)
    if half_minutes and abs(turns * 120.0 - half_minutes) < 1e-3:
        return f"{_number(half_minutes / 2.0)} min ({degrees}°)"
    return f"{degrees}° (1/{round(1 / turns)} turn)" if turns else "0°"


def spell_look(look: StarLook) -> str:
    """`shadow 0.25 of the radius toward 4 o'clock`."""
    sigma = f" ± {look.offset_sigma:g}" if look.offset_sigma is not None else ""
    if look.offset_fraction == 0:
        said = f"shadow centred{sigma}"
    else:
        said = f"shadow {look.offset_fraction:.3g}{sigma} of the radius"
        said += _direction(look)
    if look.side_of_focus:
        said += f", {look.side_of_focus} focus"
    if look.star:
        said += f", on {look.star}"
    if look.detail is not None:
        said += _where_in_the_sky(
            look.detail.star_role, look.detail.altitude_deg, look.detail.pier_side
        )
    return said


def spell_upkeep(done: UpkeepDone) -> str:
    """`upkeep, Focuser: greased, 25 min, cost 4.50; before: dry; after: smooth; photo: f.jpg`."""
    part = f", {done.part_name}" if done.part_name else ""
    pieces = [f"upkeep{part}: {done.action}"]
    # A number that the words of what was done hold already is not written twice.
    if done.minutes is not None and not _TIME_SAID.search(done.action):
        pieces.append(f", {total_words(done.minutes * 60.0)}")
    if done.cost is not None and not _COST_SAID.search(done.action):
        pieces.append(f", cost {done.cost:.2f}")
    for name, said in (("before", done.before), ("after", done.after), ("photo", done.photo_path)):
        if said:
            pieces.append(f"; {name}: {said}")
    return "".join(pieces)


def _where_in_the_sky(role: str | None, altitude_deg: float | None, pier_side: str | None) -> str:
    said = ", second star" if role == "second" else ""
    if altitude_deg is not None:
        said += f", {_number(altitude_deg)}° up"
    return f"{said}, pier {pier_side}" if pier_side else said


def spell_check(check: StarCheck) -> str:
    """`star uneven toward 4 o'clock in focus, on Vega, second star`."""
    toward = ""
    if check.position_angle_deg is not None:
        toward = f" toward {clock_words(check.position_angle_deg)}"
    place = check.place if check.place.startswith("in ") else f"at the {check.place}"
    said = f"star {check.verdict}{toward} {place}"
    if check.star:
        said += f", on {check.star}"
    return said + _where_in_the_sky(check.star_role, check.altitude_deg, check.pier_side)


def spell_adjustment(adjustment: Adjustment) -> str:
    """`tilt plate, 4 o'clock: tightened 1/8 turn, better`."""
    said = adjustment.what + (f", {adjustment.place}" if adjustment.place else "")
    said += f": {_set_by(adjustment)}"
    return f"{said}, {adjustment.result}" if adjustment.result else said


def _set_by(adjustment: Adjustment) -> str:
    if adjustment.amount is None:
        return "set"
    size, inward = abs(adjustment.amount), adjustment.amount > 0
    if adjustment.unit == "turn":
        return f"{'tightened' if inward else 'loosened'} {turn_words(size)}"
    if adjustment.unit == "deg":
        how = "tilted" if adjustment.what in ("tilt plate", "focuser") else "turned"
        return f"{how} {_number(size)}°{'' if inward else ' anticlockwise'}"
    return f"{'in' if inward else 'out'} {_number(size)} mm"


def _direction(look: StarLook) -> str:
    angle_deg = look.position_angle_deg
    if angle_deg is None:
        return ""
    if look.way != "eye":
        return f" at {angle_deg:.0f}°"
    return f" toward {clock_words(angle_deg)}"


def clock_words(position_angle_deg: float) -> str:
    """`4 o'clock`, `4:30 o'clock`: the hour of an angle that runs clockwise from 3 o'clock."""
    minutes = round((position_angle_deg / 30.0 + 3.0) * 60.0) % 720
    hour, minute = divmod(minutes, 60)
    shown = f"{hour or 12}:{minute:02d}" if minute else f"{hour or 12}"
    return f"{shown} o'clock"


def _object(entry: NewEntry) -> str:
    name = entry.target.name if entry.target else "object"
    return f"{name} ended" if entry.action == "stop" else f"{name} started"


def _measured(entry: NewEntry) -> str:
    read = ", ".join(spell_reading(name, value) for name, value in entry.readings)
    if not read:
        return "focused" if entry.text.casefold() in ("focus", "") else _in_own_words(entry, ";")
    more = leftover_words(without_time(plain(entry.text)).partition(";")[0])
    return f"{read} ({more})" if more else read


def _in_own_words(entry: NewEntry, up_to: str = "") -> str:
    """What was typed, without the time and without a first word that the kind says already."""
    words = without_time(entry.text)
    if up_to:
        words = words.partition(up_to)[0].strip()
    first, _, rest = words.partition(" ")
    rest = rest.lstrip(";: ")
    if entry.kind == "break":
        how = "back from a break" if entry.action == "stop" else "a break"
        return f"{how}: {rest}" if rest else how
    if rest and first.casefold().rstrip(":") == entry.kind and entry.kind in _SAID:
        return f"{_SAID[entry.kind]}{rest}"
    return words or entry.kind


def _with_remark(said: str, entry: NewEntry) -> str:
    remark = entry.text.partition(";")[2].strip()
    return f"{said}; {remark}" if remark else said


def _number(value: float) -> str:
    return f"{value:.10g}"
