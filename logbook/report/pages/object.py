"""One object over all nights: what was exposed of it, when it went best, what stood in the way."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from logbook.entryline.format import counted, spell, total_words
from logbook.errors import NotFound
from logbook.records.entries import EntryRecord, TargetCopy, TrainRecord
from logbook.records.history import Exposed, NightPlace, Spread
from logbook.report.pages.night_facts import SEEING, of_ten
from logbook.report.render.document import (
    Facts,
    Line,
    Listing,
    Paper,
    Plot,
    StarSketch,
    Table,
    section,
    without_empty,
)
from logbook.report.render.keys import PageKey
from logbook.report.render.phrases import day, night_key, number, span_ticks
from logbook.report.render.sketches import framing_of, star_sketches
from logbook.store.choosing.catalogue_targets import find_target
from logbook.text import clean, fold

if TYPE_CHECKING:
    from logbook.store.book import Book

_MOST_ROWS = 40
_MOST_LINES = 30
_READ = ("fwhm_arcsec", "sky_mag_arcsec2", "transparency_of_five", *SEEING)
_NO_FILTER = "no filter named"


@dataclass(frozen=True, slots=True)
class FilterSum:
    """What was exposed through one filter ("" where none was named)."""

    filter_name: str
    frames: int
    seconds: float
    nights: int


@dataclass(frozen=True, slots=True)
class NightOfObject:
    """One night of an object: what was exposed and what the night was like."""

    place: NightPlace
    frames: int
    seconds: float
    filters: tuple[str, ...]
    width_arcsec: float | None
    seeing_of_ten: float | None
    sky_mag_arcsec2: float | None


@dataclass(frozen=True, slots=True)
class ObjectPage:
    """An object of the book. `entries` are focus, trouble, star tests and turns of its nights."""

    page_kind: ClassVar[str] = "object"

    target: TargetCopy
    filters: tuple[FilterSum, ...]
    nights: tuple[NightOfObject, ...]
    best: NightOfObject | None
    trains: tuple[str, ...]
    entries: tuple[EntryRecord, ...]
    last_train: TrainRecord | None
    first: date | None
    last: date | None

    @property
    def seconds(self) -> float:
        return sum(each.seconds for each in self.filters)


def load(book: "Book", key: PageKey) -> ObjectPage:
    """An object by any usual name. Raises NotFound, naming the objects of the book."""
    target_id, target = _named(book, key.name)
    exposed = book.past.frames_of_target(target_id)
    ids = set(book.past.nights_of_target(target_id))
    ids |= {each.night_id for each in exposed if each.night_id is not None}
    places = book.past.places_of(ids)
    read = book.past.spreads_of(_READ, ids)
    nights = tuple(_night(each, exposed, read.get(each.id, {})) for each in places)
    trains = {each.train_name: None for each in places if each.train_name}
    newest = [each.id for each in places][-_MOST_ROWS:]
    last_train = book.nights.get(places[-1].id).train if places else None
    return ObjectPage(
        target=target,
        filters=filter_sums(exposed),
        nights=nights,
        best=_best(nights),
        trains=tuple(trains),
        entries=tuple(
            entry
            for kind in ("focus", "trouble", "star", "turn")
            for entry in book.past.of_nights(newest, (kind,), _MOST_LINES)
        ),
        last_train=last_train,
        first=places[0].local_date if places else None,
        last=places[-1].local_date if places else None,
    )


def _named(book: "Book", typed: str) -> tuple[int, TargetCopy]:
    known = book.past.copies()
    wanted = fold(typed)
    for target_id, copy in known:
        if wanted in (fold(copy.name), fold(copy.catalogue_id)):
            return target_id, copy
    if not known:
        raise NotFound(
            "No object is in the book yet: in a night, `start` and an object's name begins one."
        )
    found = find_target(typed)
    for target_id, copy in known:
        if found is not None and _is_the_same(copy, found):
            return target_id, copy
    most = sorted(book.past.targets(), key=lambda each: -each.nights)[:8]
    names = ", ".join(each.copy.name for each in most)
    said = f"{found.name} was" if found else f"{clean(typed, longest=60)!r} is no object that was"
    raise NotFound(f"{said} never logged in this book. Most often logged: {names}.")


def _is_the_same(known: TargetCopy, found: TargetCopy) -> bool:
    return known.catalogue_id == found.catalogue_id or fold(known.name) == fold(found.name)


def filter_sums(exposed: Sequence[Exposed]) -> tuple[FilterSum, ...]:
    """By filter, longest first."""
    by_filter: dict[str, list[Exposed]] = {}
    for each in exposed:
        by_filter.setdefault(each.filter_name or "", []).append(each)
    sums = (
        FilterSum(
            name,
            sum(each.count for each in found),
            sum(each.seconds for each in found),
            len({each.night_id for each in found}),
        )
        for name, found in by_filter.items()
    )
    return tuple(sorted(sums, key=lambda each: -each.seconds))


def _night(place: NightPlace, exposed: Sequence[Exposed], read: dict[str, Spread]) -> NightOfObject:
    mine = [each for each in exposed if each.night_id == place.id]
    judged = [of_ten(name, each.mean) for name, each in read.items() if name in SEEING]
    return NightOfObject(
        place,
        sum(each.count for each in mine),
        sum(each.seconds for each in mine),
        tuple(dict.fromkeys(each.filter_name for each in mine if each.filter_name)),
        _mean(read, "fwhm_arcsec"),
        sum(judged) / len(judged) if judged else None,
        _mean(read, "sky_mag_arcsec2"),
    )


def _mean(read: dict[str, Spread], quantity: str) -> float | None:
    return read[quantity].mean if quantity in read else None


def _best(nights: Sequence[NightOfObject]) -> NightOfObject | None:
    """The night of the narrowest star images; where none was measured, of the best seeing."""
    measured = [each for each in nights if each.width_arcsec is not None and each.frames]
    if measured:
        return min(measured, key=lambda each: each.width_arcsec or 0.0)
    judged = [each for each in nights if each.seeing_of_ten is not None]
    return max(judged, key=lambda each: each.seeing_of_ten or 0.0, default=None)


# As sections


def render(data: ObjectPage) -> Paper:
    """The page: sums, framing, filters, hours that grew, nights, focus, star tests, troubles."""
    sections = (
        section("", _head(data), framing_of(data.target, data.last_train)),
        section("By filter", _filters(data), _growth(data)),
        section("Nights", _nights(data)),
        section("Focus", *_lines(data, "focus")),
        section("Star tests of those nights", *_star_tests(data)),
        section("Screws turned in those nights", *_lines(data, "turn")),
        section("Trouble in those nights", *_lines(data, "trouble")),
    )
    links = [night_key(each.place) for each in reversed(data.nights[-12:])]
    links += [PageKey("train", name) for name in data.trains]
    key = PageKey("object", data.target.name)
    return Paper(key, data.target.name, without_empty(sections), tuple(links))


def _head(data: ObjectPage) -> Facts:
    target = data.target
    rows = [("what", ", ".join(each for each in (target.kind, target.constellation) if each))]
    if target.catalogue_id != target.name:
        rows.append(("catalogue", target.catalogue_id))
    rows.append(("exposed", f"{total_words(data.seconds)} in {counted(len(data.nights), 'night')}"))
    if data.first and data.last:
        rows.append(("first, last", f"{day(data.first)}, {day(data.last)}"))
    if data.best is not None:
        rows.append(("best night", f"{day(data.best.place.local_date)}: {_like(data.best)}"))
    if data.trains:
        rows.append(("trains", ", ".join(data.trains)))
    return Facts(tuple((label, value) for label, value in rows if value))


def _like(night: NightOfObject) -> str:
    pieces = (
        number(night.width_arcsec, "″ wide", 2),
        number(night.seeing_of_ten, " of 10 seeing", 1),
        number(night.sky_mag_arcsec2, " mag/arcsec²", 1),
        f"{night.frames} frames" if night.frames else "",
    )
    return ", ".join(each for each in pieces if each)


def _filters(data: ObjectPage) -> Table | None:
    if not data.filters:
        return None
    rows = tuple(
        (
            each.filter_name or _NO_FILTER,
            str(each.frames),
            total_words(each.seconds),
            str(each.nights),
        )
        for each in data.filters
    )
    return Table("", ("filter", "frames", "exposed", "nights"), rows, (1, 2, 3))


def _growth(data: ObjectPage) -> Plot | None:
    """Hours exposed in all, night by night."""
    total, points = 0.0, []
    for each in data.nights:
        total += each.seconds / 3600.0
        points.append((float(each.place.local_date.toordinal()), total))
    if len(points) < 2 or not total:
        return None
    first, last = data.nights[0].place.local_date, data.nights[-1].place.local_date
    ticks = span_ticks(first, last)
    told = f"{total_words(data.seconds)} in {counted(len(points), 'night')}, {first} to {last}"
    return Plot("Exposed in all", "h", (Line("hours", tuple(points), joined=True),), ticks, told)


def _nights(data: ObjectPage) -> Table | None:
    if not data.nights:
        return None
    newest = data.nights[::-1][:_MOST_ROWS]
    left = len(data.nights) - len(newest)
    rows = tuple(
        (
            str(each.place.local_date),
            each.place.train_name or "",
            ", ".join(each.filters),
            str(each.frames),
            total_words(each.seconds) if each.seconds else "",
            number(each.width_arcsec, "", 2),
            number(each.seeing_of_ten, "", 1),
        )
        for each in newest
    )
    caption = f"The newest {len(newest)}; {left} more before them" if left else ""
    columns = ("night", "train", "filters", "frames", "exposed", "width ″", "seeing of 10")
    return Table(caption, columns, rows, (3, 4, 5, 6))


def _lines(data: ObjectPage, kind: str) -> list[Listing]:
    found = [each for each in data.entries if each.content.kind == kind]
    return [Listing(tuple(dated(each) for each in found))] if found else []


def dated(record: EntryRecord) -> str:
    """`2026-11-09 22:15 UTC: focus position 11758`"""
    return f"{record.content.happened_utc:%Y-%m-%d %H:%M} UTC: {spell(record.content)}"


def _star_tests(data: ObjectPage) -> list[StarSketch]:
    return star_sketches(data.entries)
