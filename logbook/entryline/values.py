"""Readers of a measured value: each stands after its word and takes a number and its unit.

None comes back where no value follows; `remarks` says what was converted.
"""

import re
from collections.abc import Callable

from logbook.entryline.context import Explained, Unclear
from logbook.entryline.tokens import NUMBER, Scan, fraction, in_range, number

_FLAGS = re.IGNORECASE
Read = tuple[str, float]
Reader = Callable[[Scan, list[str]], Read | None]

_FILLED = (
    r"(?:[\s:=~,]|(?:is|are|was|now|of|at|about|around|temp|temperature|reads|position|pos|rms"
    r"|moved\s+to|set\s+to|to)\b)*"
)
VALUE = re.compile(rf"{_FILLED}({NUMBER})(?![0-9])", _FLAGS)
_FRACTION = re.compile(rf"{_FILLED}([0-9]+(?:\.[0-9]+)?)\s*(?:/|of|out of)\s*([0-9]+)", _FLAGS)
_SPAN = re.compile(r"\s*(?:-|to)\s*([0-9](?:\.[0-9])?)(?![0-9])", _FLAGS)
_OF_FIVE = re.compile(r"\s*(?:/|of|out of)\s*5(?![0-9])", _FLAGS)
_CELSIUS = re.compile(r"\s*(?:°\s*c?|deg(?:rees)?\s*c?|c)(?![a-z])", _FLAGS)
_FAHRENHEIT = re.compile(r"\s*(?:°|deg(?:rees)?)?\s*f(?:ahrenheit)?(?![a-z])", _FLAGS)
_PER_CENT = re.compile(r"\s*(?:%|per\s?cent\b|pct\b)", _FLAGS)
_METRES_S = re.compile(r"\s*m(?:etres?|eters?)?\s*(?:/|per)\s*s(?:ec(?:onds?)?)?\b", _FLAGS)
_KM_H = re.compile(r"\s*(?:km/?h|kph|km\s*per\s*hour)\b", _FLAGS)
_MILES_H = re.compile(r"\s*(?:mph|miles?\s*(?:/|per|an)\s*h(?:our)?)\b", _FLAGS)
_KNOTS = re.compile(r"\s*(?:kn|kts?|knots?)\b", _FLAGS)
_HPA = re.compile(r"\s*(?:hpa|mbar|mb|millibars?)\b", _FLAGS)
_IN_HG = re.compile(r"\s*(?:inhg|in\s*hg|inches)\b", _FLAGS)
_ARCSEC = re.compile(r"\s*(?:\"|arc\s?secs?(?:onds?)?\b|asec\b|secs?\b|rms\b)+", _FLAGS)
_PER_MIN = re.compile(
    r"\s*(?:\"|arc\s?secs?(?:onds?)?\b)?\s*(?:/|per|a|in\s+a)\s*min(?:ute)?\b", _FLAGS
)
_PER_S = re.compile(
    r"\s*(?:\"|arc\s?secs?(?:onds?)?\b)?\s*(?:/|per|a)\s*s(?:ec(?:ond)?)?\b", _FLAGS
)
_MAG = re.compile(
    r"\s*mag(?:nitudes?)?(?:\s*(?:/|per)\s*(?:arc\s?sec\s*(?:\^?2|²)|\"\s*(?:2|²)|sq\S*))?", _FLAGS
)
_STEPS = re.compile(r"\s*(?:steps?|mm|um)\b", _FLAGS)
_OKTAS = re.compile(r"\s*(?:oktas?|eighths)\b", _FLAGS)
_BEAUFORT_AFTER = re.compile(r"\s*(?:bft|beaufort)\b", _FLAGS)
_PIXELS = re.compile(r"\s*(?:px|pix|pixels?)\b", _FLAGS)
_BESIDE = re.compile(
    r"\s*(?:°?\s*[ck]|deg(?:rees)?)?\s*(?:above|below|over|under|warmer|colder|cooler)\b", _FLAGS
)
_COMPASS = re.compile(r"\s*(?:from\s+(?:the\s+)?)?[nesw]{1,3}(?=\s*[0-9])", _FLAGS)
_SPEED_SPAN = re.compile(r"\s*(?:-|to)\s*([0-9]+(?:\.[0-9]+)?)(?![0-9])", _FLAGS)
_BEAUFORT = re.compile(rf"{_FILLED}(?:bft|beaufort|force)\s*([0-9]{{1,2}})(?![0-9.])", _FLAGS)
_CALM = re.compile(rf"{_FILLED}(?:calm|none|no wind|still)\b", _FLAGS)
# Clear of what, or a clear filter, is something else than a clear sky.
_NO_CLOUD = re.compile(
    rf"{_FILLED}(?:none|clear(?!\s*(?:of|to|in|toward|towards|overhead|patch(?:es)?|spots?|gaps?|filter|tape|view)\b)"
    r"|gone|no clouds?)\b",
    _FLAGS,
)
_ALL_CLOUD = re.compile(rf"{_FILLED}(?:total|full|all over|overcast|closed)\b", _FLAGS)
_PICKERING = re.compile(rf"{_FILLED}(?:pickering|p)\s*({NUMBER})(?![0-9])", _FLAGS)
_PICKERING_AFTER = re.compile(r"\s*(?:on\s+)?pickering\b", _FLAGS)
# A lone I or V is more often a word than a step of the scale.
_ROMAN = re.compile(
    rf"{_FILLED}(?:(?:antoniadi|ant)\s*(i{{1,3}}|iv|v)|(ii|iii|iv))(?![a-z])"
    r"(?:\s*(?:-|to)\s*(i{1,3}|iv|v)(?![a-z]))?",
    _FLAGS,
)
_ANTONIADI = re.compile(rf"{_FILLED}(?:antoniadi|ant)\s*({NUMBER})(?![0-9])", _FLAGS)
_ANTONIADI_AFTER = re.compile(r"\s*(?:on\s+)?antoniadi\b", _FLAGS)
_ROMANS = {"i": 1.0, "ii": 2.0, "iii": 3.0, "iv": 4.0, "v": 5.0}


def temperature(
    scan: Scan, value: float, remarks: list[str], *, unit_wanted: bool = False
) -> float | None:
    """The value in °C, after its unit is taken; None where a wanted unit does not follow."""
    if scan.take(_FAHRENHEIT):
        remarks.append(Explained(f"{value:g} °F"))
        return round((value - 32.0) / 1.8, 2)
    if scan.take(_CELSIUS) or not unit_wanted:
        return value
    return None


def _temperature_reader(quantity: str) -> Reader:
    def read(scan: Scan, remarks: list[str]) -> Read | None:
        value = scan.take(VALUE)
        if value is None:
            return None
        if _BESIDE.match(scan.text, scan.at):
            raise Unclear(f"{value[1]} above or below what? Give both as read: air 4.2 mirror 7.9.")
        celsius = temperature(scan, number(value[1]), remarks)
        return None if celsius is None else (quantity, celsius)

    return read


def _plain_reader(quantity: str, unit: re.Pattern[str]) -> Reader:
    def read(scan: Scan, _remarks: list[str]) -> Read | None:
        value = scan.take(VALUE)
        if value is None:
            return None
        scan.take(unit)
        return quantity, number(value[1])

    return read


def _seeing(scan: Scan, remarks: list[str]) -> Read | None:
    for pattern, quantity in ((_PICKERING, "seeing_pickering"), (_ANTONIADI, "seeing_antoniadi")):
        named = scan.take(pattern)
        if named:
            return quantity, number(named[1])
    roman = scan.take(_ROMAN)
    if roman:
        step = _ROMANS[(roman[1] or roman[2]).casefold()]
        if roman[3]:
            remarks.append("the middle is kept")
            step = (step + _ROMANS[roman[3].casefold()]) / 2.0
        return "seeing_antoniadi", step
    over = scan.take(_FRACTION)
    if over:
        return _seeing_of(number(over[1]), number(over[2]), remarks)
    value = scan.take(VALUE)
    if value is None:
        return None
    return _seeing_alone(scan, number(value[1]), remarks)


def _seeing_of(value: float, steps: float, remarks: list[str]) -> Read:
    if steps == 5:
        return "seeing_of_five", value
    if steps == 10:
        remarks.append("ten steps are read as Pickering's")
        return "seeing_pickering", value
    raise Unclear(f"seeing of {steps:g} steps is not known: 3/5, pickering 6 or antoniadi III.")


def _seeing_alone(scan: Scan, value: float, remarks: list[str]) -> Read:
    if scan.take(_ARCSEC):
        return "fwhm_arcsec", value
    if scan.take(_PICKERING_AFTER):
        return "seeing_pickering", value
    if scan.take(_ANTONIADI_AFTER):
        return "seeing_antoniadi", value
    span = scan.take(_SPAN)
    if span:
        remarks.append("the middle is kept")
        value = (value + number(span[1])) / 2.0
        scan.take(_OF_FIVE)
        if scan.take(_PICKERING_AFTER):
            return "seeing_pickering", value
        if scan.take(_ANTONIADI_AFTER):
            return "seeing_antoniadi", value
    if value > 5:
        raise Unclear(
            f'seeing {value:g} of what? seeing pickering {value:g}, or seeing {value:g}".'
        )
    remarks.append("of five steps, 5 is best")
    return "seeing_of_five", value


def _transparency(scan: Scan, remarks: list[str]) -> Read | None:
    over = scan.take(_FRACTION)
    if over:
        if number(over[2]) != 5:
            raise Unclear("transparency is kept in five steps, 5 is best: transparency 4/5.")
        return "transparency_of_five", number(over[1])
    value = scan.take(VALUE)
    if value is None:
        return None
    read = number(value[1])
    span = scan.take(_SPAN)
    if span:
        remarks.append("the middle is kept")
        read = (read + number(span[1])) / 2.0
        scan.take(_OF_FIVE)
    if read > 5:
        raise Unclear("transparency is kept in five steps, 5 is best: transparency 4/5.")
    return "transparency_of_five", read


def _cloud(scan: Scan, remarks: list[str]) -> Read | None:
    over = scan.take(_FRACTION)
    if over:
        share = 100.0 * fraction(over[1], over[2])
        remarks.append(Explained(f"{over[1]}/{over[2]} of the sky"))
        return "cloud_percent", round(share, 1)
    value = scan.take(VALUE)
    if value:
        if scan.take(_OKTAS):
            remarks.append(Explained(f"{value[1]} oktas"))
            return "cloud_percent", 12.5 * number(value[1])
        scan.take(_PER_CENT)
        return "cloud_percent", number(value[1])
    if scan.take(_NO_CLOUD):
        return "cloud_percent", 0.0
    if scan.take(_ALL_CLOUD):
        return "cloud_percent", 100.0
    return None


_SPEEDS = ((_KM_H, 1 / 3.6, "km/h"), (_MILES_H, 0.44704, "mph"), (_KNOTS, 0.514444, "knots"))


def _wind(scan: Scan, remarks: list[str]) -> Read | None:
    if scan.take(_CALM):
        return "wind_m_s", 0.0
    force = scan.take(_BEAUFORT)
    if force:
        return "wind_m_s", _beaufort(number(force[1]), remarks)
    scan.take(_COMPASS)
    value = scan.take(VALUE)
    if value is None:
        return None
    speed = number(value[1])
    if scan.take(_BEAUFORT_AFTER):
        return "wind_m_s", _beaufort(speed, remarks)
    span = scan.take(_SPEED_SPAN)
    if span:
        remarks.append("the middle is kept")
        speed = (speed + number(span[1])) / 2.0
    for unit, factor, name in _SPEEDS:
        if scan.take(unit):
            remarks.append(Explained(f"{speed:g} {name}"))
            return "wind_m_s", round(speed * factor, 2)
    scan.take(_METRES_S)
    return "wind_m_s", speed


def _beaufort(force: float, remarks: list[str]) -> float:
    """Speed in the middle of a Beaufort force. Source: v = 0.836 B^1.5 m/s, WMO-No. 8."""
    in_range(force, "force", 0, 12, "")
    remarks.append(Explained(f"force {force:g}"))
    return round(0.836 * float(force**1.5), 1)


def _pressure(scan: Scan, remarks: list[str]) -> Read | None:
    value = scan.take(VALUE)
    if value is None:
        return None
    read = number(value[1])
    if scan.take(_IN_HG):
        remarks.append(Explained(f"{read:g} inHg"))
        return "pressure_hpa", round(read * 33.8639, 1)
    scan.take(_HPA)
    return "pressure_hpa", read


_DAYLIGHT_MAG = 10.0


def _sky(scan: Scan, _remarks: list[str]) -> Read | None:
    value = scan.take(VALUE)
    if value is None:
        return None
    read = number(value[1])
    scan.take(_MAG)
    if 0 <= read < _DAYLIGHT_MAG:
        raise Unclear(
            f"a sky of {read:g} would be daylight. For the faintest star seen write limit {read:g}."
        )
    return "sky_mag_arcsec2", read


def _guiding(scan: Scan, _remarks: list[str]) -> Read | None:
    value = scan.take(VALUE)
    if value is None:
        return None
    if _PIXELS.match(scan.text, scan.at):
        raise Unclear("guiding is kept in arcseconds: guiding 0.8\" (px times the guider's scale).")
    scan.take(_ARCSEC)
    return "guiding_rms_arcsec", number(value[1])


def _focus(scan: Scan, _remarks: list[str]) -> Read | None:
    value = scan.take(VALUE)
    if value is None:
        return None
    if value[1].startswith("+"):
        raise Unclear(f"focus {value[1]} is a move. Log where it then stands, as in focus 12345.")
    scan.take(_STEPS)
    return "focus_position", number(value[1])


def _drift(scan: Scan, remarks: list[str]) -> Read | None:
    value = scan.take(VALUE)
    if value is None:
        return None
    read = number(value[1])
    if scan.take(_PER_MIN):
        return "drift_arcsec_min", read
    if scan.take(_PER_S):
        remarks.append(Explained(f'{read:g}"/s'))
        return "drift_arcsec_min", round(60.0 * read, 3)
    raise Unclear(f'drift {read:g} of what? drift {read:g}"/min (arcseconds a minute).')


READERS: dict[str, Reader] = {
    "seeing": _seeing,
    "transparency": _transparency,
    "cloud": _cloud,
    "wind": _wind,
    "dew": _temperature_reader("dew_point_c"),
    "air": _temperature_reader("air_temperature_c"),
    "mirror": _temperature_reader("mirror_temperature_c"),
    "tube": _temperature_reader("tube_temperature_c"),
    "sensor": _temperature_reader("sensor_temperature_c"),
    "humidity": _plain_reader("humidity_percent", _PER_CENT),
    "pressure": _pressure,
    "sky": _sky,
    "limit": _plain_reader("limiting_magnitude", _MAG),
    "fwhm": _plain_reader("fwhm_arcsec", _ARCSEC),
    "guiding": _guiding,
    "drift": _drift,
    "focus": _focus,
}
