"""One train through its revisions: nights, hours, width of star images, focus."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import TYPE_CHECKING, ClassVar

from logbook.entryline.context_of_book import telescope_of
from logbook.entryline.format import counted, total_words
from logbook.kit.train.rows import LIGHT, PICTURE, rows
from logbook.kit.train.sheet import sheet
from logbook.records.entries import TrainRecord
from logbook.records.history import LightThrough, NightPlace, Spread, mean_of
from logbook.report.render.document import (
    Facts,
    Line,
    Listing,
    Paper,
    Plot,
    Table,
    section,
    without_empty,
)
from logbook.report.render.keys import PageKey
from logbook.report.render.phrases import MOST_DOTS, by_month, day, night_key, number, span_ticks

if TYPE_CHECKING:
    from logbook.store.book import Book

_MOST_ROWS = 30

_SAID = (LIGHT, PICTURE)  # sections of the sheet; `logbook train` shows them all


@dataclass(frozen=True, slots=True)
class RevisionUsed:
    """One revision of a train and what was done with it."""

    record: TrainRecord
    nights: tuple[NightPlace, ...]
    frames: int
    seconds: float
    width_arcsec: float | None


@dataclass(frozen=True, slots=True)
class TrainHistory:
    """A train through its revisions, oldest first.

    widths -- night and mean width of what was read through this train, ″.
    focused -- (°C, position) of its latest nights; focus and cooling -- what the book learned of
        the train and of its telescope, in words: as everywhere else.
    """

    page_kind: ClassVar[str] = "train"

    revisions: tuple[RevisionUsed, ...]
    filters: tuple[tuple[str, int, float], ...]
    widths: tuple[tuple[NightPlace, float], ...]
    focused: tuple[tuple[float, float], ...]
    focus: str
    cooling: str

    @property
    def now(self) -> TrainRecord:
        return self.revisions[-1].record


def load(book: "Book", key: PageKey) -> TrainHistory:
    """A train by its name, or its number in the book. Raises NotFound naming the trains."""
    newest = book.kit.train_named(key.name) if key.id is None else book.kit.train(key.id)
    history = book.kit.train_history(newest.id)
    revision_ids = [each.revision_id for each in history]
    light = book.past.light_through(revision_ids)
    used = book.past.nights_by_revision(revision_ids)
    places = book.past.places_of({each for nights in used.values() for each in nights})
    read = book.past.spreads_through("fwhm_arcsec")
    telescope = telescope_of(newest, book.kit.parts(include_retired=True))
    return TrainHistory(
        tuple(
            _revision(record, places, used.get(record.revision_id, set()), light, read)
            for record in history
        ),
        _by_filter(light),
        tuple(_widths_of(places, read, set(revision_ids))),
        tuple(each for night in book.learned.focusings(newest.id) for each in night),
        book.learned.focus(newest.id).words,
        book.learned.constant(telescope.id).words if telescope else "",
    )


def _widths_of(
    places: Sequence[NightPlace], read: dict[int, dict[int, Spread]], revision_ids: set[int]
) -> Iterator[tuple[NightPlace, float]]:
    """Each night with the mean width of what was read through these revisions in it."""
    for place in places:
        spreads = read.get(place.id, {})
        mean = mean_of(each for key, each in spreads.items() if key in revision_ids)
        if mean is not None:
            yield place, mean


def _revision(
    record: TrainRecord,
    places: Sequence[NightPlace],
    used: set[int],
    light: Sequence[LightThrough],
    read: dict[int, dict[int, Spread]],
) -> RevisionUsed:
    nights = tuple(each for each in places if each.id in used)
    mine = [each for each in light if each.train_revision_id == record.revision_id]
    widths = [width for _, width in _widths_of(nights, read, {record.revision_id})]
    return RevisionUsed(
        record,
        nights,
        sum(each.frames for each in mine),
        sum(each.seconds for each in mine),
        fmean(widths) if widths else None,
    )


def _by_filter(light: Sequence[LightThrough]) -> tuple[tuple[str, int, float], ...]:
    """Name, frames and seconds of each filter, longest first."""
    sums: dict[str, tuple[int, float]] = {}
    for each in light:
        frames, seconds = sums.get(each.filter_name, (0, 0.0))
        sums[each.filter_name] = frames + each.frames, seconds + each.seconds
    found = ((name, *both) for name, both in sums.items())
    return tuple(sorted(found, key=lambda each: -each[2]))


def render(data: TrainHistory) -> Paper:
    """The page: what it does, its revisions, hours, width of star images, focus."""
    record = data.now
    facts = tuple(
        (row.label, row.shown) for row in rows(sheet(record.train)) if row.section in _SAID
    )
    places = [each for used in data.revisions for each in used.nights]
    sections = (
        section("", Facts(facts)),
        section("Revisions", _revisions(data), *_notes(data)),
        section("Exposed", _filters(data)),
        section("Width of star images", _widths(data)),
        section("Learned from readings", _learned(data), _focus(data)),
    )
    links = [night_key(each) for each in places[::-1][:8]]
    links += [
        PageKey("part", part.name, part_id)
        for part_id, part in zip(
            (*record.part_ids, *record.carried_ids),
            (*record.train.parts, *record.train.carried),
            strict=False,
        )
    ]
    key = PageKey("train", record.train.name, record.id)
    return Paper(key, record.train.name, without_empty(sections), tuple(links))


def _revisions(data: TrainHistory) -> Table:
    rows = tuple(
        (
            str(each.record.revision),
            f"{each.record.made_utc:%Y-%m-%d}",
            str(len(each.nights)),
            total_words(each.seconds) if each.seconds else "",
            number(each.width_arcsec, "", 2),
            each.record.note,
        )
        for each in data.revisions[-_MOST_ROWS:]
    )
    columns = ("revision", "since", "nights", "exposed", "width ″", "what changed")
    return Table("", columns, rows, (0, 2, 3, 4))


def _notes(data: TrainHistory) -> list[Listing]:
    """What came into the train and what left it, revision by revision."""
    found = []
    for before, after in zip(data.revisions, data.revisions[1:], strict=False):
        then, now = _names(before.record), _names(after.record)
        come = [f"{name} came" for name in now if name not in then]
        gone = [f"{name} left" for name in then if name not in now]
        if come or gone:
            found.append(f"revision {after.record.revision}: {', '.join(come + gone)}")
    return [Listing(tuple(found))] if found else []


def _names(record: TrainRecord) -> tuple[str, ...]:
    return tuple(each.name for each in (*record.train.parts, *record.train.carried))


def _filters(data: TrainHistory) -> Table | None:
    if not data.filters:
        return None
    rows = tuple(
        (name or "no filter named", str(frames), total_words(seconds))
        for name, frames, seconds in data.filters
    )
    return Table("", ("filter", "frames", "exposed"), rows, (1, 2))


def _widths(data: TrainHistory) -> Plot | None:
    if len(data.widths) < 2:
        return None
    points = [(each.local_date, width) for each, width in data.widths]
    shown, what = points, "a dot a night"
    if len(points) > MOST_DOTS:
        shown, what = by_month(points), "a dot a month"
    first, last = points[0][0], points[-1][0]
    mean = fmean(width for _, width in points)
    told = f"{counted(len(points), 'night')}, mean {mean:.2f}″, {day(first)} to {day(last)}"
    ticks = span_ticks(first, last)
    line = Line("width", tuple((float(when.toordinal()), width) for when, width in shown))
    return Plot(f"Width of star images, {what}", "″", (line,), ticks, told)


def _learned(data: TrainHistory) -> Facts:
    rows = (("cooling of the mirror", data.cooling), ("focus", data.focus))
    return Facts(tuple((label, words) for label, words in rows if words))


def _focus(data: TrainHistory) -> Plot | None:
    if len(data.focused) < 2:
        return None
    temperatures = [x for x, _ in data.focused]
    ticks = tuple((each, f"{each:.0f} °C") for each in (min(temperatures), max(temperatures)))
    told = f"{counted(len(data.focused), 'focus', 'focuses')} of the latest nights"
    line, title = Line("focus", data.focused), "Focus against the air's temperature"
    return Plot(title, "position", (line,), ticks, told)
