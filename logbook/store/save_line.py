"""The one way in which an understood line is saved, wherever it was typed."""

from typing import TYPE_CHECKING

from logbook.entryline.context import Understood
from logbook.entryline.context_of_book import night_for
from logbook.errors import BadInput
from logbook.records.entries import NightRecord
from logbook.records.typed_line import TypedLine

if TYPE_CHECKING:
    from logbook.store.book import Book


def save_line(
    book: "Book",
    understood: Understood,
    *,
    night: NightRecord | None = None,
    typed: TypedLine | None = None,
) -> str:
    """Save a line in the night in progress, or by day if it may be; what was saved, in words.

    A line that completes an earlier entry (`better`, after a turn was logged) takes its place.

    night -- a night that the line is meant for, which may be long over.
    typed -- the draft that the line is no longer. Raises BadInput, NotFound, NotWritten.
    """
    entry, old_id = understood.entry, understood.corrects_entry_id
    if entry is None:
        raise BadInput(understood.problem or "type what happened")
    begins = "Kept" if night is None else f"Added to the night of {night.local_date}"
    said = f"{begins}: {understood.said}"
    if old_id is not None:
        book.timeline.correct(old_id, entry, typed=typed)
        return said
    night_id = night_for(entry, book.nights.open_now()) if night is None else night.id
    book.timeline.keep(night_id, entry, typed=typed)
    return said if night_id is not None else f"{said} · in no night"
