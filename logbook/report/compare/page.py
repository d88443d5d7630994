"""Two nights side by side, as a document."""

from typing import TYPE_CHECKING

from logbook.dates import read_dates
from logbook.entryline.format import counted, total_words
from logbook.errors import NotFound
from logbook.report.compare.compare import Comparison, compare_dates, compare_with_last_good
from logbook.report.compare.difference import Difference
from logbook.report.defaults import EMPTY_BOOK, night_id_of, tonight_of
from logbook.report.pages.night_facts import NightFacts
from logbook.report.render.document import (
    Listing,
    Paper,
    Section,
    Table,
    Words,
    section,
    without_empty,
)
from logbook.report.render.keys import PageKey
from logbook.report.render.phrases import day, night_key, number, train_key

if TYPE_CHECKING:
    from logbook.store.book import Book

_FIRST = 3
_MOST_WORDS = 8


def load(book: "Book", key: PageKey) -> Comparison:
    """The night named last against the one named first; a night alone against the last good.

    Raises BadInput, NotFound.
    """
    if book.past.first_and_last() is None:
        raise NotFound(EMPTY_BOOK)
    if not key.name:
        return compare_with_last_good(book, key.id or night_id_of(book, None))
    first, *others = read_dates(key.name, tonight_of(book))
    if others:
        return compare_dates(book, others[0], first)
    return compare_with_last_good(book, key.id or book.nights.on(first).id)


def render(data: Comparison) -> Paper:
    """What came of them, what most likely made it, everything that differed, both in numbers."""
    then, now = data.then.night, data.now.night
    sections = (
        section(
            "",
            Words(data.outcome.words, strong=True),
            Words(data.how_found) if data.how_found else None,
        ),
        _likely(data),
        _everything(data),
        section("Both nights", _beside(data)),
        *(_own_words(each) for each in (data.then, data.now)),
        _how(data),
    )
    key = PageKey("compare", f"{then.local_date} {now.local_date}")
    links = dict.fromkeys(
        [night_key(then), night_key(now)]
        + [PageKey("object", each.target.name) for each in (*data.now.objects, *data.then.objects)]
        + [train_key(each.train) for each in (data.now, data.then) if each.train]
    )
    title = f"{day(now.local_date)} beside {day(then.local_date)}"
    return Paper(key, title, without_empty(sections), tuple(links))


def _likely(data: Comparison) -> Section:
    title = {
        "worse": "What most likely made it worse",
        "better": "What most likely made it better",
    }.get(data.outcome.verdict, "What weighs most")
    items = tuple(_told(each) for each in data.differences[:_FIRST])
    if not items:
        return section(title, Words("Nothing that was logged differed."))
    return section(title, Listing(items, ordered=True))


def _told(each: Difference) -> str:
    reason = each.reason[:1].upper() + each.reason[1:]
    words = f"{each.label}: {each.before} → {each.after}. {reason}."
    return f"{words} ({'; '.join(each.evidence)})" if each.evidence else words


def _everything(data: Comparison) -> Section:
    if not data.differences:
        return section("Everything that differed")
    rows = tuple(
        (each.topic, each.label, each.before, each.after, f"{each.weight:.2f}")
        for each in data.differences
    )
    then, now = data.then.night.local_date, data.now.night.local_date
    columns = ("topic", "what", str(then), str(now), "″")
    more = [_told(each) for each in data.differences[_FIRST:]]
    return section(
        "Everything that differed",
        Table("By likely weight, as a width of star images in ″", columns, rows, (4,)),
        Listing(tuple(more)) if more else None,
    )


def _beside(data: Comparison) -> Table:
    sides = data.then, data.now
    rows = [
        (label, *(each or "–" for each in values))
        for label, values in (
            ("site", tuple(each.night.site.name for each in sides)),
            ("train", tuple(_train(each) for each in sides)),
            ("objects", tuple(_objects(each) for each in sides)),
            ("frames", tuple(_frames(each) for each in sides)),
            ("star images", tuple(number(each.width_arcsec, "″", 2) for each in sides)),
            ("seeing", tuple(number(each.seeing_of_ten, " of 10", 1) for each in sides)),
            (
                "transparency",
                tuple(number(each.mean("transparency_of_five"), " of 5", 1) for each in sides),
            ),
            ("air", tuple(_reach(each, "air_temperature_c", "°C") for each in sides)),
            ("mirror less air", tuple(number(each.mirror_less_air_c, " °C", 1) for each in sides)),
            ("humidity", tuple(_reach(each, "humidity_percent", "%") for each in sides)),
            (
                "guiding",
                tuple(number(each.mean("guiding_rms_arcsec"), "″ rms", 2) for each in sides),
            ),
            ("focus", tuple(_focus(each) for each in sides)),
            ("altitude", tuple(_altitude(each) for each in sides)),
            ("Moon", tuple(_moon(each) for each in sides)),
        )
        if any(values)
    ]
    dates = tuple(f"{each.night.local_date}" for each in sides)
    return Table("", ("", *dates), tuple(rows))


def _own_words(facts: NightFacts) -> Section:
    lines = [*facts.troubles, *facts.remarks][:_MOST_WORDS]
    title = f"{day(facts.night.local_date)} in its own words"
    return section(title, Listing(tuple(lines)) if lines else None)


def _train(facts: NightFacts) -> str:
    if facts.train is None:
        return ""
    return f"{facts.train.train.name}, revision {facts.train.revision}"


def _objects(facts: NightFacts) -> str:
    return ", ".join(each.target.name for each in facts.objects)


def _frames(facts: NightFacts) -> str:
    if not facts.light_frames:
        return ""
    return f"{counted(facts.light_frames, 'frame')}, {total_words(facts.light_s)}"


def _reach(facts: NightFacts, quantity: str, unit: str) -> str:
    found = facts.numbers.get(quantity)
    if found is None:
        return ""
    if found.low == found.high:
        return number(found.mean, f" {unit}", 1)
    return f"{number(found.low, '', 1)} to {number(found.high, f' {unit}', 1)}"


def _focus(facts: NightFacts) -> str:
    if not facts.focus:
        return ""
    positions = [each.position for each in facts.focus if each.position is not None]
    words = counted(len(facts.focus), "time")
    return f"{words}, last at {positions[-1]:g}" if positions else words


def _altitude(facts: NightFacts) -> str:
    main = facts.main_object
    if main is None or main.through is None:
        return ""
    through = main.through
    reach = f"{through.lowest_deg:.0f}° to {through.highest_deg:.0f}°"
    return f"{main.target.name} {reach}, airmass {through.airmass:.2f}"


def _moon(facts: NightFacts) -> str:
    moon = facts.moon
    return (
        f"{moon.phase}, {100 * moon.illumination:.0f} % lit, up {moon.up_hours:.1f} of "
        f"{moon.worked_hours:.1f} h"
    )


def _how(data: Comparison) -> Section:
    base = (
        f"the better night's {data.width_arcsec:.2f}″"
        if data.width_known
        else f"a usual {data.width_arcsec:.1f}″, since neither night measured it"
    )
    return section(
        "How it is ranked",
        Words(
            f"Each difference is turned into the width it would add to star images by itself, "
            f"counted from {base}. What would have worked against the outcome counts a fifth; what "
            f"may have worked either way, four fifths. It is a likelihood, not a proof."
        ),
        Words(_states(data)),
    )


def _states(data: Comparison) -> str:
    return (
        f"Screws turned and work done between {data.then.settled_utc:%Y-%m-%d %H:%M} and "
        f"{data.now.settled_utc:%Y-%m-%d %H:%M} UTC, the last frames of each night, count as "
        f"between."
    )
