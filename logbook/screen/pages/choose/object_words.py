"""The words about one object: what it is, this night, its year, and what the book holds."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from logbook.screen.services.services import Desk

if TYPE_CHECKING:
    from logbook.records.choosing import Held, ProjectRecord
    from logbook.sky.altitude.one_object import ObjectTonight
    from logbook.sky.altitude.year import YearAhead
    from logbook.sky.catalogue.objects import SkyObject
    from logbook.sky.night.intervals import Interval


def title_words(thing: "SkyObject") -> Text:
    """Kind, constellation, size, magnitude; what is not known is named."""
    return Text(", ".join(part for part in _title_parts(thing) if part))


def _title_parts(thing: "SkyObject") -> tuple[str, ...]:
    if thing.major_arcmin is None:
        size = "" if thing.kind in ("star", "planet") else "size unknown"
    elif thing.major_arcmin < 1.0:
        size = f"{thing.major_arcmin * 60:.1f}″"
    else:
        minor = f" × {thing.minor_arcmin:g}" if thing.minor_arcmin else ""
        size = f"{thing.major_arcmin:g}{minor}′"
    angle = thing.position_angle_deg
    turned = "" if angle is None else f"position angle {angle:.0f}°"
    magnitude = "magnitude unknown"
    if thing.magnitude is not None:
        magnitude = f"magnitude {thing.magnitude:.1f} {thing.magnitude_band or ''}".strip()
    return (thing.kind, thing.constellation, size, turned, magnitude)


def night_lines(desk: Desk, found: "ObjectTonight", limit_deg: float) -> list[Text]:
    """When, how high, how far from the Moon, and how the field moves."""
    words = _window_words(desk, found, limit_deg)
    if found.moon_separation_deg is not None:
        words += f"; the Moon at least {found.moon_separation_deg:.0f}° away"
    lines = [Text(f"{words}.", style="bold")]
    crossing = "No meridian crossing this night"
    if found.transit_utc is not None:
        at = desk.event_words(found.transit_utc)
        crossing = f"Meridian {at} at {found.transit_altitude_deg:.0f}°"
    turning = ""
    if found.rotation_deg_h is not None:
        turning = f"; alt-azimuth: field turns up to {found.rotation_deg_h:.0f}°/h"
        turning += f", parallactic {_parallactic(found)}"
    lines.append(Text(f"{crossing}. Undriven drift {found.drift_arcsec_s:.1f}″/s{turning}"))
    if found.words:
        lines.append(Text(" ".join(found.words), style="bold"))
    return lines


def _window_words(desk: Desk, found: "ObjectTonight", limit_deg: float) -> str:
    if not found.windows:
        return f"No time above {limit_deg:.0f}° in darkness"
    spans = " and ".join(_span(desk, each) for each in found.windows)
    words = f"{found.hours:.1f} h above {limit_deg:.0f}°: {spans}"
    if found.max_altitude_deg is not None:
        words += f", up to {found.max_altitude_deg:.0f}°"
    if found.best is not None:
        words += f"; best {_span(desk, found.best)}"
    return words


def _parallactic(found: "ObjectTonight") -> str:
    """The angle to the zenith at the begin and the end of the windows, to a degree."""
    start, end = found.windows[0].start, found.windows[-1].end
    inside = [
        angle
        for at, angle in zip(found.curve.instants, found.curve.parallactic_deg, strict=True)
        if start <= at <= end
    ]
    ends = (inside[0], inside[-1]) if inside else ()
    return " to ".join(f"{angle:.0f}°".replace("-", "−") for angle in ends) or "unknown"


def _span(desk: Desk, each: "Interval") -> str:
    return f"{desk.event_words(each.start)}–{desk.event_words(each.end)}"


def year_words(year: "YearAhead") -> Text:
    """What the drawing of the year shows, and its best night."""
    best = f"; most {year.best:%d %b %Y}" if year.best else ""
    said = f" {' '.join(year.words)}" if year.words else ""
    return Text(f"A year, hours a night: filled without the Moon, dots with it{best}.{said}")


def held_lines(held: "Held | None", projects: "Sequence[ProjectRecord]") -> list[Text]:
    """What the book holds of the object, and what is wanted of it."""
    if held is None:
        lines = [Text("Nothing of it in the book yet.")]
    else:
        nights = f"{held.nights} night{'' if held.nights == 1 else 's'}"
        filters = ", ".join(f"{name or 'no filter'} {h:.1f} h" for name, h in held.hours_by_filter)
        words = f"In the book: {nights}, last {held.last_date}"
        lines = [Text(f"{words}; {filters}" if filters else f"{words}, no frames")]
    for each in projects:
        through = f" through {each.filter_name}" if each.filter_name else ""
        owed = f"{each.owed_hours:.1f} h owed" if each.owed_hours else "done"
        lines.append(
            Text(f"Project: {each.held_hours:.1f} of {each.wanted_hours:g} h{through}, {owed}")
        )
    return lines
