"""One part: what it was at each revision, what was done to it, where and how long it served."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from logbook.entryline.format import counted, total_words
from logbook.kit.parts.kinds import KINDS
from logbook.kit.parts.part import Part, Value
from logbook.records.entries import EntryRecord, PartRecord, TrainRecord
from logbook.records.history import NightPlace, PartUse
from logbook.report.pages.object import dated
from logbook.report.render.document import (
    Facts,
    Listing,
    Paper,
    Photo,
    Table,
    Words,
    section,
    without_empty,
)
from logbook.report.render.keys import PageKey
from logbook.report.render.phrases import day, night_key
from logbook.report.render.sketches import photos

if TYPE_CHECKING:
    from logbook.store.book import Book

_MOST_NIGHTS = 6


@dataclass(frozen=True, slots=True)
class PartPage:
    """A part through its life. `revisions` oldest first, `trains` as they stand now.

    nights -- the newest ones it was out in.
    """

    page_kind: ClassVar[str] = "part"

    revisions: tuple[PartRecord, ...]
    use: PartUse
    trains: tuple[TrainRecord, ...]
    upkeep: tuple[EntryRecord, ...]
    since_upkeep: PartUse | None
    nights: tuple[NightPlace, ...]

    @property
    def now(self) -> PartRecord:
        return self.revisions[-1]


def load(book: "Book", key: PageKey) -> PartPage:
    """A part by its name, or its number in the book. Raises NotFound naming the parts."""
    record = book.kit.part_named(key.name) if key.id is None else book.kit.part(key.id)
    upkeep = book.past.upkeep_of(record.id)
    since = book.past.part_use(record.id, upkeep[-1].content.happened_utc) if upkeep else None
    holding = set(book.past.revisions_with(record.id))
    nights = book.past.nights_through(tuple(holding))[-_MOST_NIGHTS:]
    trains = tuple(
        each
        for each in book.kit.trains(include_retired=True)
        if any(past.revision_id in holding for past in book.kit.train_history(each.id))
    )
    return PartPage(
        book.kit.part_history(record.id),
        book.past.part_use(record.id),
        trains,
        upkeep,
        since,
        book.past.places_of(nights),
    )


def render(data: PartPage) -> Paper:
    """The page: use, values as they changed, upkeep, trains."""
    part = data.now.part
    sections = (
        section("", _head(data), *_photo(part)),
        section("Values", _values(data), *_changes(data)),
        section("Upkeep", *_upkeep(data), *photos(data.upkeep)),
        section("Trains it was in", _trains(data)),
    )
    links = [PageKey("train", each.train.name, each.id) for each in data.trains]
    links += [night_key(each) for each in reversed(data.nights)]
    key = PageKey("part", part.name, data.now.id)
    return Paper(key, part.name, without_empty(sections), tuple(links))


def _photo(part: Part) -> list[Photo]:
    return [Photo(part.name, part.photo_path)] if part.photo_path else []


def _head(data: PartPage) -> Facts:
    part, use = data.now.part, data.use
    rows = [
        ("kind", part.kind),
        ("state", part.state),
        ("why", part.reason),
        ("note", part.note),
        ("link", part.link),
    ]
    if use.first and use.last:
        rows.append(
            ("used", f"{counted(use.nights, 'night')}, {day(use.first)} to {day(use.last)}")
        )
        rows.append(("exposed", f"{total_words(3600.0 * use.exposed_hours)} of frames through it"))
        rows.append(
            ("out", f"{total_words(3600.0 * use.out_hours)} from start to end of those nights")
        )
    else:
        rows.append(("used", "in no night yet"))
    return Facts(tuple((label, value) for label, value in rows if value))


def _values(data: PartPage) -> Table | None:
    """Each value over the revisions; a column for each in which a value changed."""
    kind = KINDS.get(data.now.part.kind)
    names = dict.fromkeys(
        (each.quantity, each.basis) for record in data.revisions for each in record.part.values
    )
    if not names:
        return None
    shown = _told_revisions(data)
    rows = []
    for quantity, basis in names:
        known = kind.quantity(quantity) if kind else None
        label = known.label if known else quantity.replace("_", " ")
        unit = f", {known.unit}" if known and known.unit else ""
        cells = [_cell(record.part, quantity, basis) for record in shown]
        rows.append((f"{label}{unit}", basis, *cells))
    columns = ("value", "", *(f"revision {each.revision}" for each in shown))
    return Table("", columns, tuple(rows), tuple(range(2, len(columns))))


def _told_revisions(data: PartPage) -> tuple[PartRecord, ...]:
    """The first, the last and those with other values; the newest five."""
    told = [data.revisions[0]]
    for record in data.revisions[1:]:
        if record.part.values != told[-1].part.values:
            told.append(record)
    return tuple(told[-5:])


def _cell(part: Part, quantity: str, basis: str) -> str:
    found: Value | None = next(
        (each for each in part.values if (each.quantity, each.basis) == (quantity, basis)), None
    )
    if found is None:
        return ""
    return (found.word or "") if found.number is None else f"{found.number:g}"


def _changes(data: PartPage) -> list[Listing]:
    how: dict[str, int] = {}
    for record in data.revisions:
        for value in record.part.values:
            on = f" on {value.measured_on}" if value.measured_on else ""
            if value.how:
                words = f"{value.quantity.replace('_', ' ')}, {value.basis}: {value.how}{on}"
                how.setdefault(words, record.revision)
    items = tuple(f"revision {revision}: {words}" for words, revision in how.items())
    return [Listing(items)] if items else []


def _upkeep(data: PartPage) -> list[Listing | Words]:
    if not data.upkeep:
        return []
    found: list[Listing | Words] = [Listing(tuple(dated(each) for each in data.upkeep))]
    if data.since_upkeep is not None:
        since = data.since_upkeep
        nights = counted(since.nights, "night")
        words = (
            f"Since the last time: {nights}, {total_words(3600.0 * since.exposed_hours)} exposed."
        )
        found.append(Words(words))
    return found


def _trains(data: PartPage) -> Listing | None:
    if not data.trains:
        return None
    items = []
    for record in data.trains:
        now = data.now.id in (*record.part_ids, *record.carried_ids)
        items.append(f"{record.train.name}: {'in it' if now else 'was in it, not now'}")
    return Listing(tuple(items))
