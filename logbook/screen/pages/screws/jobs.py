"""What the Screws page has done beside the screen: jobs of the writer, calculations of workers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from logbook.records.entries import EntryRecord, Turn
from logbook.screen.services.run_job import Job
from logbook.startest.screws.advice import Doubt

if TYPE_CHECKING:
    from logbook.screen.pages.screws.calculations import Calculations
    from logbook.store.book import Book


def it_was(records: Sequence[EntryRecord], change: Callable[[Turn], Turn | None], said: str) -> Job:
    """The user answers that logged turns were others: each is corrected, its old text stays.

    change -- what a turn was; None for one that moved nothing, which is taken out.
    """

    def job(book: Book) -> str:
        with book.writing(f"the answer that it was {said}"):
            for record in records:
                turn = record.content.turn
                was = change(turn) if turn is not None else None
                if was is None:
                    book.timeline.withdraw(record.id)
                elif was != turn:
                    text = f"{record.content.text} (it was {said})"
                    book.timeline.correct(record.id, replace(record.content, turn=was, text=text))
        return f"Corrected, the old text is kept: it was {said}"

    return job


def job_of_yes(doubt: Doubt, tonight: Sequence[EntryRecord]) -> Job:
    """What it comes to when the user says yes: the turn in doubt, or all of tonight's."""
    records = [each for each in tonight if doubt.entry_id in (None, each.id)]
    if doubt.kind == "other way":
        return it_was(records, lambda turn: replace(turn, turns=-turn.turns), "the other way")
    if doubt.kind == "slips":
        return it_was(records, _without(doubt.screw), f"a slip of {doubt.screw}, nothing moved")
    swap = {doubt.screw: doubt.instead or doubt.screw}
    said = f"{doubt.instead}, not {doubt.screw}"
    if doubt.kind == "labels":
        swap[doubt.instead or doubt.screw] = doubt.screw
        said = f"{doubt.instead} and {doubt.screw} swapped"
    return it_was(records, lambda turn: replace(turn, screw=swap.get(turn.screw, turn.screw)), said)


def _without(screw: str) -> Callable[[Turn], Turn | None]:
    return lambda turn: None if turn.screw == screw else turn


# --- in worker threads ---


def calculations() -> type[Calculations]:
    """What the page and its sheets calculate. Imported at first use, in a worker thread."""
    from logbook.screen.pages.screws.calculations import Calculations

    return Calculations


def is_picture(name: str) -> bool:
    """Whether a file's name says that it is a picture; for workers."""
    return calculations().is_picture(name)
