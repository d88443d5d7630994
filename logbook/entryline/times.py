"""When it happened: `at 22:15 …`, `10 min ago …`, or now."""

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from logbook.entryline.context import Surroundings, Unclear
from logbook.entryline.tokens import NUMBER, number
from logbook.sky.night.clock import local_hhmm, zone_or_utc

_FLAGS = re.IGNORECASE
_CLOCK = re.compile(
    r"(?:(?P<at>at|@|since)\s*)?"
    r"(?P<hour>[0-9]{1,2})(?:[:.h](?P<minute>[0-9]{2})(?:[:.](?P<second>[0-9]{2}))?)"
    r"\s*(?P<half>am|pm)?\s*(?P<zone>utc?|z|local)?(?=[\s,:;]|$)[\s,:;]*",
    _FLAGS,
)
_SHORT_CLOCK = re.compile(
    r"(?:at|@)\s*(?:(?P<hour>[0-9]{2})(?P<minute>[0-9]{2})\s*(?P<half>am|pm)?"
    r"|(?P<hour_alone>[0-9]{1,2})\s*(?P<half_alone>am|pm))"
    r"\s*(?P<zone>utc?|z|local)?(?=[\s,:;]|$)[\s,:;]*",
    _FLAGS,
)
_MIDNIGHT = re.compile(r"(?:at|@|since)\s*midnight\b[\s,:;]*(?=\S)", _FLAGS)
_LIKE_CLOCK = re.compile(r"(?:(?:at|@)\s*[0-9]{1,4}[:.h]|[0-9]{1,4}:)[0-9]+\S{0,4}", _FLAGS)
_MINUTES = r"(?:m|mins?|minutes?)\.?"
_HOURS = r"(?:h|hrs?|hours?)\.?"
_SECONDS = r"(?:s|secs?|seconds?)"
_AGO = re.compile(
    rf"(?:(?:about\s+)?(?P<hours>{NUMBER}|an?|half\s+an?|(?:a\s+)?quarter\s+of\s+an)\s*{_HOURS}"
    rf"(?:\s*(?:and\s+)?(?P<more>{NUMBER})\s*{_MINUTES}?)?"
    rf"|(?P<minutes>{NUMBER}|a|one|two|five|ten)\s*{_MINUTES}"
    rf"|(?P<seconds>{NUMBER})\s*{_SECONDS})"
    r"\s+(?:ago|earlier)\b[\s,:;]*",
    _FLAGS,
)
_AT_END = re.compile(
    r"[\s,]+((?:at|@|since)\s*[0-9]{1,2}[:h][0-9]{2}(?::[0-9]{2})?\s*(?:am|pm)?\s*(?:utc?|z|local)?"
    rf"|(?:{NUMBER}|an?|half\s+an)\s*(?:{_MINUTES}|{_HOURS})\s+ago)[\s.!]*$",
    _FLAGS,
)
_WORDS = {"a": 1.0, "an": 1.0, "one": 1.0, "two": 2.0, "five": 5.0, "ten": 10.0}
_SLACK = timedelta(minutes=1)  # a clock read a little early is no time to come
_LONGEST_AGO_MIN = 24 * 60.0


@dataclass(frozen=True, slots=True)
class Moment:
    """When a line says that it happened, what is left of the line, and what to remark."""

    happened_utc: datetime
    rest_at: int  # where the rest begins in the plain text
    said: bool = False  # the line names a time
    remarks: tuple[str, ...] = ()


def moment_of(plain_text: str, around: Surroundings) -> Moment:
    """Read the time a line begins with. Raises Unclear for a time that cannot be."""
    ago = _AGO.match(plain_text)
    if ago:
        return _ago(ago, around)
    clock = _CLOCK.match(plain_text) or _SHORT_CLOCK.match(plain_text)
    if clock and _is_clock(clock):
        return _at_clock(clock, around)
    midnight = _MIDNIGHT.match(plain_text)
    if midnight:
        happened, remarks = local_instant(time(0), around)
        _refuse_to_come(happened, time(0), around)
        return Moment(happened, midnight.end(), said=True, remarks=remarks)
    like = _LIKE_CLOCK.match(plain_text)
    if like:
        raise Unclear(f"{like.group()} is not a time: write at 22:15, then what happened.")
    return Moment(around.now_utc, 0)


def _is_clock(found: re.Match[str]) -> bool:
    """22.15 with no word before it is a number; 22:15 and 22h15 are times."""
    if found.re is _SHORT_CLOCK or found["at"]:
        return True
    return found.group().lstrip("0123456789")[:1].casefold() in (":", "h")


def _ago(found: re.Match[str], around: Surroundings) -> Moment:
    minutes = _hours(found["hours"]) * 60.0
    minutes += _amount(found["more"]) + _amount(found["minutes"])
    minutes += _amount(found["seconds"]) / 60.0
    if not 0.0 <= minutes <= _LONGEST_AGO_MIN:
        raise Unclear("That is not within this night: write at and the time, as in at 22:15.")
    happened = around.now_utc - timedelta(minutes=minutes)
    if around.now_utc >= _noon(around, 0) and happened < _noon(around, 0):
        raise Unclear("That was before this night began: take up the night before instead.")
    return Moment(happened, found.end(), said=True)


def _hours(words: str | None) -> float:
    if words is None:
        return 0.0
    first = words.casefold().split()
    if "half" in first:
        return 0.5
    if "quarter" in first:
        return 0.25
    return _amount(words)


def _amount(words: str | None) -> float:
    if words is None:
        return 0.0
    known = _WORDS.get(words.casefold())
    return number(words) if known is None else known


def _noon(around: Surroundings, days: int) -> datetime:
    day = _day(around.night_date, days)
    return datetime.combine(day, time(12), zone_or_utc(around.time_zone)).astimezone(UTC)


def _day(first: date, days: int) -> date:
    try:
        return first + timedelta(days=days)
    except OverflowError:
        return first


def _at_clock(found: re.Match[str], around: Surroundings) -> Moment:
    parts = found.groupdict()
    hour = int(parts.get("hour") or parts.get("hour_alone") or 0)
    minute, second = int(parts.get("minute") or 0), int(parts.get("second") or 0)
    half = (parts.get("half") or parts.get("half_alone") or "").casefold()
    shown = found.group().strip(" ,:;")
    if half and 1 <= hour <= 12:
        hour = hour % 12 + (12 if half == "pm" else 0)
    elif half:
        raise Unclear(f"{shown} is not a time: write 22:15, or 10:15 pm.")
    if hour > 23 or minute > 59 or second > 59:
        raise Unclear(f"{shown} is not a time: hours run to 23, minutes and seconds to 59.")
    clock = time(hour, minute, second)
    if (parts.get("zone") or "").casefold() in ("utc", "ut", "z"):
        happened = _at_utc(clock, around)
        remarks: tuple[str, ...] = ()
    else:
        happened, remarks = local_instant(clock, around)
    _refuse_to_come(happened, clock, around)
    return Moment(happened, found.end(), said=True, remarks=remarks)


def _at_utc(clock: time, around: Surroundings) -> datetime:
    """The instant of this night, local noon to local noon, at which UTC shows that time."""
    noon = _noon(around, 0)
    same_day = datetime.combine(noon.date(), clock, UTC)
    return same_day if same_day >= noon else same_day + timedelta(days=1)


def local_instant(clock: time, around: Surroundings) -> tuple[datetime, tuple[str, ...]]:
    """The instant of this night at which the site's clocks show `clock`, and what to remark.

    After midnight belongs to the same night. An hour that comes twice is taken as the later one
    that is past. Raises Unclear for an hour that the clocks leave out.
    """
    zone = zone_or_utc(around.time_zone)
    day = _day(around.night_date, 0 if clock.hour >= 12 else 1)
    first = datetime.combine(day, clock, zone)
    second = first.replace(fold=1)
    if first.utcoffset() == second.utcoffset():
        return first.astimezone(UTC), ()
    if first.astimezone(UTC) > second.astimezone(UTC):
        raise Unclear(
            f"{clock:%H:%M} does not come that night: the clocks are put forward past it."
        )
    later = second.astimezone(UTC) <= around.now_utc + _SLACK
    taken, other = (second, first) if later else (first, second)
    remark = (
        f"{clock:%H:%M} comes twice that night; taken as the {'second' if later else 'first'}, "
        f"{taken:%Z}. For the other write at {local_hhmm(other, UTC)} UTC"
    )
    return taken.astimezone(UTC), (remark,)


def _refuse_to_come(happened: datetime, clock: time, around: Surroundings) -> None:
    if happened <= around.now_utc + _SLACK:
        return
    now = around.now_utc.astimezone(zone_or_utc(around.time_zone))
    words = f"{clock:%H:%M} is still to come: it is {now:%H:%M} now."
    if 4 <= clock.hour < 12:
        words += f" For the evening write at {clock.hour + 12}:{clock.minute:02d}."
    raise Unclear(words)


def time_at_end(plain_text: str) -> re.Match[str] | None:
    """The time at the end of a line: `start m31 at 22:10`, `stop 5 min ago`."""
    return _AT_END.search(plain_text)


def time_words(happened_utc: datetime, time_zone: str) -> str:
    """`22:15 BST, 21:15 UTC`; the same time is not written twice."""
    local = happened_utc.astimezone(zone_or_utc(time_zone))
    utc = happened_utc.astimezone(UTC)
    if local.utcoffset() == timedelta(0):
        return f"{utc:%H:%M} UTC"
    name = local.strftime("%Z")
    shown = name if name.isalpha() else "local"  # some zones have numbers for names
    return f"{local:%H:%M} {shown}, {utc:%H:%M} UTC"


def without_time(plain_text: str) -> str:
    """What is left of a line without the time it begins with."""
    found = _AGO.match(plain_text) or _CLOCK.match(plain_text) or _SHORT_CLOCK.match(plain_text)
    found = found or _MIDNIGHT.match(plain_text)
    if found is None or not (found.re in (_AGO, _MIDNIGHT) or _is_clock(found)):
        return plain_text
    return plain_text[found.end() :]


def with_time_first(text: str, happened_utc: datetime, time_zone: str) -> str:
    """A logged line as it is offered to be corrected: `at 22:15 seeing 3/5`.

    What was logged as `10 min ago` would otherwise move with every correction. Seconds are
    written when there are any; parts of a second are left out.
    """
    zone = zone_or_utc(time_zone)
    local = happened_utc.astimezone(zone)
    twice = local.replace(fold=0).utcoffset() != local.replace(fold=1).utcoffset()
    shown = happened_utc.astimezone(UTC) if twice else local
    clock = f"{shown:%H:%M:%S}" if shown.second else f"{shown:%H:%M}"
    return f"at {clock}{' UTC' if twice else ''} {without_time(text)}"
