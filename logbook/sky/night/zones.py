"""Time zones as people name them, and whether a zone fits a place."""

from datetime import UTC, datetime
from functools import cache
from zoneinfo import ZoneInfo, available_timezones

from logbook.errors import BadInput
from logbook.sky.night.clock import zone_of
from logbook.text import fold

# What stands before the city in names of the IANA database. Source: its `theory.html`.
_AREAS = frozenset(
    [
        "Africa",
        "America",
        "Antarctica",
        "Arctic",
        "Asia",
        "Atlantic",
        "Australia",
        "Europe",
        "Indian",
        "Pacific",
    ]
)
_NO_PLACE = frozenset(("UTC", "UCT", "GMT", "GMT0", "GMT+0", "GMT-0", "Zulu", "Universal"))
_MOST_NAMED = 6
# The Sun and the clocks of inhabited places differ by up to 3 h (the far west of China).
_FITS_WITHIN_H = 3.25
_POLE_DEG = 80.0  # beyond it a station keeps whatever time it is supplied from


def zone_meant(typed: str) -> str:
    """The IANA name of a zone, typed in full or as its city. Raises BadInput naming which fit."""
    try:
        return zone_of(typed).key
    except BadInput:
        found = zones_of_city(typed)
        if len(found) == 1:
            return found[0]
        if not found:
            raise
        more = f" and {len(found) - _MOST_NAMED} more" if len(found) > _MOST_NAMED else ""
        raise BadInput(f"which one: {', '.join(found[:_MOST_NAMED])}{more}") from None


def zones_of_city(typed: str) -> tuple[str, ...]:
    """Zones whose city has that name, else whose city begins so."""
    wanted = fold(typed.replace("_", " ")).strip()
    cities = _cities()
    if len(wanted) < 3:
        return ()
    exact = tuple(name for city, name in cities if city == wanted)
    return exact or tuple(name for city, name in cities if city.startswith(wanted))


@cache
def _cities() -> tuple[tuple[str, str], ...]:
    """City and zone, by the names of the zones that the database itself has."""
    names = (name for name in available_timezones() if name.split("/")[0] in _AREAS)
    return tuple(sorted((fold(name.rsplit("/", 1)[-1].replace("_", " ")), name) for name in names))


def clock_ahead_h(zone: ZoneInfo, longitude_deg: float) -> float:
    """By how many hours clocks there run ahead of the mean Sun; of January and July the nearer.

    Round the date line a day is no difference: the answer lies within -12 to 12.
    """
    year = datetime.now(UTC).year
    offsets = (datetime(year, month, 1, tzinfo=zone).utcoffset() for month in (1, 7))
    hours = [offset.total_seconds() / 3600.0 for offset in offsets if offset is not None]
    ahead = ((each - longitude_deg / 15.0 + 12.0) % 24.0 - 12.0 for each in hours)
    return min(ahead, key=abs)


def fits(zone_name: str, latitude_deg: float, longitude_deg: float) -> bool:
    """Whether a place can lie in a zone, as far as its clocks and the Sun show."""
    if zone_name in _NO_PLACE or zone_name.startswith("Etc/") or abs(latitude_deg) > _POLE_DEG:
        return True
    return abs(clock_ahead_h(zone_of(zone_name), longitude_deg)) <= _FITS_WITHIN_H


def meant_instead(
    zone_name: str, latitude_deg: float, longitude_deg: float
) -> tuple[tuple[float, float], str] | None:
    """The place that fits the zone if one slip was made, and what slip; None if none helps."""
    other = "east" if longitude_deg < 0 else "west"
    slips = [((latitude_deg, -longitude_deg), f"{other}?")]
    if abs(longitude_deg) <= 90.0:
        slips.append(((longitude_deg, latitude_deg), "the longitude first?"))
    return next((slip for slip in slips if fits(zone_name, *slip[0])), None)
