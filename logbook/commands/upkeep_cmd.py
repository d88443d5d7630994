"""Upkeep as text and JSON: what is due, what was done, what is wished for and what to order."""

import json
from collections.abc import Iterator
from datetime import UTC, datetime, tzinfo
from typing import TYPE_CHECKING

from rich.text import Text

from logbook.kit.parts.part import Part
from logbook.kit.parts.spares import HARDWARE, Spare, priced, sizes_of, spare_of, spares, wishes
from logbook.kit.parts.upkeep_cautions import upkeep_cautions
from logbook.records.entries import EntryRecord
from logbook.records.photo_path import photo_remark
from logbook.records.upkeep import Due
from logbook.report.defaults import last_site
from logbook.report.terminal import print_lines
from logbook.report.words.upkeep_words import (
    by_year,
    done_words,
    entry_words,
    head_words,
    percent,
    put_off_words,
    rule_words,
    share_bar,
)
from logbook.sky.night.clock import zone_or_utc

if TYPE_CHECKING:
    from logbook.store.book import Book

NO_RULES = (
    "No rules for upkeep yet. On the page Upkeep (ctrl+n) the key n sets one: every so many "
    "nights, months or hours of use, a step in °C, or after transport."
)
NOTHING_DONE = "Nothing was done yet. As a line: upkeep PART: what was done, 25 min, cost 4.50"
NO_WISHES = "No part is wished for, and no part tells of small hardware."


def print_due(book: "Book", *, every_rule: bool, as_json: bool) -> None:
    """What is due, most pressing first; with `every_rule` all rules, those put off last."""
    found = book.upkeep.due()
    shown = found if every_rule else tuple(each for each in found if each.is_due)
    if as_json:
        _print_json({"due": [due_json(each) for each in shown]})
        return
    zone = _zone(book)
    print_lines([Text(NO_RULES)] if not found else list(_due_lines(found, shown, zone)))


def print_history(book: "Book", part_name: str | None, *, as_json: bool) -> None:
    """What was done, newest first, by years; to everything or to one part. Raises NotFound."""
    history = book.upkeep.history(part_name)
    zone = _zone(book)
    years = by_year(history, zone)
    if as_json:
        told = [
            {"year": each.year, "times": len(each.entries), "minutes": each.minutes,
             "cost": round(each.cost, 2)}
            for each in years
        ]  # fmt: skip
        _print_json({"years": told, "entries": [entry_json(each) for each in history]})
        return
    lines: list[Text] = []
    for year in years:
        lines += [Text(year.words, style="bold"), *_entry_lines(year.entries, zone)]
    print_lines(lines or [Text(NOTHING_DONE)])


def print_wishes(book: "Book", *, as_json: bool) -> None:
    """Parts that are wished for, and small hardware with its sizes."""
    parts = [each.part for each in book.kit.parts()]
    wished, small = wishes(parts), spares(parts)
    if as_json:
        _print_json(
            {
                "wishes": [wish_json(each) for each in wished],
                "spares": [spare_json(each) for each in small],
            }
        )
        return
    names = {each.name for each in wished}  # listed with their sizes among the wishes
    others = tuple(each for each in small if each.part_name not in names or not each.is_part)
    lines = [Text(each) for each in (*wish_lines(wished), *spare_lines(others))]
    print_lines(lines or [Text(NO_WISHES)])


def _zone(book: "Book") -> tzinfo:
    """Of the site used last."""
    site = last_site(book, book.sites.all())
    return zone_or_utc(site.site.time_zone) if site is not None else UTC


def _due_lines(found: tuple[Due, ...], shown: tuple[Due, ...], zone: tzinfo) -> Iterator[Text]:
    yield Text(f"Upkeep: {head_words(found)}.", style="bold")
    for each in shown:
        rule = each.record.rule
        line = Text(f"{share_bar(each.share)} {percent(each.share):>6}  ")
        line.append(each.name, style="bold" if each.is_due else "")
        yield line
        words = ("; ".join(each.reasons), rule_words(rule), done_words(each, zone))
        yield Text(f"{'':19}{'; '.join(filter(None, (*words, put_off_words(each, zone))))}")
        if each.is_due:
            yield from (
                Text(f"{'':19}! {words}") for words in upkeep_cautions(rule.action, rule.part_name)
            )
    if len(shown) < len(found):
        yield Text(f"{len(found) - len(shown)} not due: --all lists every rule.")


def _entry_lines(entries: tuple[EntryRecord, ...], zone: tzinfo) -> Iterator[Text]:
    for each in entries:
        done = each.content.upkeep
        missing = photo_remark(done.photo_path) if done and done.photo_path else ""
        yield Text(f"  {entry_words(each, zone)}{f' ({missing})' if missing else ''}")


def wish_lines(wished: tuple[Part, ...]) -> Iterator[str]:
    """The wish list with its sum."""
    if not wished:
        return
    total, unpriced = priced(wished)
    more = f", and {unpriced} of unknown price" if unpriced else ""
    yield f"Wished for: {len(wished)}, {total:.2f} in all{more}."
    yield from (f"  {wish_words(part)}" for part in wished)


def wish_words(part: Part) -> str:
    """`adapter Tilt ring, 75.00: one corner is never as good`; of small hardware its sizes too."""
    small = f" ({sizes_words(spare_of(part))})" if part.kind == HARDWARE else ""
    reason = f": {part.reason}" if part.reason else ""
    return f"{part.kind} {part.name}{small}, {price_words(part)}{reason}"


def price_words(part: Part) -> str:
    return "price not known" if part.price is None else f"{part.price:.2f}"


def spare_lines(small: tuple[Spare, ...]) -> Iterator[str]:
    """Small hardware with what is known of its sizes."""
    if small:
        yield "Small hardware and its sizes, as far as the book knows:"
    for each in small:
        yield f"  {spare_words(each)}"


def spare_words(spare: Spare) -> str:
    """`Secondary grub screw: thread M3x0.5, shaft length 6 mm; 2 in stock`."""
    name = spare.part_name if spare.is_part else f"{spare.part_name}, {spare.what}"
    note = f" ({spare.note})" if spare.note else ""
    return f"{name}: {sizes_words(spare)}{note}"


def sizes_words(spare: Spare) -> str:
    """What is known of its sizes, what is not, where it goes and how many there are."""
    pieces = [", ".join(spare.sizes) or "no size known"]
    if spare.not_known:
        pieces.append(f"not known: {', '.join(spare.not_known)}")
    if spare.goes_on and spare.is_part:
        pieces.append(f"goes on {spare.goes_on}")
    if spare.stock is not None:
        pieces.append(f"{spare.stock} in stock" if spare.stock else "none in stock")
    return "; ".join(pieces)


# JSON


def due_json(due: Due) -> dict[str, object]:
    """A rule and how far it has come."""
    rule = due.record.rule
    return {
        "part": rule.part_name,
        "action": rule.action,
        "every_nights": rule.every_nights,
        "every_months": rule.every_months,
        "every_hours_of_use": rule.every_hours_of_use,
        "every_step_c": rule.every_step_c,
        "after_transport": rule.after_transport,
        "share": round(due.share, 4),
        "is_due": due.is_due,
        "reasons": list(due.reasons),
        "last_done_utc": _instant(due.last_done_utc),
        "put_off_until_utc": _instant(due.snoozed_until_utc),
        "cautions": list(upkeep_cautions(rule.action, rule.part_name)),
    }


def entry_json(record: EntryRecord) -> dict[str, object]:
    """One piece of work that was done."""
    done = record.content.upkeep
    told: dict[str, object] = {"happened_utc": _instant(record.content.happened_utc)}
    if done is not None:
        told |= {
            "part": done.part_name,
            "action": done.action,
            "minutes": done.minutes,
            "cost": done.cost,
            "before": done.before,
            "after": done.after,
            "photo_path": done.photo_path,
        }
    return told | {"text": record.content.text}


def wish_json(part: Part) -> dict[str, object]:
    return {
        "name": part.name,
        "kind": part.kind,
        "price": part.price,
        "reason": part.reason,
        "sizes": list(sizes_of(part)),
        "link": part.link,
    }


def spare_json(spare: Spare) -> dict[str, object]:
    return {
        "part": spare.part_name,
        "what": spare.what,
        "goes_on": spare.goes_on,
        "sizes": list(spare.sizes),
        "not_known": list(spare.not_known),
        "stock": spare.stock,
        "note": spare.note,
    }


def _instant(at: datetime | None) -> str | None:
    return None if at is None else f"{at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


def _print_json(told: object) -> None:
    print(json.dumps(told, ensure_ascii=False, indent=2))
