"""How things went over the years: one series for each question, as numbers."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import fmean, linear_regression
from typing import TYPE_CHECKING, ClassVar

from logbook.entryline.format import counted, total_words
from logbook.errors import NotFound
from logbook.records.entries import PartRecord, TrainRecord
from logbook.records.history import NightPlace, Spread, mean_of
from logbook.report.pages.night_facts import SEEING, of_ten
from logbook.report.pages.year import Month, months_of, year_of
from logbook.report.render.document import Line, Paper, Plot, Words, section
from logbook.report.render.keys import PageKey
from logbook.report.render.phrases import by_month, span_ticks

if TYPE_CHECKING:
    from logbook.store.book import Book

USUAL_YEARS = 3
_LONG_BEFORE = timedelta(days=2 * 366)


@dataclass(frozen=True, slots=True)
class Series:
    """Values over time. Where a month holds many nights, a point is the month's mean.

    slope_a_year -- how it changes within a year, from all points; None with fewer than three.
    """

    name: str
    unit: str
    points: tuple[tuple[date, float], ...]
    slope_a_year: float | None
    words: str


@dataclass(frozen=True, slots=True)
class Trends:
    """The series of a book that have anything in them, and the months."""

    page_kind: ClassVar[str] = "trends"

    first: date
    last: date
    series: tuple[Series, ...]
    months: tuple[Month, ...]


def load(book: "Book", key: PageKey) -> Trends:
    """As typed: "" for the last three years, "all", a year, or two. Raises BadInput, NotFound."""
    words = key.name.split()
    reach = book.past.first_and_last()
    if reach is None or words == ["all"]:
        return read_trends(book)
    if not words:
        return read_trends(book, date(max(reach[1].year - USUAL_YEARS + 1, 1), 1, 1))
    years = sorted(year_of(each) for each in words)
    return read_trends(book, date(years[0], 1, 1), date(years[-1], 12, 31))


def read_trends(book: "Book", first: date | None = None, last: date | None = None) -> Trends:
    """The trends of a span of nights, of the whole book unless dates are given. Raises NotFound."""
    places = book.past.places(first, last)
    if not places:
        raise NotFound("No nights to see a trend in. Start `logbook` and press F10 to begin one.")
    trains = book.kit.trains(include_retired=True)
    telescopes = [
        each for each in book.kit.parts(include_retired=True) if each.part.kind == "telescope"
    ]
    judged = _seeing(places, book.past.spreads(SEEING, first, last))
    found = [
        _series("Seeing as judged", "of 10", judged, "10 is best"),
        *_widths(book, places, trains),
        *(_focus(book, places, each) for each in trains),
        *(_cooling(book, places, each) for each in telescopes),
        *_offsets(book, first, last, telescopes),
    ]
    return Trends(
        places[0].local_date,
        places[-1].local_date,
        tuple(each for each in found if each.points),
        _all_months(book, places, first, last),
    )


def _all_months(
    book: "Book", places: Sequence[NightPlace], first: date | None, last: date | None
) -> tuple[Month, ...]:
    site_id = book.past.site_of_most_nights(first, last)
    site = next(each.site for each in book.sites.all(include_retired=True) if each.id == site_id)
    begin = places[0].local_date.replace(day=1)
    end = (places[-1].local_date.replace(day=1) + timedelta(days=31)).replace(day=1)
    light = book.past.light(first, last)
    return months_of(places, light, site, begin, end - timedelta(days=1))


def _seeing(
    places: Sequence[NightPlace], read: dict[int, dict[str, Spread]]
) -> list[tuple[date, float]]:
    found = []
    for place in places:
        judged = [of_ten(n, each.mean) for n, each in read.get(place.id, {}).items() if n in SEEING]
        if judged:
            found.append((place.local_date, fmean(judged)))
    return found


def _widths(
    book: "Book", places: Sequence[NightPlace], trains: Sequence[TrainRecord]
) -> list[Series]:
    """Of each train by itself: its scale and its optics are in the width."""
    read = book.past.spreads_through("fwhm_arcsec")
    revisions = {
        train.train.name: {each.revision_id for each in book.kit.train_history(train.id)}
        for train in trains
    }
    found = []
    for train_name, used in [*revisions.items(), ("no train named", {0})]:
        nights = (
            (place.local_date, mean_of(_of_train(read.get(place.id, {}), used))) for place in places
        )
        points = [(day, mean) for day, mean in nights if mean is not None]
        name = f"Width of star images, {train_name}"
        found.append(_series(name, "″", points, "narrower is better"))
    return found


def _of_train(read: dict[int, Spread], used: set[int]) -> list[Spread]:
    return [spread for revision_id, spread in read.items() if revision_id in used]


def _focus(book: "Book", places: Sequence[NightPlace], train: TrainRecord) -> Series:
    """Each train by itself: focusers count in steps of their own."""
    months = {each.id: each.local_date.replace(day=1) for each in places}
    slopes = book.learned.focus_by_month(train.id, months)
    points = [(month, slope.per_k) for month, slope in slopes.items()]
    words = f"each month's nights alone; of the latest nights: {book.learned.focus(train.id).words}"
    return _series(f"Focus for each K of air, {train.train.name}", "per K", points, words)


def _cooling(book: "Book", places: Sequence[NightPlace], telescope: PartRecord) -> Series:
    """Each telescope by itself, whatever train it is in: the constant is its mirror's."""
    dates = {each.id: each.local_date for each in places}
    fits = book.learned.cooling_by_night(telescope.id, dates)
    points = [(dates[night_id], fit.tau_min) for night_id, fit in fits.items()]
    words = f"to 1/e, the air's own fall allowed for; {book.learned.constant(telescope.id).words}"
    return _series(f"Cooling of the mirror, {telescope.part.name}", "min", sorted(points), words)


def _offsets(
    book: "Book", first: date | None, last: date | None, telescopes: Sequence[PartRecord]
) -> list[Series]:
    looks = book.past.looks(first, last)
    names = {each.id: f", {each.part.name}" for each in telescopes}
    found = []
    for telescope_id in dict.fromkeys(each.telescope_id for each in looks):
        points = [
            (each.happened_utc.date(), each.offset_fraction)
            for each in looks
            if each.telescope_id == telescope_id
        ]
        name = f"Shadow off the centre{names.get(telescope_id or 0, '')}"
        found.append(_series(name, "of the radius", points, "0 is in line"))
    return found


def _series(name: str, unit: str, points: list[tuple[date, float]], words: str) -> Series:
    if points and points[-1][0] - points[0][0] > _LONG_BEFORE:
        points = by_month(points)
    return Series(name, unit, tuple(points), _a_year(points), words)


def _a_year(points: Sequence[tuple[date, float]]) -> float | None:
    if len(points) < 3:
        return None
    years = [when.toordinal() / 365.25 for when, _ in points]
    if max(years) == min(years):
        return None
    return linear_regression(years, [value for _, value in points]).slope


def render(data: Trends) -> Paper:
    """The page: each series drawn and put in words, then the hours and the darkness."""
    sections = [
        section("As it was logged", *(_told(each) for each in data.series)),
        section("Hours and darkness", *_hours(data)),
    ]
    if not data.series:
        words = (
            "No series yet: seeing, star widths, focus with its temperature, mirror with air and "
            "star tests make them as they are logged."
        )
        sections[0] = section("", Words(words))
    years = range(data.last.year, data.first.year - 1, -1)
    links = (PageKey("trends", "all"), *(PageKey("year", str(each)) for each in years))
    span = f"{data.first:%B %Y} to {data.last:%B %Y}"
    return Paper(PageKey("trends", ""), f"Trends, {span}", tuple(sections), links)


def _told(each: Series) -> Plot:
    values = [value for _, value in each.points]
    told = f"{counted(len(values), 'point')}, mean {fmean(values):.3g} {each.unit}"
    if each.slope_a_year is not None and each.points[-1][0] - each.points[0][0] > timedelta(
        days=300
    ):
        told += f", {each.slope_a_year:+.2g} a year"
    told = f"{told}; {each.words}".replace("-", "−")
    line = Line(each.name, tuple((float(when.toordinal()), value) for when, value in each.points))
    return Plot(each.name, each.unit, (line,), _ticks(_dates(each)), told)


def _dates(each: Series) -> tuple[date, ...]:
    return tuple(when for when, _ in each.points)


def _ticks(dates: Sequence[date]) -> tuple[tuple[float, str], ...]:
    """The turns of years within the dates; without any, the first and the last month."""
    first, last = min(dates), max(dates)
    years = [date(year, 1, 1) for year in range(first.year + 1, last.year + 1)]
    if years:
        return tuple((float(each.toordinal()), str(each.year)) for each in years)
    return span_ticks(first, last)


def _hours(data: Trends) -> tuple[Plot, Plot]:
    months = data.months
    exposed = tuple((float(each.first.toordinal()), each.exposed_hours) for each in months)
    used = tuple((float(each.first.toordinal()), 100.0 * each.used) for each in months)
    ticks = _ticks([each.first for each in months])
    total, dark = sum(y for _, y in exposed), sum(each.dark_hours for each in months)
    part = 100.0 * total / dark if dark else 0.0
    told = f"{total_words(3600.0 * total)} exposed of {dark:.0f} h with the Sun below −18°, "
    told += f"{part:.1f} %"
    in_all = f"{total_words(3600.0 * total)} in all"
    hours, darkness = Line("hours", exposed), Line("used", used)
    return (
        Plot(
            "Hours exposed by month",
            "h",
            (hours,),
            ticks,
            in_all,
            bars=True,
        ),
        Plot("Darkness used by month", "%", (darkness,), ticks, told, bars=True),
    )
