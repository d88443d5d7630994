"""When a frame was begun, from the forms in which headers give it.

Source: FITS Standard 4.0, sections 4.4.2.1 (DATE-OBS, the old form DD/MM/YY of 1900 to 1999) and
9.1 (ISO 8601, TIMESYS), 9.5 (DATE-BEG, MJD-OBS). UT beside a date without time is what observatory
headers do; JD is common practice.
"""

import re
from datetime import UTC, datetime, timedelta

from logbook.dates import FIRST_YEAR, LAST_YEAR
from logbook.errors import BadInput
from logbook.frames.fits_header import Card, Header

_TIME = r"(?P<hour>\d{1,2}):(?P<minute>\d{1,2})(?::(?P<second>\d{1,2}(?:\.\d*)?))?"
_ZONE = r"\s*(?:Z|(?P<sign>[+-])(?P<zone_hour>\d{2}):?(?P<zone_minute>\d{2}))?"
_ISO = re.compile(
    rf"(?P<year>\d{{4}})[-/](?P<month>\d{{1,2}})[-/](?P<day>\d{{1,2}})(?:[T ]+{_TIME}{_ZONE})?",
    re.ASCII,
)
_OLD = re.compile(r"(?P<day>\d{1,2})/(?P<month>\d{1,2})/(?P<year>\d{2})", re.ASCII)
_CLOCK = re.compile(rf"(?:.*[T ])?{_TIME}Z?", re.ASCII)
_TIME_KEYWORDS = ("UT", "UTC", "TIME-OBS", "UTSTART", "UT-START", "UTC-OBS")
_DAY_NUMBERS = (("MJD-BEG", 0.0), ("MJD-OBS", 0.0), ("JD-OBS", 2400000.5), ("JD", 2400000.5))
_MJD_ZERO = datetime(1858, 11, 17, tzinfo=UTC)
_FIRST_YEAR, _LAST_YEAR = FIRST_YEAR + 1, LAST_YEAR - 1  # so that it has a night
_MIDDLE = re.compile(r"\b(?:mid|middle|centre|center|mean)", re.IGNORECASE)
_END = re.compile(r"\b(?:end|stop)\b", re.IGNORECASE)


def exposure_start(header: Header, exposure_s: float) -> datetime:
    """The instant at which the exposure began, UTC. Raises BadInput if the header has none."""
    began = _instant(header.get("DATE-BEG"))
    if began is None:
        began = _from_date_obs(header, exposure_s)
    if began is None:
        began = _from_day_number(header)
    if began is not None and _FIRST_YEAR <= began.year <= _LAST_YEAR:
        return began
    if "DATE-OBS" in header:
        raise BadInput("its header does not say at which time of which day it was taken")
    raise BadInput("its header does not say when it was taken")


def clock_note(header: Header) -> str:
    """What is to be known of the header's clock; "" if it is UTC."""
    card = header.get("TIMESYS")
    if card is None or card.text.upper() in ("", "UTC", "UT", "UT1", "GMT"):
        return ""
    return f"its clock is {card.text[:12]}, read as UTC: up to 70 s off"


def _from_date_obs(header: Header, exposure_s: float) -> datetime | None:
    card = header.get("DATE-OBS")
    found = _instant(card)
    if found is None:
        found = _date_and_time(header, card)
    if found is None or card is None:
        return None
    return found - timedelta(seconds=exposure_s) * _share_past(card.comment)


def _share_past(comment: str) -> float:
    """How much of the exposure was over at DATE-OBS: none, unless the comment states otherwise."""
    if _MIDDLE.search(comment):
        return 0.5
    return 1.0 if _END.search(comment) and "start" not in comment.casefold() else 0.0


def _instant(card: Card | None) -> datetime | None:
    """A date with its time; None if either is missing."""
    match = _ISO.fullmatch(card.text.strip()) if card else None
    if match is None or match["hour"] is None:
        return None
    found = _composed(match["year"], match, match)
    if found is None or match["sign"] is None:
        return found
    ahead = timedelta(hours=int(match["zone_hour"]), minutes=int(match["zone_minute"]))
    return found - ahead if match["sign"] == "+" else found + ahead


def _date_and_time(header: Header, card: Card | None) -> datetime | None:
    """A date, and its time from another line."""
    if card is None:
        return None
    day = _ISO.fullmatch(card.text.strip())
    old = _OLD.fullmatch(card.text.strip())
    cards = (header[name] for name in _TIME_KEYWORDS if name in header)
    clock = next((match for each in cards if (match := _CLOCK.fullmatch(each.text.strip()))), None)
    if clock is None:
        return None
    if day is not None:
        return _composed(day["year"], day, clock)
    return None if old is None else _composed(f"19{old['year']}", old, clock)


def _composed(year: str, day: re.Match[str], clock: re.Match[str]) -> datetime | None:
    """Second 60 is a leap second, and the next minute's first."""
    hour, minute, second = int(clock["hour"]), int(clock["minute"]), float(clock["second"] or 0)
    if hour > 24 or minute > 59 or second >= 61:
        return None
    try:
        midnight = datetime(int(year), int(day["month"]), int(day["day"]), tzinfo=UTC)
        return midnight + timedelta(hours=hour, minutes=minute, seconds=second)
    except (ValueError, OverflowError):
        return None


def _from_day_number(header: Header) -> datetime | None:
    for keyword, zero in _DAY_NUMBERS:
        card = header.get(keyword)
        days = card.number if card else None
        if days is not None and 15_000 < days - zero < 125_000:  # 1899 to 2201
            return _MJD_ZERO + timedelta(days=days - zero)
    return None
