"""Frames taken: `20 x 180s Ha gain 100 bin 2`, `darks 10 x 180s`, `60 fps for 90 s at 8 ms`."""

import re
from dataclasses import dataclass, replace

from logbook.entryline.context import (
    Explained,
    Line,
    NotThis,
    Parsed,
    Surroundings,
    Unclear,
    today_of,
)
from logbook.entryline.tokens import (
    NUMBER,
    Scan,
    fraction,
    in_range,
    nearest,
    number,
    refuse_two_ways,
)
from logbook.records.entries import READING_RANGES, Frames
from logbook.text import fold

_FLAGS = re.IGNORECASE
TYPES = {
    "frames": "light", "frame": "light", "lights": "light", "light": "light",
    "subs": "light", "exposures": "light",
    "darks": "dark", "dark": "dark",
    "flats": "flat", "flat": "flat",
    "bias": "bias", "biases": "bias",
}  # fmt: skip
FIRST_WORDS = ("frames", "lights", "subs", "darks", "flats", "bias", "dark", "flat", "light")
REPEATS = ("again", "more", "another", "repeat", "once more")
# They say how frames were taken, and mean nothing without them.
SETTINGS = ("gain", "iso", "bin", "binning")
KEYWORDS = ("gain", "bin", "region", "filter", "fps", "for", "darks", "flats", "bias")

_UNITS = {
    "s": 1.0, "sec": 1.0, "secs": 1.0, "second": 1.0, "seconds": 1.0, '"': 1.0,
    "ms": 0.001,
    "m": 60.0, "min": 60.0, "mins": 60.0, "minute": 60.0, "minutes": 60.0, "'": 60.0,
    "h": 3600.0, "hour": 3600.0,
}  # fmt: skip
_UNIT = r"(?:ms|secs?|seconds?|s|mins?|minutes?|m|hours?|h)(?![a-z])|[\"']"
_AMOUNT = rf"(?:1\s*/\s*[0-9]+(?:\.[0-9]+)?|{NUMBER})"
_PAIR = re.compile(
    rf"\s*({_AMOUNT})\s*({_UNIT})?\s*(?:[x*@]|times|(?:of|at)(?=\s*{_AMOUNT}\s*(?:{_UNIT})))"
    rf"\s*({_AMOUNT})\s*({_UNIT})?",
    _FLAGS,
)
_DONE_OF = re.compile(
    r"\s*([0-9]+)\s*(?:/|of|out of)\s*([0-9]+)(?=\s*(?:[x*]|frames|subs|lights|darks|flats|at\b))",
    _FLAGS,
)
_TIMES = re.compile(r"\s*(?:[x*@]|times|at|of)(?=[\s0-9.])", _FLAGS)
_RATE = re.compile(
    rf"\s*({NUMBER})\s*(?:fps|frames?\s*(?:/|per|a)\s*s(?:ec(?:ond)?)?)(?![a-z])", _FLAGS
)
_LASTING = re.compile(rf"\s*(?:for|over|in)\s+({_AMOUNT})\s*({_UNIT})", _FLAGS)
_GAIN = re.compile(rf"\s*(?:(?:gain|iso)\s*[:=]?\s*|g(?=[0-9]))({NUMBER})(?![0-9])", _FLAGS)
_SENSOR = re.compile(
    rf"\s*(?:(?:at|@|sensor|chip|cooled\s+to)\s*(-{NUMBER.removeprefix('[+-]?')})(?:\s*°?\s*c)?"
    rf"|(?:at\s|@)?\s*({NUMBER})\s*°?\s*c)(?![a-z0-9.])",
    _FLAGS,
)
_BINNING = re.compile(r"\s*bin(?:ning|ned)?\s*[:=]?\s*([0-9]{1,3})(?:\s*x\s*([0-9]{1,3}))?", _FLAGS)
_REGION = re.compile(r"\s*(?:region|roi)\s*[:=]?\s*([0-9]{1,6})\s*[x*]\s*([0-9]{1,6})", _FLAGS)
_FILTER = re.compile(r"\s*filter\s*[:=]?\s*(\S{1,40})", _FLAGS)
_EXPOSURE = re.compile(rf"\s*(?:at\s+)?({_AMOUNT})\s*({_UNIT})", _FLAGS)
_COUNT = re.compile(r"\s*([0-9]+)(?![0-9.])", _FLAGS)
_NAME = re.compile(r"\s*([^\W_][\w-]*)")
_SKIPPED = re.compile(
    r"[\s,.:+&]+|(?:of|each|at|and|with|the|more|taken|done|again|exposures?)\b", _FLAGS
)

# Filters of the trade, so that a first night needs no list of one's own.
_COMMON = ("L", "R", "G", "B", "Ha", "Hb", "OIII", "SII")
_OTHER_NAMES = {
    "lum": "L", "luminance": "L", "clear": "L", "red": "R", "green": "G", "blue": "B",
    "h-alpha": "Ha", "halpha": "Ha", "h-a": "Ha", "h-beta": "Hb", "hbeta": "Hb",
    "o3": "OIII", "o-iii": "OIII", "oxygen": "OIII", "s2": "SII", "s-ii": "SII", "sulphur": "SII",
}  # fmt: skip
_LONGEST_S = 24 * 3600.0


@dataclass(slots=True)
class _Found:
    """What was gathered so far; what stays None was not typed."""

    frame_type: str | None = None
    count: float | None = None
    wanted: float | None = None
    exposure_s: float | None = None
    filter_name: str | None = None
    gain: float | None = None
    binning: float | None = None
    region: str | None = None
    rate: float | None = None
    lasting_s: float | None = None
    sensor_c: float | None = None


def looks_like_frames(rest: str) -> bool:
    """A line that begins with a number and means frames."""
    return bool(
        _PAIR.match(rest) or _RATE.match(rest) or _DONE_OF.match(rest) or _COUNTED.match(rest)
    )


_COUNTED = re.compile(
    r"[0-9]+\s*(?:more\b|(?:frames|subs|lights|darks|flats|bias)\b(?!\s*(?:/|per|a)\s*s))", _FLAGS
)


_PLAIN_TALK = ("frames", "lights", "subs", "darks", "flats", "bias", "dark", "flat", "light")
_SENSOR_NAME = "sensor_temperature_c"


def frames(line: Line) -> Parsed:
    """Read a line of frames. Raises Unclear, and NotThis for plain talk."""
    if line.word in _PLAIN_TALK and line.rest and not re.search(r"[0-9]", line.rest):
        raise NotThis  # light clouds, flat battery
    refuse_two_ways(line.rest)
    remarks: list[str] = []
    found = _Found(frame_type=TYPES.get(line.word))
    scan = Scan(line.rest)
    while not scan.ended:
        if not _take(scan, found, line, remarks):
            raise Unclear(f"{scan.stretch()} is not known here. A remark goes after a semicolon.")
    taken = _complete(found, line.around.last_frames, remarks)
    entry = replace(line.entry("frames"), frames=taken)
    if found.sensor_c is not None:
        sensor_c = in_range(found.sensor_c, "sensor", *READING_RANGES[_SENSOR_NAME], " °C")
        remarks.append(Explained(f"sensor {sensor_c:g} °C"))
        entry = replace(entry, readings=((_SENSOR_NAME, sensor_c),))
    if taken.frame_type == "light":
        entry = replace(entry, target=line.around.running)
    return Parsed(entry, tuple(remarks))


def again(line: Line) -> Parsed:
    """The last frames once more: `again`, `more`, `again 10`.

    Raises Unclear where there were none, and NotThis for anything else, which is plain talk.
    """
    last = line.around.last_frames
    count = re.fullmatch(r"\s*(?:([0-9]{1,7})(?:\s*frames)?)?\s*[.!]?", line.rest, _FLAGS)
    if count is None:
        raise NotThis
    if last is None:
        raise Unclear("There are no frames yet to repeat: 20 x 180s Ha.")
    taken = last if count[1] is None else replace(last, count=_whole(number(count[1]), "frames"))
    target = line.around.running if taken.frame_type == "light" else None
    return Parsed(replace(line.entry("frames"), frames=taken, target=target))


def _take(scan: Scan, found: _Found, line: Line, remarks: list[str]) -> bool:
    """Take the next piece of a line of frames; False if it is none."""
    if (
        _take_sensor(scan, found)
        or scan.take(_SKIPPED)
        or (found.count is not None and scan.take(_TIMES))
    ):
        return True
    takers = (_take_rate, _take_lasting, _take_setting, _take_done_of, _take_pair)
    for take in takers:
        if take(scan, found):
            return True
    if _take_number(scan, found):
        return True
    return _take_name(scan, found, line.around, remarks)


def setting_alone(line: Line) -> Parsed:
    """`gain 120` by itself must not be taken for frames: raises Unclear, or NotThis for words."""
    if not re.search(r"[0-9]", line.rest):
        raise NotThis
    said = f"{line.word} {line.rest[:12]}"
    raise Unclear(f"{line.word} goes with the frames: 20 x 180s Ha {said}. Or note {said}.")


def _take_sensor(scan: Scan, found: _Found) -> bool:
    sensor = scan.take(_SENSOR)
    if sensor:
        found.sensor_c = _once(found.sensor_c, number(sensor[1] or sensor[2]), "the sensor")
    return bool(sensor)


def _take_rate(scan: Scan, found: _Found) -> bool:
    rate = scan.take(_RATE)
    if rate:
        found.rate = _once(found.rate, number(rate[1]), "the rate")
    return bool(rate)


def _take_lasting(scan: Scan, found: _Found) -> bool:
    lasting = scan.take(_LASTING)
    if lasting:
        found.lasting_s = _once(found.lasting_s, _seconds(lasting[1], lasting[2]), "how long")
    return bool(lasting)


def _take_setting(scan: Scan, found: _Found) -> bool:
    gain = scan.take(_GAIN)
    if gain:
        found.gain = _once(found.gain, number(gain[1]), "the gain")
        return True
    binning = scan.take(_BINNING)
    if binning:
        if binning[2] not in (None, binning[1]):
            raise Unclear("Binning is the same both ways here: bin 2.")
        found.binning = _once(found.binning, number(binning[1]), "the binning")
        return True
    region = scan.take(_REGION)
    if region:
        found.region = f"{region[1]}x{region[2]}"
        return True
    named = scan.take(_FILTER)
    if named:
        found.filter_name = _once_word(found.filter_name, named[1].strip(",."))
    return bool(named)


def _take_done_of(scan: Scan, found: _Found) -> bool:
    done = scan.take(_DONE_OF)
    if done:
        found.count = _once(found.count, number(done[1]), "the count")
        found.wanted = number(done[2])
    return bool(done)


def _take_pair(scan: Scan, found: _Found) -> bool:
    """`20 x 180s`, `180s x 20`, `20 x 180`."""
    pair = scan.take(_PAIR)
    if not pair:
        return False
    first, first_unit, second, second_unit = pair.groups()
    if first_unit and second_unit:
        raise Unclear("Which one is the number of frames? 20 x 180s.")
    if first_unit:
        first, first_unit, second, second_unit = second, second_unit, first, first_unit
    found.count = _once(found.count, _count_of(first), "the count")
    found.exposure_s = _once(found.exposure_s, _seconds(second, second_unit), "the exposure")
    return True


def _take_number(scan: Scan, found: _Found) -> bool:
    exposure = scan.take(_EXPOSURE)
    if exposure:
        found.exposure_s = _once(
            found.exposure_s, _seconds(exposure[1], exposure[2]), "the exposure"
        )
        return True
    count = scan.take(_COUNT)
    if not count:
        return False
    if found.count is None:
        found.count = number(count[1])
    elif found.exposure_s is None:
        found.exposure_s = number(count[1])
    else:
        raise Unclear(f"what is {count[1][:12]}? gain {count[1][:12]}, or bin 2, or after a ;")
    return True


def _take_name(scan: Scan, found: _Found, around: Surroundings, remarks: list[str]) -> bool:
    start, filters = scan.at, around.filters
    name = scan.take(_NAME)
    if name is None:
        return False
    frame_type = TYPES.get(name[1].casefold())
    if frame_type is not None:
        if found.frame_type in (None, "light") or found.frame_type == frame_type:
            found.frame_type = frame_type
            return True
        raise Unclear(f"{found.frame_type} or {frame_type}? One kind of frame a line.")
    known = filter_named(name[1], around, remarks)
    if known is None:
        if is_running(name[1], around):
            return True
        scan.at = start
        listed = ", ".join(filters or _COMMON)
        raise Unclear(
            f"{name[1][:24]} is none of the filters here ({listed[:120]}). "
            f"To keep it write filter {name[1][:24]}; a remark goes after a semicolon."
        )
    found.filter_name = _once_word(found.filter_name, known)
    return True


def is_running(name: str, around: Surroundings) -> bool:
    """Whether a name is that of the object that runs. Raises Unclear for another object."""
    target = around.find_object(name)
    if target is None:
        return False
    running = around.running
    if running is not None and running.catalogue_id == target.catalogue_id:
        return True
    runs = f"{running.name} runs" if running else "nothing runs"
    raise Unclear(f"{runs}, not {name[:24]}: start {name[:24]} first, then log its frames.")


def filter_named(name: str, around: Surroundings, remarks: list[str]) -> str | None:
    """The filter meant by a name, as the user writes it; None if there is no such filter."""
    filters = around.filters
    own = {fold(each): each for each in filters}
    wanted = fold(name)
    trade = _OTHER_NAMES.get(wanted, wanted)
    for key in (wanted, fold(trade)):
        if key in own:
            return own[key]
    for each in _COMMON:
        if not filters and fold(each) == fold(trade):
            return each
    now = today_of(name, filters, remarks, around.renamed)
    near = None if now is not None else nearest(wanted, tuple(own))
    if near is not None:
        remarks.append(f"read {name} as {own[near]}")
        return own[near]
    return now


def _complete(found: _Found, last: Frames | None, remarks: list[str]) -> Frames:
    frame_type = found.frame_type or "light"
    exposure_s, count = found.exposure_s, found.count
    if count is None and found.rate and found.lasting_s:
        count = round(found.rate * found.lasting_s)
        remarks.append(Explained(f"{found.rate:g} a second for {found.lasting_s:g} s"))
    if count is None:
        how = "60 fps for 90 s at 8 ms" if found.rate else "20 x 180s"
        raise Unclear(f"How many frames? {how}.")
    if exposure_s is None:
        exposure_s = _exposure_unsaid(found, frame_type, last, remarks)
    _refuse_impossible(count, exposure_s, found.rate, frame_type)
    like = (
        last
        if found.exposure_s is None and not found.rate and last and last.frame_type == frame_type
        else None
    )
    return Frames(
        count=0 if found.wanted and count == 0 else _whole(count, "frames"),
        exposure_s=exposure_s,
        filter_name=found.filter_name or (like.filter_name if like else None),
        gain=found.gain if found.gain is not None or not like else like.gain,
        binning=_binning(found.binning) or (like.binning if like else None),
        region=found.region or (like.region if like else None),
        frames_per_second=found.rate or (like.frames_per_second if like else None),
        frame_type=frame_type,
        wanted_count=None if found.wanted is None else _whole(found.wanted, "frames wanted"),
    )


_HOW_LONG = {"flat": "20 x 0.8s flats", "dark": "20 x 180s darks"}


def _exposure_unsaid(
    found: _Found, frame_type: str, last: Frames | None, remarks: list[str]
) -> float:
    if frame_type == "bias":
        return 0.0
    if found.rate:
        remarks.append("the exposure is taken from the rate: add as in at 8 ms if it was shorter")
        return round(1.0 / found.rate, 6)
    if last is not None and last.frame_type == frame_type:
        remarks.append("the rest as in the frames before")
        return last.exposure_s
    raise Unclear(f"How long each? {_HOW_LONG.get(frame_type, '20 x 180s')}.")


def _refuse_impossible(
    count: float, exposure_s: float, rate: float | None, frame_type: str
) -> None:
    if exposure_s < 0 or (exposure_s == 0 and frame_type != "bias"):
        raise Unclear("An exposure is longer than nothing: 20 x 180s.")
    if rate is not None and not 0 < rate <= 1e4:
        raise Unclear(f"{rate:g} frames a second is not possible here: up to 10000.")
    if rate is not None and rate * exposure_s > 1.02:
        raise Unclear(f"{rate:g} frames a second leave no more than {1 / rate:.3g} s each.")
    if frame_type == "light" and count * exposure_s > _LONGEST_S:
        hours = count * exposure_s / 3600.0
        raise Unclear(f"{count:g} x {exposure_s:g} s is {hours:.0f} h: more than a night holds.")
    if exposure_s > _LONGEST_S:
        raise Unclear(f"An exposure of {exposure_s:g} s is more than a day.")


def _seconds(amount: str, unit: str | None) -> float:
    seconds = _fraction_or_number(amount) * _UNITS[(unit or "s").casefold()]
    return round(seconds, 6)


def _count_of(amount: str) -> float:
    if "/" in amount:
        raise Unclear("The number of frames comes whole: 20 x 180s.")
    return number(amount)


def _fraction_or_number(amount: str) -> float:
    above, slash, below = amount.partition("/")
    return fraction(above.strip(), below.strip()) if slash else number(amount)


def _whole(value: float, what: str) -> int:
    if value != int(value) or not 1 <= value <= 1_000_000:
        raise Unclear(f"{value:.10g} {what} is not possible: 1 to 1000000, whole.")
    return int(value)


def _binning(value: float | None) -> int | None:
    if value is None:
        return None
    if not 1 <= value <= 16:
        raise Unclear(f"bin {value:g} is not possible: 1 to 16.")
    return int(value)


def _once(before: float | None, value: float, what: str) -> float:
    if before is not None:
        raise Unclear(f"{what} is said twice: {before:g} and {value:g}. One line for each run.")
    return value


def _once_word(before: str | None, value: str) -> str:
    if before is not None:
        raise Unclear(f"Two filters are named: {before} and {value}. One line for each.")
    return value
