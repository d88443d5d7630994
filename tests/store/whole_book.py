"""A book with something in every table, with whatever texts a test wants in it."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import timedelta
from itertools import cycle

from sqlalchemy import select

from logbook.kit.parts.part import Part
from logbook.records.choosing import OrderItem
from logbook.records.entries import (
    Adjustment,
    Frames,
    LookDetail,
    NewEntry,
    Screw,
    StarCheck,
    StarLook,
    TargetCopy,
    Turn,
    UpkeepDone,
)
from logbook.sky.limits.limits import Limits
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.tables.models import DraftRow, FormerNameRow, SiteRow
from logbook.store.upkeep.rules import UpkeepRule
from tests.clock import EVENING, Clock
from tests.store.frames.frames_around import add_all, some

M31 = TargetCopy("NGC0224", "Andromeda Galaxy", "galaxy", 10.6847, 41.2688, "And", 177.8, 69.7)
HILL = Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna", ((0.0, 12.0), (90.0, 3.5)))


def fill_whole(book: Book, clock: Clock, texts: Sequence[str] = ("a word",)) -> int:
    """Put something in every table; the night's id."""
    word = cycle(each[:40] for each in texts)
    site = book.sites.add(HILL)
    train_id = _kit(book, word)
    night = book.nights.start(site.id, train_id, next(word), EVENING)
    kept = [book.timeline.keep(night.id, each) for each in _entries(clock, word)]
    book.timeline.correct(kept[0].id, replace(kept[0].content, text=next(word)))
    book.timeline.withdraw(kept[1].id)
    book.units.take_back()
    clock.forward(hours=2)
    add_all(book, some(3, 60))
    _wishes(book, clock, site.id, word)
    book.nights.end(night.id, EVENING + timedelta(hours=9))
    book.drafts.put("w", "line", (next(word),))
    book.choices.put("site", next(word))
    _old_rows(book, word)
    return night.id


def _old_rows(book: Book, word: Iterator[str]) -> None:
    """A draft of a program before this one, and what a site was called once."""
    with book._sessions.writing() as session:
        site = session.scalars(select(SiteRow)).one()
        former = FormerNameRow(site_id=site.id, name=next(word), until_utc=EVENING)
        draft = DraftRow(slot="line", text=next(word), updated_utc=EVENING)
        session.add_all([draft, former])


def _kit(book: Book, word: Iterator[str]) -> int:
    tube = Part("Long Tube", "telescope", note=next(word)).with_number("mass_kg", 9.1)
    parts = (
        tube.with_number("aperture_mm", 250).with_number("mirror_count", 2, how=next(word)),
        Part("Small Chip", "camera").with_number("pixel_um", 3.76),
        Part("Rail", "dovetail", state="wished for", reason=next(word)),
    )
    ids = [book.kit.add_part(each).id for each in parts]
    book.kit.set_screws(ids[0], (Screw("A", 12), Screw("B", 4), Screw("C", 8)))
    train = book.kit.add_train("Plain", "camera", tuple(ids[:2]))
    book.kit.revise_part(ids[0], replace(parts[0], link=next(word)), next(word))
    book.kit.retire_part(ids[2])
    return train.id


def _entries(clock: Clock, word: Iterator[str]) -> Iterator[NewEntry]:
    detail = LookDetail(disc_x_px=12.5, shadow_radius_px=3.0, orientation=next(word))
    look = StarLook(0.06, 317.0, 0.01, 55.0, 0.8, "picture", "outside", "Vega", "v.fits", detail)
    plain = (
        NewEntry("note", EVENING, next(word)),
        NewEntry("trouble", EVENING, next(word)),
        NewEntry("reading", EVENING, "air", readings=(("air_temperature_c", 4.25),)),
        NewEntry("object", EVENING, "start", action="start", target=M31),
        NewEntry("frames", EVENING, "f", target=M31, frames=Frames(7, 180.0, "Ha", 100.0, 1)),
        NewEntry("turn", EVENING, "turn A", turn=Turn("A", -0.125, "better")),
        NewEntry("star", EVENING, "star", look=look),
        NewEntry("check", EVENING, "check", check=StarCheck("uneven", 90.0, star="Deneb")),
        NewEntry("adjust", EVENING, "focuser", adjustment=Adjustment("focuser", next(word))),
        NewEntry(
            "upkeep", EVENING, "u", upkeep=UpkeepDone("rinsed", "Long Tube", 4.5, before=next(word))
        ),
    )
    for each in plain:
        clock.forward(minutes=1)
        yield replace(each, happened_utc=clock.now)


def _wishes(book: Book, clock: Clock, site_id: int, word: Iterator[str]) -> None:
    book.projects.add(M31, "Ha", 12.0, next(word))
    book.limit_sets.keep("narrow", Limits())
    book.running_orders.keep(site_id, EVENING.date(), [OrderItem(M31, note=next(word))])
    rule = book.upkeep.add(UpkeepRule("rinse", "Long Tube", every_months=12, after_transport=True))
    book.upkeep.snooze(rule.id, clock.now + timedelta(days=9))
