"""Tonight as text or JSON."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from rich.text import Text

from logbook.errors import BadInput, NotFound
from logbook.report.choosing import chosen_date, chosen_site, chosen_train
from logbook.report.field_of_view import view_of
from logbook.report.printing import print_lines
from logbook.sky import tonight as sky_tonight
from logbook.sky.clock import local_hhmm
from logbook.sky.limits import Limits
from logbook.sky.limits_text import read_limits
from logbook.sky.running_order import KeptItem
from logbook.sky.tonight import Tonight, tonight
from logbook.store.facts import facts_of
from logbook.store.opening import now_utc

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from logbook.sky.night import Night
    from logbook.sky.suggest import Suggestion
    from logbook.store.book import Book
    from logbook.store.choosing_records import RunningOrderRecord


LISTED = 20
PLANNED = 5


def print_tonight(
    book: Book,
    *,
    site_name: str | None,
    train_name: str | None,
    date_typed: str,
    limits_typed: str,
    min_altitude_deg: float | None,
    min_moon_separation_deg: float | None,
    most: int | None,
    plan: bool,
    as_json: bool,
) -> None:
    """Print the night and its best objects, or its running order. Raises BadInput, NotFound.

    limits_typed -- the name of a set of limits of the book, or limits as typed.
    most -- how many objects; None for the usual number.
    """
    if most is not None and most < 1:
        raise BadInput("--limit is a number of objects: 1 or more")
    site = chosen_site(book, site_name)
    train = chosen_train(book, train_name)
    limits = _limits(book, limits_typed, min_altitude_deg, min_moon_separation_deg)
    night = chosen_date(date_typed, site, now_utc())
    view = view_of(train.train if train else None)
    usual = PLANNED if plan else LISTED
    answer = tonight(site.site, view, night, limits, facts=facts_of(book), most=most or usual)
    if plan:
        _print_plan(answer, book.running_orders.newest(site.id, night), as_json=as_json)
    elif as_json:
        _print_json(sky_tonight.as_json(answer))
    else:
        print_lines(tonight_lines(answer))


def _print_plan(answer: Tonight, kept: RunningOrderRecord | None, *, as_json: bool) -> None:
    """The order kept last; without one, an order of the suggestions."""
    from logbook.report import plan_page

    if kept is None:
        order = plan_page.suggested_order(answer)
    else:
        order = plan_page.order_as_kept(answer.ranking, _kept_items(kept))
    if as_json:
        _print_json(plan_page.plan_json(answer, order, kept=kept is not None))
    else:
        print_lines(plan_page.plan_lines(answer, order, kept=kept is not None))


def _kept_items(record: RunningOrderRecord) -> list[KeptItem]:
    return [
        KeptItem(each.target.catalogue_id, each.target.name, each.from_utc, each.to_utc, each.note)
        for each in record.items
    ]


def _print_json(values: dict[str, object]) -> None:
    print(json.dumps(values, indent=2, ensure_ascii=False))


def _limits(
    book: Book,
    typed: str,
    min_altitude_deg: float | None,
    min_moon_separation_deg: float | None,
) -> Limits:
    limits = _named_limits(book, typed) or read_limits(typed)
    if min_altitude_deg is not None:
        limits = replace(limits, min_altitude_deg=min_altitude_deg)
    if min_moon_separation_deg is not None:
        limits = replace(limits, min_moon_separation_deg=min_moon_separation_deg)
    return limits


def _named_limits(book: Book, typed: str) -> Limits | None:
    """The set of limits of that name; None if there is none, or it is of a newer program."""
    if not typed.strip():
        return None
    try:
        return book.limit_sets.named(typed).limits
    except NotFound:
        return None


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

    def at(instant: datetime | None) -> str:
        return "none" if instant is None else local_hhmm(instant, zone)

    lines = [
        Text(f"Night of {night.local_date:%A %d %B %Y}, {answer.site.name}", style="bold"),
        Text(f"Sunset {at(night.sunset)}, sunrise {at(night.sunrise)} ({night.time_zone})"),
        *(Text(words) for words in _twilight_words(night, at)),
        Text(_dark_words(night, at)),
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


def _twilight_words(night: Night, at: Callable[[datetime | None], str]) -> list[str]:
    """Each twilight's end and begin, or that the Sun stays above or below its depth."""
    lines = []
    for name, depth_deg, below, dusk, dawn in (
        ("Civil", 6, night.below_6, night.civil_dusk, night.civil_dawn),
        ("Nautical", 12, night.below_12, night.nautical_dusk, night.nautical_dawn),
        ("Astronomical", 18, night.below_18, night.astronomical_dusk, night.astronomical_dawn),
    ):
        if not below:
            lines.append(f"{name} twilight: the Sun stays above −{depth_deg}°")
        elif dusk is None and dawn is None:
            lines.append(f"{name} twilight: none, the Sun stays below −{depth_deg}°")
        else:
            lines.append(f"{name} twilight to {at(dusk)} and from {at(dawn)}")
    return lines


def _dark_words(night: Night, at: Callable[[datetime | None], str]) -> str:
    if night.dark is None:
        return "No full darkness"
    moonless = f"{night.moonless_hours:.1f} h of it" if night.moonless_hours else "none of it"
    span = f"Dark {at(night.dark.start)} to {at(night.dark.end)}"
    return f"{span}, {night.dark_hours:.1f} h, {moonless} without the Moon"


def _suggestion_lines(place: int, each: Suggestion, zone: ZoneInfo) -> list[Text]:
    head = Text(f"{place:2}  {each.name}", style="bold")
    number = "" if each.name == each.object_id else f" ({each.object_id})"
    head.append(
        f"{number}, {each.kind}: {local_hhmm(each.from_utc, zone)}–"
        f"{local_hhmm(each.to_utc, zone)}, score {each.score:.2f}",
        style="not bold",
    )
    return [head, Text(f"    {'; '.join(each.reasons)}")]
