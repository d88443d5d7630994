"""A year: hours by month, dark hours used of those there were, objects, best nights."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, ClassVar

from logbook.dates import FIRST_YEAR, LAST_YEAR
from logbook.entryline.format import counted, total_words
from logbook.errors import BadInput, NotFound
from logbook.records.history import Light, NightPlace, Spread
from logbook.report.defaults import EMPTY_BOOK
from logbook.report.render.document import Facts, Line, Paper, Plot, Table, section, without_empty
from logbook.report.render.keys import PageKey
from logbook.report.render.phrases import day, night_key, number
from logbook.sky.night.site import Site
from logbook.text import clean

if TYPE_CHECKING:
    from logbook.store.book import Book

_BEST = 5
_MOST_OBJECTS = 25


@dataclass(frozen=True, slots=True)
class Month:
    """A month: nights worked, frames, hours exposed, hours of darkness there were."""

    first: date
    nights: int
    frames: int
    exposed_hours: float
    dark_hours: float

    @property
    def used(self) -> float:
        """The part of the darkness that was exposed."""
        return self.exposed_hours / self.dark_hours if self.dark_hours else 0.0


@dataclass(frozen=True, slots=True)
class BestNight:
    """A night, its width of star images in ″, and what was exposed in it."""

    place: NightPlace
    width_arcsec: float
    exposed_hours: float


@dataclass(frozen=True, slots=True)
class YearPage:
    """A year of nights. Darkness is counted at `site`, that of the most nights.

    objects -- name, nights and hours exposed, longest first.
    """

    page_kind: ClassVar[str] = "year"

    year: int
    site: Site
    months: tuple[Month, ...]
    objects: tuple[tuple[str, int, float], ...]
    best: tuple[BestNight, ...]
    turns: int
    other_years: tuple[int, ...]

    @property
    def exposed_hours(self) -> float:
        return sum(each.exposed_hours for each in self.months)


def load(book: "Book", key: PageKey) -> YearPage:
    """A year, as typed. Raises BadInput, NotFound."""
    year = year_of(key.name)
    span = date(year, 1, 1), date(year, 12, 31)
    reach = book.past.first_and_last()
    if reach is None:
        raise NotFound(EMPTY_BOOK)
    places = book.past.places(*span)
    if not places:
        raise NotFound(
            f"No night of {year} is in the book: {reach[0].year} to {reach[1].year} are."
        )
    light = book.past.light(*span)
    read = book.past.spreads(("fwhm_arcsec",), *span)
    site_id = book.past.site_of_most_nights(*span)
    site = next(each.site for each in book.sites.all(include_retired=True) if each.id == site_id)
    return YearPage(
        year,
        site,
        months_of(places, light, site, *span),
        _objects(book, span),
        _best(places, light, read),
        _turns(book, places),
        tuple(each for each in range(reach[0].year, reach[1].year + 1) if each != year),
    )


def year_of(typed: str) -> int:
    """A year as typed. Raises BadInput."""
    text = typed.strip()
    if not (text.isascii() and text.isdigit() and len(text) == 4):
        raise BadInput(f"{clean(typed, longest=40)!r} is not a year: write it like 2026")
    if not FIRST_YEAR <= int(text) <= LAST_YEAR:
        raise BadInput(f"the year {text} is out of reach: {FIRST_YEAR} to {LAST_YEAR}")
    return int(text)


def months_of(
    places: Sequence[NightPlace], light: dict[int, Light], site: Site, first: date, last: date
) -> tuple[Month, ...]:
    """Every month of a span, worked or not."""
    from logbook.sky.altitude.past_nights import dark_hours

    days = [first + timedelta(days=each) for each in range((last - first).days + 1)]
    dark: dict[date, float] = {}
    for when, found in zip(days, dark_hours(site, days), strict=True):
        month = when.replace(day=1)
        dark[month] = dark.get(month, 0.0) + found
    by_month: dict[date, list[NightPlace]] = {}
    for each in places:
        by_month.setdefault(each.local_date.replace(day=1), []).append(each)
    return tuple(_month(month, by_month.get(month, []), light, dark[month]) for month in dark)


def _month(
    first: date, places: Sequence[NightPlace], light: dict[int, Light], dark: float
) -> Month:
    found = [light[each.id] for each in places if each.id in light]
    return Month(
        first,
        len(places),
        sum(each.frames for each in found),
        sum(each.seconds for each in found) / 3600.0,
        dark,
    )


def _turns(book: "Book", places: Sequence[NightPlace]) -> int:
    """Turns of screws from the first night of the year to the end of the last."""
    last = places[-1]
    until = (last.ended_utc or last.started_utc) + timedelta(hours=12)
    turned = book.past.turned_between(places[0].started_utc - timedelta(hours=12), until)
    return sum(count for *_, count in turned)


def _objects(book: "Book", span: tuple[date, date]) -> tuple[tuple[str, int, float], ...]:
    found = book.past.objects_of_span(*span)
    return tuple((each.name, each.nights, each.seconds / 3600.0) for each in found)


def _best(
    places: Sequence[NightPlace], light: dict[int, Light], read: dict[int, dict[str, Spread]]
) -> tuple[BestNight, ...]:
    measured = [
        BestNight(
            each,
            read[each.id]["fwhm_arcsec"].mean,
            light[each.id].seconds / 3600.0 if each.id in light else 0.0,
        )
        for each in places
        if each.id in read
    ]
    return tuple(sorted(measured, key=lambda each: each.width_arcsec)[:_BEST])


def render(data: YearPage) -> Paper:
    """The page: sums, months, darkness used, objects, best nights."""
    sections = (
        section("", _head(data)),
        section("By month", _exposed(data), _months(data)),
        section("Objects", _object_table(data)),
        section("Best nights", _best_table(data)),
    )
    links = [night_key(each.place) for each in data.best]
    links += [PageKey("object", name) for name, *_ in data.objects[:5]]
    links += [PageKey("year", str(each)) for each in data.other_years if abs(each - data.year) == 1]
    links.append(PageKey("trends", ""))
    return Paper(
        PageKey("year", str(data.year)), str(data.year), without_empty(sections), tuple(links)
    )


def _head(data: YearPage) -> Facts:
    nights = sum(each.nights for each in data.months)
    dark = sum(each.dark_hours for each in data.months)
    used = data.exposed_hours / dark if dark else 0.0
    frames = sum(each.frames for each in data.months)
    return Facts(
        (
            ("nights", str(nights)),
            ("exposed", f"{total_words(3600.0 * data.exposed_hours)}, {frames} frames"),
            ("darkness", f"{dark:.0f} h at {data.site.name}, of which {100 * used:.1f} % exposed"),
            ("objects", str(len(data.objects))),
            ("screws", counted(data.turns, "turn")),
        )
    )


def _exposed_words(hours: float) -> str:
    """Hours as every page writes them; nothing for none."""
    return total_words(3600.0 * hours) if hours else ""


def _exposed(data: YearPage) -> Plot:
    points = tuple((float(each.first.month), each.exposed_hours) for each in data.months)
    ticks = tuple((float(each.first.month), f"{each.first:%b}") for each in data.months)
    most = max(data.months, key=lambda each: each.exposed_hours)
    told = f"most in {most.first:%B}, {total_words(3600.0 * most.exposed_hours)}; "
    told += f"{total_words(3600.0 * data.exposed_hours)} in all"
    return Plot("Hours exposed by month", "h", (Line("hours", points),), ticks, told, bars=True)


def _months(data: YearPage) -> Table:
    rows = tuple(
        (
            f"{each.first:%B}",
            str(each.nights),
            str(each.frames),
            _exposed_words(each.exposed_hours),
            f"{each.dark_hours:.0f}",
            f"{100 * each.used:.1f}" if each.dark_hours else "–",
        )
        for each in data.months
    )
    columns = ("month", "nights", "frames", "exposed", "dark h", "used %")
    return Table(f"Darkness: Sun below −18° at {data.site.name}", columns, rows, (1, 2, 3, 4, 5))


def _object_table(data: YearPage) -> Table | None:
    if not data.objects:
        return None
    rows = tuple(
        (name, str(nights), _exposed_words(exposed))
        for name, nights, exposed in data.objects[:_MOST_OBJECTS]
    )
    left = len(data.objects) - len(rows)
    return Table(
        f"The {len(rows)} exposed longest; {left} more" if left else "",
        ("object", "nights", "exposed"),
        rows,
        (1, 2),
    )


def _best_table(data: YearPage) -> Table | None:
    if not data.best:
        return None
    rows = tuple(
        (
            day(each.place.local_date),
            number(each.width_arcsec, "", 2),
            _exposed_words(each.exposed_hours),
        )
        for each in data.best
    )
    return Table("By width of star images", ("night", "width ″", "exposed"), rows, (1, 2))
