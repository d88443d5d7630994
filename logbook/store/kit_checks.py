"""What a site, a part, a train and a screw must be before they are kept."""

from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from logbook.errors import BadInput
from logbook.kit.parts import KINDS, MEASURED, STATED, Kind, Part, Value
from logbook.sky.place import Site
from logbook.store import checks
from logbook.store.entry_checks import refuse_centre_screw, refuse_no_hour
from logbook.store.records import PART_STATES, Screw
from logbook.text import fold

NAME_LENGTH = 120
NOTE_LENGTH = 4000


def zone_of(name: str) -> ZoneInfo:
    """The time zone of that name. Raises BadInput."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise BadInput(f"there is no time zone {name!r}; an example is Europe/Vienna") from error


def checked_site(site: Site) -> Site:
    time_zone = checks.line(site.time_zone, "the time zone", 64, wanted=True)
    zone_of(time_zone)
    sky = checks.maybe_number(site.dark_sky_mag_arcsec2, "dark sky", 5.0, 23.5, "mag/arcsec²")
    return Site(
        name=checks.line(site.name, "the site's name", NAME_LENGTH, wanted=True),
        latitude_deg=checks.number(site.latitude_deg, "latitude", -90.0, 90.0, "°"),
        longitude_deg=checks.number(site.longitude_deg, "longitude", -180.0, 180.0, "°"),
        elevation_m=checks.number(site.elevation_m, "elevation", -500.0, 9000.0, "m"),
        time_zone=time_zone,
        horizon=_horizon(site.horizon),
        dark_sky_mag_arcsec2=sky,
    )


def _horizon(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    kept: dict[float, float] = {}
    for azimuth_deg, altitude_deg in points:
        azimuth = checks.number(azimuth_deg, "azimuth", 0.0, 360.0, "°") % 360.0
        if azimuth in kept:
            raise BadInput(f"the horizon has two altitudes at azimuth {azimuth:g}°")
        kept[azimuth] = checks.number(altitude_deg, "horizon altitude", -5.0, 90.0, "°")
    return tuple(sorted(kept.items()))


def checked_part(part: Part) -> Part:
    kind = KINDS[checks.one_of(part.kind, "the kind of part", tuple(KINDS))]
    values = tuple(_value(kind, each) for each in part.values)
    seen = {(each.quantity, each.basis) for each in values}
    if len(seen) < len(values):
        raise BadInput("a quantity is given twice on the same basis")
    return replace(
        part,
        name=checks.line(part.name, "the part's name", NAME_LENGTH, wanted=True),
        values=values,
        state=checks.one_of(part.state, "the state", PART_STATES),
        note=checks.line(part.note, "the note", NOTE_LENGTH),
        reason=checks.line(part.reason, "the reason", NOTE_LENGTH),
        price=checks.maybe_number(part.price, "the price", 0.0, 1e9),
        photo_path=checks.line(part.photo_path, "the photo's path", 1000),
        link=checks.line(part.link, "the link", 1000),
    )


def _value(kind: Kind, value: Value) -> Value:
    quantity = kind.quantity(value.quantity)
    if quantity is None:
        known = ", ".join(each.name for each in kind.quantities)
        raise BadInput(f"a {kind.name} has no {value.quantity!r}: {known}")
    number, word = value.number, value.word
    if quantity.is_text:
        if number is not None or word is None:
            raise BadInput(f"{quantity.label} is said in words")
        word = checks.line(word, quantity.label, 200, wanted=True)
    else:
        if number is None or word is not None:
            raise BadInput(f"{quantity.label} needs a number")
        number = checks.number(number, quantity.label, quantity.low, quantity.high, quantity.unit)
    return Value(
        quantity=quantity.name,
        basis=checks.one_of(value.basis, "the basis", (STATED, MEASURED)),
        number=number,
        word=word,
        how=checks.line(value.how, "how it was measured", 400),
        measured_on=_day(value.measured_on),
    )


def _day(text: str) -> str:
    if not text:
        return ""
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError as error:
        raise BadInput(f"{text!r} is not a date; an example is 2025-10-04") from error


def checked_screws(screws: tuple[Screw, ...]) -> tuple[Screw, ...]:
    names: set[str] = set()
    kept: list[Screw] = []
    for screw in screws:
        refuse_centre_screw(screw.name)
        refuse_no_hour(screw.clock_hour)
        name = checks.line(screw.name, "the screw's name", 40, wanted=True)
        if fold(name) in names:
            raise BadInput(f"two screws are called {name}")
        names.add(fold(name))
        hour = checks.number(screw.clock_hour, "the hour", 0.0, 12.0, "o'clock")
        kept.append(Screw(name, hour, bool(screw.tighten_clockwise)))
    return tuple(kept)
