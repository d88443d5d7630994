"""A night as sections, for pages that lead to others and for files."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta, tzinfo
from typing import TYPE_CHECKING, ClassVar

from logbook.entryline.format import spell, total_words
from logbook.records.entries import EntryRecord
from logbook.records.history import Exposed
from logbook.report.defaults import night_id_of
from logbook.report.pages.night_facts import NightFacts, Observed, judged_words, read_facts
from logbook.report.pages.night_short import NightPageData, head_words, read_night, sum_words
from logbook.report.pages.object import filter_sums
from logbook.report.render.document import (
    Facts,
    FramingSketch,
    Line,
    Paper,
    Plot,
    Table,
    Words,
    section,
    without_empty,
)
from logbook.report.render.keys import PageKey
from logbook.report.render.phrases import day, night_key, number, train_key
from logbook.report.render.sketches import framing_of, photos, star_sketches
from logbook.sky.night.clock import local_hhmm, zone_or_utc

if TYPE_CHECKING:
    from logbook.store.book import Book

_CURVES = (
    ("air_temperature_c", "Air", "°C"),
    ("mirror_temperature_c", "Mirror", "°C"),
    ("fwhm_arcsec", "Width of star images", "″"),
)


@dataclass(frozen=True, slots=True)
class NightWhole:
    """A night as it was logged, and in numbers."""

    page_kind: ClassVar[str] = "night"

    page: NightPageData
    facts: NightFacts


def load(book: "Book", key: PageKey) -> NightWhole:
    """A night with its timeline, numbers and sky; of "" the last one. Raises BadInput, NotFound."""
    night_id = key.id or night_id_of(book, key.name or None)
    return NightWhole(read_night(book, night_id), read_facts(book, night_id))


def render(data: NightWhole) -> Paper:
    """The page: who and with what, sums, objects, conditions, timeline, star tests."""
    page, night = data.page, data.page.night
    zone = zone_or_utc(night.site.time_zone)
    sections = (
        section("", Words(head_words(page, zone)), Words(f"{sum_words(page.timeline)}.")),
        section("Objects", _objects(data, zone), *_framings(data)),
        section("Exposed by filter", _filters(page)),
        section("Conditions", _conditions(data.facts), *_curves(page, zone)),
        section("Star tests", *star_sketches(page.timeline, most=6)),
        section("Pictures", *photos(page.timeline)),
        section("Timeline", _timeline(page.timeline, zone)),
    )
    links = [PageKey("object", each.target.name) for each in data.facts.objects]
    if data.facts.train is not None:
        links.append(train_key(data.facts.train))
    links.append(PageKey("compare", night.local_date.isoformat(), night.id))
    links.append(PageKey("year", str(night.local_date.year)))
    title = f"Night of {night.local_date:%A} {day(night.local_date)}, {night.site.name}"
    return Paper(night_key(night), title, without_empty(sections), tuple(links))


def _objects(data: NightWhole, zone: tzinfo) -> Table | None:
    rows = []
    for each in data.facts.objects:
        through = each.through
        moon = None if through is None else through.moon_separation_deg
        rows.append(
            (
                each.target.name,
                _span(each, zone),
                str(each.frames),
                total_words(each.exposure_s) if each.exposure_s else "",
                "" if through is None else f"{through.lowest_deg:.0f}–{through.highest_deg:.0f}",
                "" if through is None else f"{through.airmass:.2f}",
                "" if moon is None else f"{moon:.0f}",
            )
        )
    frames = data.facts.light_frames - sum(each.frames for each in data.facts.objects)
    seconds = data.facts.light_s - sum(each.exposure_s for each in data.facts.objects)
    if frames:
        rows.append(("no object named", "", str(frames), total_words(seconds), "", "", ""))
    if not rows:
        return None
    columns = ("object", "from, to", "frames", "exposed", "altitude °", "airmass", "Moon at °")
    return Table("", columns, tuple(rows), (2, 3, 4, 5, 6))


def _span(each: Observed, zone: tzinfo) -> str:
    """`22:58–01:34`, `22:58–…` while it runs, one time for frames that came without a start."""
    begun = local_hhmm(each.started_utc, zone)
    if each.is_running:
        return f"{begun}–…"
    ended = local_hhmm(each.stopped_utc, zone)
    return begun if each.stopped_utc == each.started_utc else f"{begun}–{ended}"


def _framings(data: NightWhole) -> list[FramingSketch]:
    found = (framing_of(each.target, data.facts.train) for each in data.facts.objects)
    return [each for each in found if each is not None and each.major_deg is not None]


def _filters(page: NightPageData) -> Table | None:
    taken = [
        Exposed(
            page.night.id,
            each.content.happened_utc,
            None,
            None,
            frames.filter_name,
            frames.gain,
            frames.binning,
            frames.count,
            frames.exposure_s,
        )
        for each in page.timeline
        if (frames := each.content.frames) is not None and frames.frame_type == "light"
    ]
    if not taken:
        return None
    rows = tuple(
        (each.filter_name or "no filter named", str(each.frames), total_words(each.seconds))
        for each in filter_sums(taken)
    )
    return Table("", ("filter", "frames", "exposed"), rows, (1, 2))


def _conditions(facts: NightFacts) -> Facts:
    moon = facts.moon
    rows = [
        ("star images", number(facts.width_arcsec, "″", 2)),
        ("seeing", judged_words(facts)),
        ("transparency", number(facts.mean("transparency_of_five"), " of 5", 1)),
        ("mirror less air", number(facts.mirror_less_air_c, " °C, mean", 1)),
        ("guiding", number(facts.mean("guiding_rms_arcsec"), "″ rms", 2)),
        ("sky", number(facts.mean("sky_mag_arcsec2"), " mag/arcsec²", 1)),
        (
            "Moon",
            f"{moon.phase}, {100 * moon.illumination:.0f} % lit, up {moon.up_hours:.1f} of "
            f"{moon.worked_hours:.1f} h",
        ),
    ]
    return Facts(tuple((label, value) for label, value in rows if value))


def _curves(page: NightPageData, zone: tzinfo) -> list[Plot]:
    """What was read more than twice, over the night."""
    found = []
    for quantity, name, unit in _CURVES:
        points = [
            ((each.content.happened_utc - page.night.started_utc).total_seconds() / 3600.0, value)
            for each in page.timeline
            for read, value in each.content.readings
            if read == quantity
        ]
        if len(points) < 3:
            continue
        first, last = points[0][0], points[-1][0]
        ticks = tuple(
            (at, _clock(page, at, zone)) for at in dict.fromkeys((first, (first + last) / 2, last))
        )
        values = [value for _, value in points]
        told = f"{min(values):g} to {max(values):g} {unit}, {len(points)} readings"
        found.append(
            Plot(
                name, unit, (Line(name, tuple(points), joined=True),), ticks, told.replace("-", "−")
            )
        )
    return found


def _clock(page: NightPageData, hours_in: float, zone: tzinfo) -> str:
    return local_hhmm(page.night.started_utc + timedelta(hours=hours_in), zone)


def _timeline(timeline: Sequence[EntryRecord], zone: tzinfo) -> Table | Words:
    if not timeline:
        return Words("Nothing was logged.")
    rows = tuple(
        (
            local_hhmm(each.content.happened_utc, zone),
            f"{each.content.happened_utc:%H:%M}",
            spell(each.content) + (" (corrected)" if each.corrected else ""),
        )
        for each in timeline
    )
    return Table("", ("local", "UTC", "what"), rows, ())
