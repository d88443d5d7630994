"""What an entry becomes when its words are changed: only what the changed words speak of.

An entry may hold more than its words say: the object that ran when it was logged, a picture's
numbers, a file's headers. What is read the same from the old words and from the new stays its own.
"""

from collections.abc import Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any

from logbook.entryline.context import Surroundings
from logbook.entryline.times import moment_of, without_time
from logbook.entryline.tokens import plain
from logbook.records.entries import EntryRecord, NewEntry
from logbook.text import clean


def before_entry(timeline: Sequence[EntryRecord], record: EntryRecord) -> tuple[EntryRecord, ...]:
    """What had happened when an entry did, without the entry itself."""
    place = (record.content.happened_utc, record.id)
    return tuple(each for each in timeline if (each.content.happened_utc, each.id) < place)


def retimed(own: NewEntry, line: str, typed: str, around: Surroundings) -> NewEntry | None:
    """`own` at another time or with another remark, where `typed` differs in no more from `line`.

    So a line that no reader reads, such as that of a picture, may be moved. Raises Unclear.
    """
    if _words(line) != _words(typed):
        return None
    text = clean(typed)
    old, new = moment_of(plain(line), around), moment_of(plain(text), around)
    same = old.happened_utc == new.happened_utc
    return replace(own, happened_utc=own.happened_utc if same else new.happened_utc, text=text)


def _words(line: str) -> list[str]:
    return without_time(plain(line)).partition(";")[0].split()


def corrected(own: NewEntry, before: NewEntry | None, after: NewEntry) -> NewEntry:
    """`own` as its changed words make it.

    before, after -- what the old and the new words are read as, both in the surroundings that the
    entry had; None if the old words mean nothing.
    """
    if before is None or not own.kind == before.kind == after.kind:
        same_time = before is not None and before.happened_utc == after.happened_utc
        return replace(after, happened_utc=own.happened_utc) if same_time else after
    made = _merged(own, before, after)
    assert isinstance(made, NewEntry)
    readings = _readings(dict(own.readings), dict(before.readings), dict(after.readings))
    return replace(made, text=after.text, readings=tuple(readings.items()))


def _merged(own: Any, before: Any, after: Any) -> Any:
    """`own` with all that differs between `before` and `after`, field by field."""
    if before == after:
        return own
    whole = is_dataclass(own) and not isinstance(own, type)
    if not whole or type(before) is not type(own) or type(after) is not type(own):
        return after
    names = [each.name for each in fields(own)]
    made = {
        name: _merged(getattr(own, name), getattr(before, name), getattr(after, name))
        for name in names
    }
    return replace(own, **made)


def _readings(
    own: dict[str, float], before: dict[str, float], after: dict[str, float]
) -> dict[str, float]:
    """Numbers of `own`, less those taken out of its words, with those put in or changed."""
    kept = {name: number for name, number in own.items() if name in after or name not in before}
    changed = {name: number for name, number in after.items() if before.get(name) != number}
    return kept | changed
