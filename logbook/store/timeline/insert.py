"""An entry and its details written by plain inserts: a flush costs several times as much.

What is written so is noted in the unit of the session by hand.
"""

from logbook.store.session.units import UnitSession, note_added
from logbook.store.tables.models import Base, EntryRow
from logbook.store.tables.plain_sql import insert_row

_ONE_EACH = ("frames", "turn", "look", "look_detail", "check", "adjustment", "upkeep")
_COLUMNS = {
    mapper.class_: tuple(each.key for each in mapper.column_attrs)
    for mapper in (
        EntryRow.__mapper__,
        *(each.mapper for each in EntryRow.__mapper__.relationships if each.key != "target"),
    )
}


def insert_entry(session: UnitSession, row: EntryRow) -> None:
    """Write an entry with its details and give it its id. `row` stays outside the session."""
    session.flush()
    row.id = _insert(session, row)
    one_each = (row.__dict__.get(name) for name in _ONE_EACH)
    for detail in (*row.readings, *(each for each in one_each if each is not None)):
        detail.entry_id = row.id
        _insert(session, detail)
    note_added(session, row)


def _insert(session: UnitSession, row: Base) -> int:
    given = row.__dict__  # what was set of it: to ask for the rest takes time
    values = {name: given[name] for name in _COLUMNS[type(row)] if given.get(name) is not None}
    return insert_row(session, row.__tablename__, values)
