"""What was saved, in the words that an undo says."""

from sqlalchemy.orm import Session

from logbook.entryline.format import spell
from logbook.sky.night.clock import local_hhmm, zone_or_utc
from logbook.store.tables.convert import content_of
from logbook.store.tables.models import EntryRow
from logbook.store.timeline.rows import night_used


def entry_words(session: Session, entry: EntryRow) -> str:
    """An entry as it was typed, with the local time of its night."""
    words = entry.text or spell(content_of(entry, None))
    if entry.night_id is None:
        return words
    zone = zone_or_utc(night_used(session, entry.night_id).time_zone)
    return f"{words} · {local_hhmm(entry.happened_utc, zone)}"


def spoken(session: Session, entry: EntryRow, old: EntryRow | None) -> str:
    """What was done by an entry: written, put in the place of another, or taken out."""
    if old is None:
        return entry_words(session, entry)
    if entry.kind == "withdrawn":
        return f"the withdrawal of {entry_words(session, old)}"
    if entry.night_id != old.night_id:
        return f"the move of {entry_words(session, old)}"
    return f"the correction of {entry_words(session, old)} to {entry_words(session, entry)}"
