"""What the Upkeep page asks the book to do with rules and parts."""

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from logbook.kit.parts.part import Part
from logbook.kit.parts.spares import HARDWARE, WISHED
from logbook.records.entries import PartRecord
from logbook.records.upkeep import Due, UpkeepRule
from logbook.screen.services.run_job import Job

if TYPE_CHECKING:
    from logbook.store.book import Book


def add_rule(rule: UpkeepRule) -> Job:
    def job(book: "Book") -> str:
        book.upkeep.add(rule)
        return f"Kept: the rule {rule.action}. It counts from now on."

    return job


def change_rule(due: Due, rule: UpkeepRule) -> Job:
    def job(book: "Book") -> str:
        book.upkeep.change(due.record.id, rule)
        return f"Kept: the rule {rule.action}, in place of the old one."

    return job


def retire_rule(due: Due) -> Job:
    def job(book: "Book") -> str:
        book.upkeep.retire(due.record.id)
        return f"Kept: the rule {due.name} is retired. What was done stays in the history."

    return job


def put_off(due: Due, until_utc: datetime, day: str) -> Job:
    def job(book: "Book") -> str:
        book.upkeep.snooze(due.record.id, until_utc)
        return f"Kept: {due.name} is put off until {day}."

    return job


def take_up(due: Due) -> Job:
    """End a pause."""

    def job(book: "Book") -> str:
        book.upkeep.wake(due.record.id)
        return f"Kept: {due.name} counts again."

    return job


def is_here(record: PartRecord, price: float | None, stock: int | None, why: str) -> Job:
    """A part that was wished for has come."""
    part = replace(record.part, state="owned", reason="", price=price)
    if stock is not None and part.kind == HARDWARE:
        part = part.with_number("stock_count", float(stock))
    return _revised(record, part, why or "bought", f"Kept: {part.name} is here.")


def order(record: PartRecord, why: str) -> Job:
    """A part is wished for, once more or at last."""
    part = replace(record.part, state=WISHED, reason=why)
    return _revised(record, part, why or "to be ordered", f"Kept: {part.name} is wished for.")


def _revised(record: PartRecord, part: Part, why: str, words: str) -> Job:
    def job(book: "Book") -> str:
        book.kit.revise_part(record.id, part, why)
        return words

    return job
