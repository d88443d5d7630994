"""The `tonight` command. What prints text is brought in only when text is wanted."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING

from logbook.commands import plan as plan_page
from logbook.errors import BadInput, NotFound
from logbook.report.defaults import chosen_date, chosen_site, chosen_train
from logbook.report.terminal import print_lines
from logbook.report.words.tonight_text import tonight_lines
from logbook.sky.framing.field_of_view import view_of
from logbook.sky.limits.limits_parser import read_limits
from logbook.sky.ranking import tonight as sky_tonight
from logbook.sky.ranking.tonight import Tonight, tonight
from logbook.store.ranking_facts import facts_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rich.text import Text

    from logbook.records.choosing import RunningOrderRecord
    from logbook.sky.limits.limits import Limits
    from logbook.store.book import Book

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
    night = chosen_date(date_typed, site)
    view = view_of(train.train if train else None)
    usual = PLANNED if plan else LISTED
    answer = tonight(site.site, view, night, limits, facts=facts_of(book), most=most or usual)
    if plan:
        _print_plan(answer, book.running_orders.newest(site.id, night), as_json=as_json)
    elif as_json:
        _print_json(sky_tonight.as_json(answer))
    else:
        _print_text(tonight_lines(answer))


def _print_plan(answer: Tonight, kept: RunningOrderRecord | None, *, as_json: bool) -> None:
    """The order saved last; without one, an order of the suggestions."""
    order = plan_page.order_of(answer, kept)
    if as_json:
        _print_json(plan_page.plan_json(answer, order, kept=kept is not None))
    else:
        _print_text(plan_page.plan_lines(answer, order, kept=kept is not None))


def _print_text(lines: Iterable[Text]) -> None:
    print_lines(lines)


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
