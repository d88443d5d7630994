"""Asking and keeping: the jobs that write in a book, as the screen gives them to the writer.

A job returns what to say of it; `jobs.run_job` writes it whole and reads the book anew.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime
from functools import partial
from typing import TYPE_CHECKING

from logbook.entryline.context import Understood
from logbook.errors import BadInput, LogbookError
from logbook.screen.services.run_job import Asks, Job, Saved
from logbook.store.file.backups import back_up_night, night_copy_words
from logbook.store.save_line import save_line

if TYPE_CHECKING:
    from logbook.records.entries import NewEntry, NightRecord
    from logbook.records.typed_line import TypedLine
    from logbook.store.book import Book
    from logbook.store.undo.take_back import Step


_SAID_FIRST = re.compile(r"^(?:Saved|Kept|Kept in the running order): ")
_NEXT_SENTENCE = re.compile(r"(?<=\w\w)\. (?=[A-Z]|[a-z] )")  # `R. Quill` goes on


def keep_understood(
    understood: Understood, typed: TypedLine | None = None, night: NightRecord | None = None
) -> Job:
    """Save an understood line: in that night, else where it belongs by now."""

    def job(book: Book) -> str:
        return save_line(book, understood, night=night, typed=typed)

    return job


def keep_entry(entry: NewEntry, said: str) -> Job:
    """Save an entry that was not typed, by the same rules as a line."""
    return keep_understood(Understood(entry, said))


def correct_entry(entry_id: int, entry: NewEntry, spoken: str) -> Job:
    def job(book: Book) -> str:
        book.timeline.correct(entry_id, entry)
        return f"Corrected, the old text is kept: {spoken}"

    return job


def move_entry(entry_id: int, entry: NewEntry, spoken: str, night: NightRecord) -> Job:
    """Give an entry to another night."""

    def job(book: Book) -> str:
        book.timeline.correct(entry_id, entry, night_id=night.id)
        return f"Moved to the night of {night.local_date}; F8 brings it back: {spoken}"

    return job


def bump_frames(book: Book) -> str:
    """One more on the count of the frames logged last; the old count stays in the history."""
    from logbook.entryline.format import spell_frames

    night = book.nights.in_progress()
    timeline = book.timeline.of_night(night.id) if night else ()
    last = next((each for each in reversed(timeline) if each.content.frames), None)
    if last is None or last.content.frames is None:
        raise BadInput("No frames are logged yet tonight, so there is nothing to count up.")
    frames = replace(last.content.frames, count=last.content.frames.count + 1)
    remark = last.content.text.partition(";")[2]
    text = spell_frames(frames).split(" (")[0] + (f";{remark}" if remark else "")
    book.timeline.correct(last.id, replace(last.content, frames=frames, text=text))
    return f"Corrected, the old count is kept: {spell_frames(frames)}"


def withdraw_entry(entry_id: int) -> Job:
    def job(book: Book) -> str:
        book.timeline.withdraw(entry_id)
        return "Withdrawn. Its text is kept in the history; F8 brings it back."

    return job


def take_back_last(book: Book) -> str | Asks:
    """Take back what this run of the program saved last; ask before anything older."""
    step = book.units.last()
    if step is None:
        return "Nothing is left to take back."
    if not step.own:
        return Asks(step)
    return _taken_back(book, step)


def take_back(step: Step) -> Job:
    """Take back something older, once the user agreed."""
    return lambda book: _taken_back(book, step)


def _taken_back(book: Book, step: Step) -> str:
    words = book.units.take_back(step)
    return f"Taken back: {first_clause(words or '')}. ctrl+y does it again."


def first_clause(words: str) -> str:
    """What was saved, from the words shown then: to follow `Taken back: `."""
    what = _SAID_FIRST.sub("", words)
    return (what if what == words else _NEXT_SENTENCE.split(what)[0]).removesuffix(".")


def do_again(book: Book) -> str:
    words = book.units.do_again()
    return "Nothing to do again." if words is None else f"Done again: {first_clause(words)}."


def start_night(
    site_id: int,
    train_id: int | None,
    observer: str,
    at: datetime,
    conditions: NewEntry | None = None,
) -> Job:
    """Begin a night, and log what was typed of the sky as its first entry."""

    def job(book: Book) -> str:
        night = book.nights.start(site_id, train_id, observer, at)
        if conditions is not None:
            book.timeline.keep(night.id, conditions)
        book.choices.put("site", night.site.name)
        if night.train is not None:
            book.choices.put("train", night.train.train.name)
        return f"Kept: the night of {night.local_date} has begun."

    return job


def end_night(
    night_id: int,
    at: datetime,
    last_entries: Sequence[NewEntry] = (),
    corrected: tuple[int, NewEntry] | None = None,
) -> Job:
    """End a night, after the entries that were still missing."""

    def job(book: Book) -> Saved:
        night = book.nights.get(night_id)
        with book.writing(f"the end of the night of {night.local_date}"):
            if corrected is not None:
                book.timeline.correct(*corrected)
            for entry in last_entries:
                book.timeline.keep(night_id, entry)
            book.nights.end(night_id, at)
        copy = partial(_copy_words, book, night.local_date)
        return Saved(f"Kept: the night of {night.local_date} has ended.", copy)

    return job


def _copy_words(book: Book, night: date, go_on: Callable[[], bool]) -> str:
    """Copy the book after a night. The night has ended, whether or not the copy could be made."""
    try:
        return night_copy_words(back_up_night(book.path, night, go_on=go_on))
    except LogbookError as error:
        return str(error)


def choose(name: str, value: str) -> Job:
    """Remember a chosen site or train."""

    def job(book: Book) -> str:
        book.choices.put(name, value)
        return f"Chosen {name}: {value}"

    return job
