"""Words that the user typed beside the timeline: in the kit, the sites, the plans.

These tables are small, so they are read whole and looked through by the same rule as the index.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from logbook.records.search import Elsewhere
from logbook.store.search.day_zone import day_zone
from logbook.store.search.words import Looked
from logbook.store.tables.former_names import What, former_names
from logbook.store.tables.models import (
    EntryRow,
    LimitSetRow,
    NightRow,
    PartRevisionRow,
    PartRow,
    PartValueRow,
    ProjectRow,
    RunningOrderItemRow,
    RunningOrderRow,
    SiteRow,
    TargetRow,
    TrainRevisionRow,
    TrainRow,
    UpkeepRow,
    UpkeepRuleRow,
)
from logbook.store.timeline.night_sums import is_current, night_stands
from logbook.text import clean

MOST = 50


@dataclass(frozen=True, slots=True)
class _Page:
    """What is written of one thing at one time: texts by what they are."""

    found: Elsewhere  # without its text
    texts: tuple[tuple[str, str], ...]


def elsewhere(session: Session, words: tuple[str, ...]) -> tuple[Elsewhere, ...]:
    """Where all of the words stand in what is written of one thing; of a thing the newest only."""
    looked = Looked(words)
    found: dict[tuple[str, object], Elsewhere] = {}
    for page in _pages(session):
        if looked.holds(" ".join(text for _, text in page.texts)):
            key = (page.found.kind, page.found.id or page.found.name)
            found[key] = _told(page, looked)
    return tuple(found.values())[:MOST]


def _told(page: _Page, looked: Looked) -> Elsewhere:
    """The thing with the one of its texts that holds most of the words."""
    what, text = max(page.texts, key=lambda each: looked.count(each[1]))
    return replace(page.found, what=what, text=clean(text))


def _pages(session: Session) -> Iterator[_Page]:
    """Everything that is written, oldest revisions first."""
    for pages in (_parts, _trains, _sites, _observers, _projects, _plans, _upkeep, _rules, _limits):
        yield from pages(session)


def _texts(row: Any, **names: str) -> tuple[tuple[str, str], ...]:
    """Those of a row's columns that hold words, by what they are called."""
    return tuple((what, getattr(row, name)) for name, what in names.items() if getattr(row, name))


def _day(instant: Any) -> date:
    day: date = instant.date()
    return day


def _parts(session: Session) -> Iterator[_Page]:
    columns = (
        PartRevisionRow.id,
        PartRevisionRow.part_id,
        PartRevisionRow.name,
        PartRevisionRow.reason,
        PartRevisionRow.note,
        PartRevisionRow.change_note,
        PartRevisionRow.link,
        PartRevisionRow.changed_utc,
        PartRow.kind,
    )
    statement = select(*columns).join(PartRow, PartRow.id == PartRevisionRow.part_id)
    rows = session.execute(statement.order_by(PartRevisionRow.part_id, PartRevisionRow.revision))
    revisions = rows.all()
    newest = {row.part_id: row for row in revisions}
    values = _part_values(session)
    for row in revisions:
        texts = _texts(
            row,
            note="note",
            reason="reason",
            change_note="why it was changed",
            link="link",
            kind="kind of part",
            name="name",
        )
        now = newest[row.part_id]
        told = Elsewhere(
            "part",
            now.name,
            "",
            "",
            row.part_id,
            as_of=_day(row.changed_utc),
            is_now=row.id == now.id,
        )
        yield _Page(told, texts + tuple(values.get(row.id, ())))


def _part_values(session: Session) -> dict[int, list[tuple[str, str]]]:
    """Words among the values of parts, and how they were measured, by revision."""
    columns = (
        PartValueRow.part_revision_id,
        PartValueRow.quantity,
        PartValueRow.word,
        PartValueRow.how,
    )
    worded = (PartValueRow.word.is_not(None)) | (PartValueRow.how != "")
    found: dict[int, list[tuple[str, str]]] = {}
    for revision_id, quantity, word, how in session.execute(select(*columns).where(worded)):
        texts = found.setdefault(revision_id, [])
        named = quantity.replace("_", " ")
        texts += [(named, word)] if word else []
        texts += [(f"how its {named} was found", how)] if how else []
    return found


def _trains(session: Session) -> Iterator[_Page]:
    columns = (
        TrainRevisionRow.id,
        TrainRevisionRow.train_id,
        TrainRevisionRow.note,
        TrainRevisionRow.made_utc,
        TrainRow.name,
    )
    statement = select(*columns).join(TrainRow, TrainRow.id == TrainRevisionRow.train_id)
    rows = session.execute(statement.order_by(TrainRevisionRow.train_id, TrainRevisionRow.revision))
    revisions = rows.all()
    newest = {row.train_id: row.id for row in revisions}
    former = _former(session, "train")
    for row in revisions:
        is_now = newest[row.train_id] == row.id
        told = Elsewhere(
            "train", row.name, "", "", row.train_id, as_of=_day(row.made_utc), is_now=is_now
        )
        yield _Page(told, _texts(row, note="note", name="name") + former.get(row.train_id, ()))


def _sites(session: Session) -> Iterator[_Page]:
    nights = _last_nights(session, NightRow.site_id)
    former = _former(session, "site")
    for row in session.scalars(select(SiteRow).order_by(SiteRow.id)):
        night_id, night = nights.get(row.id, (None, None))
        told = Elsewhere("site", row.name, "", "", row.id, night_id, night)
        yield _Page(told, _texts(row, note="note", name="name") + former.get(row.id, ()))


def _former(session: Session, what: What) -> dict[int, tuple[tuple[str, str], ...]]:
    """What trains or sites were called before, by their id."""
    found: dict[int, tuple[tuple[str, str], ...]] = {}
    for each in former_names(session):
        if each.what == what:
            found[each.row_id] = (*found.get(each.row_id, ()), ("name before", each.name))
    return found


def _observers(session: Session) -> Iterator[_Page]:
    for name, (night_id, night) in _last_nights(session, NightRow.observer).items():
        told = Elsewhere("observer", name, "", "", None, night_id, night)
        yield _Page(told, (("observer", name),))


def _last_nights(session: Session, column: Any) -> dict[Any, tuple[int, date]]:
    """The last night of each value of a column that isn't empty."""
    newest = func.max(NightRow.local_date)  # SQLite takes the other columns from that row
    statement = select(column, NightRow.id, newest).where(column != "", night_stands())
    return {
        value: (night_id, date.fromisoformat(str(day)))
        for value, night_id, day in session.execute(statement.group_by(column))
    }


def _projects(session: Session) -> Iterator[_Page]:
    statement = select(
        ProjectRow.id,
        ProjectRow.note,
        ProjectRow.filter_name,
        ProjectRow.created_utc,
        ProjectRow.retired_utc,
        TargetRow.name,
    ).join(TargetRow, TargetRow.id == ProjectRow.target_id)
    for row in session.execute(statement.order_by(ProjectRow.id)):
        told = Elsewhere(
            "project",
            row.name,
            "",
            "",
            row.id,
            as_of=_day(row.created_utc),
            is_now=row.retired_utc is None,
        )
        yield _Page(told, _texts(row, note="note", filter_name="filter", name="object"))


def _plans(session: Session) -> Iterator[_Page]:
    """Remarks in running orders."""
    statement = (
        select(RunningOrderItemRow.note, RunningOrderRow.local_date, TargetRow.name, NightRow.id)
        .join(RunningOrderRow, RunningOrderRow.id == RunningOrderItemRow.running_order_id)
        .join(TargetRow, TargetRow.id == RunningOrderItemRow.target_id)
        .outerjoin(
            NightRow,
            (NightRow.local_date == RunningOrderRow.local_date)
            & (NightRow.site_id == RunningOrderRow.site_id),
        )
        .where(RunningOrderItemRow.note != "")
        .order_by(RunningOrderRow.id)
    )
    for row in session.execute(statement):
        name = f"{row.name}, {row.local_date}"
        told = Elsewhere("plan", name, "", "", None, row.id, row.local_date, as_of=row.local_date)
        yield _Page(told, (("remark", row.note),))


def _upkeep(session: Session) -> Iterator[_Page]:
    """How a part was before and after work on it, where the line of the timeline does not say."""
    unsaid = (
        (func.instr(EntryRow.text, func.coalesce(UpkeepRow.before, "")) == 0)
        | (func.instr(EntryRow.text, func.coalesce(UpkeepRow.after, "")) == 0)
        | (func.instr(EntryRow.text, UpkeepRow.action) == 0)
    )
    statement = (
        select(
            UpkeepRow.entry_id,
            UpkeepRow.part_name,
            UpkeepRow.action,
            UpkeepRow.before,
            UpkeepRow.after,
            EntryRow.night_id,
            EntryRow.happened_utc,
            NightRow.local_date,
        )
        .join(EntryRow, EntryRow.id == UpkeepRow.entry_id)
        .outerjoin(NightRow, NightRow.id == EntryRow.night_id)
        .where(EntryRow.kind == "upkeep", unsaid, is_current())
    )
    zone = day_zone(session)
    for row in session.execute(statement):
        day = row.local_date or row.happened_utc.astimezone(zone).date()
        name = f"{row.part_name or 'the kit'}, {day}"
        told = Elsewhere(
            "upkeep", name, "", "", row.entry_id, row.night_id, row.local_date, row.entry_id, day
        )
        yield _Page(told, _texts(row, action="work", before="before", after="after"))


def _rules(session: Session) -> Iterator[_Page]:
    statement = select(UpkeepRuleRow).order_by(UpkeepRuleRow.id)
    for row in session.scalars(statement):
        told = Elsewhere(
            "rule",
            row.action,
            "",
            "",
            row.id,
            as_of=_day(row.created_utc),
            is_now=row.retired_utc is None,
        )
        yield _Page(told, (("upkeep that falls due", row.action),))


def _limits(session: Session) -> Iterable[_Page]:
    for row in session.scalars(select(LimitSetRow).where(LimitSetRow.retired_utc.is_(None))):
        told = Elsewhere("limits", row.name, "", "", row.id)
        yield _Page(told, (("name", row.name),))
