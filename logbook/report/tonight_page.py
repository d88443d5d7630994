"""Tonight as text or JSON."""

import json
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from rich.text import Text

from logbook.errors import BadInput
from logbook.report.choosing import chosen_date, chosen_site, chosen_train
from logbook.report.field_of_view import view_of
from logbook.report.printing import print_lines
from logbook.sky import tonight as sky_tonight
from logbook.sky.clock import local_hhmm
from logbook.sky.limits import Limits
from logbook.sky.tonight import Tonight, tonight
from logbook.store.opening import now_utc

if TYPE_CHECKING:
    from datetime import datetime

    from logbook.sky.suggest import Suggestion
    from logbook.store.book import Book


def print_tonight(
    book: "Book",
    *,
    site_name: str | None,
    train_name: str | None,
    date_typed: str,
    min_altitude_deg: float | None,
    min_moon_separation_deg: float | None,
    most: int,
    as_json: bool,
) -> None:
    """Print the night and its best objects. Raises BadInput, NotFound."""
    if most < 1:
        raise BadInput("--limit is a number of objects: 1 or more")
    site = chosen_site(book, site_name)
    train = chosen_train(book, train_name)
    limits = _limits(min_altitude_deg, min_moon_separation_deg)
    night = chosen_date(date_typed, site, now_utc())
    view = view_of(train.train if train else None)
    answer = tonight(site.site, view, night, limits, most=most)
    if as_json:
        print(json.dumps(sky_tonight.as_json(answer), indent=2, ensure_ascii=False))
    else:
        print_lines(tonight_lines(answer))


def _limits(min_altitude_deg: float | None, min_moon_separation_deg: float | None) -> Limits:
    usual = Limits()
    return Limits(
        usual.min_altitude_deg if min_altitude_deg is None else min_altitude_deg,
        usual.min_moon_separation_deg
        if min_moon_separation_deg is None
        else min_moon_separation_deg,
    )


def tonight_lines(answer: Tonight) -> list[Text]:
    """The night in words, then each object with its reasons."""
    lines = [*night_lines(answer), Text("")]
    zone = ZoneInfo(answer.night.time_zone)
    for place, each in enumerate(answer.suggestions, start=1):
        lines += _suggestion_lines(place, each, zone)
    if not answer.suggestions:
        lines.append(Text("Nothing is suggested for this night."))
    return lines


def night_lines(answer: Tonight) -> list[Text]:
    """The night in words: Sun, the three twilights, darkness, Moon, and what to know first."""
    night = answer.night
    zone = ZoneInfo(night.time_zone)

    def at(instant: "datetime | None") -> str:
        return "none" if instant is None else local_hhmm(instant, zone)

    dark = night.dark
    lines = [
        Text(f"Night of {night.local_date:%A %d %B %Y}, {answer.site.name}", style="bold"),
        Text(f"Sunset {at(night.sunset)}, sunrise {at(night.sunrise)} ({night.time_zone})"),
        Text(f"Civil twilight to {at(night.civil_dusk)} and from {at(night.civil_dawn)}"),
        Text(f"Nautical twilight to {at(night.nautical_dusk)} and from {at(night.nautical_dawn)}"),
        Text(
            f"Astronomical twilight to {at(night.astronomical_dusk)} "
            f"and from {at(night.astronomical_dawn)}"
        ),
        Text(
            f"Dark {at(dark.start if dark else None)} to {at(dark.end if dark else None)}, "
            f"{night.dark_hours:.1f} h, {night.moonless_hours:.1f} h of it without the Moon"
        ),
        Text(
            f"Moon: {night.moon_phase}, {night.moon_illumination * 100:.0f} % lit, "
            f"{night.moon_age_days:.1f} days old, rises {at(night.moon_rise)}, "
            f"sets {at(night.moon_set)}"
        ),
    ]
    field = answer.field
    if field is not None:
        width, height = field.field_deg
        lines.append(
            Text(f"{field.name}: {field.focal_length_mm:.0f} mm, {width:.2f}° × {height:.2f}°")
        )
    return [*lines, *(Text(words, style="bold") for words in answer.words)]


def _suggestion_lines(place: int, each: "Suggestion", zone: ZoneInfo) -> list[Text]:
    head = Text(f"{place:2}  {each.name}", style="bold")
    number = "" if each.name == each.object_id else f" ({each.object_id})"
    head.append(
        f"{number}, {each.kind}: {local_hhmm(each.from_utc, zone)}–"
        f"{local_hhmm(each.to_utc, zone)}, score {each.score:.2f}",
        style="not bold",
    )
    return [head, Text(f"    {'; '.join(each.reasons)}")]
