"""What the demo season's people want and mean: projects, a set of limits, a running order."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from logbook.errors import BadInput
from logbook.records.choosing import OrderItem
from logbook.records.entries import TargetCopy
from logbook.sky.limits.limits_parser import read_limits
from logbook.store.book import Book
from logbook.store.choosing.catalogue_targets import find_target

Instant = Callable[[str], datetime]  # of a local time of that night


@dataclass(frozen=True, slots=True)
class Plan:
    """One thing that was planned, when, and what keeps it in a book."""

    at_utc: datetime
    keep: Callable[[Book], object]


def read_plans(
    tables: dict[str, Any], instants: Callable[[Any, str], Instant], where: str
) -> tuple[Plan, ...]:
    """The plans of a season. Raises BadInput naming `where` for what cannot be saved.

    instants -- gives, for a date and a site's name, what turns its local times into instants.
    """
    try:
        return (
            *(_project(table) for table in tables.get("project", ())),
            *(_limits(table) for table in tables.get("limits", ())),
            *(_order(table, instants) for table in tables.get("order", ())),
        )
    except KeyError as error:
        raise BadInput(f"{where}: {error.args[0]} is missing or unknown") from error
    except BadInput as error:
        raise BadInput(f"{where}: {error}") from error


def _project(table: dict[str, Any]) -> Plan:
    target = _target(table["object"])
    filter_name, hours, note = table["filter"], float(table["hours"]), table.get("note", "")
    return Plan(_at(table), lambda book: book.projects.add(target, filter_name, hours, note))


def _limits(table: dict[str, Any]) -> Plan:
    name, limits = table["name"], read_limits(table["line"])
    return Plan(_at(table), lambda book: book.limit_sets.keep(name, limits))


def _order(table: dict[str, Any], instants: Callable[[Any, str], Instant]) -> Plan:
    site, night = table["site"], table["night"]
    instant = instants(night, site)
    items = [
        OrderItem(
            _target(each["object"]),
            instant(each["from"]),
            instant(each["to"]),
            each.get("note", ""),
        )
        for each in table["items"]
    ]

    def keep(book: Book) -> object:
        return book.running_orders.keep(book.sites.named(site).id, night, items)

    return Plan(_at(table), keep)


def _at(table: dict[str, Any]) -> datetime:
    at: datetime = table["at"]
    return at.astimezone(UTC)


def _target(name: str) -> TargetCopy:
    found = find_target(name)
    if found is None:
        raise BadInput(f"there is no object {name}")
    return found
