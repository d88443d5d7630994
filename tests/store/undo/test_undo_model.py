"""Saving, taking back and doing again, of every kind, held against plain pictures of the book.

The reference is what anybody would write who may forget: before each thing it keeps a picture of
all that the book shows, on a stack; undo shows the last picture again. The book may only add and
retire rows, finds its stacks in them, and is opened anew in between.
"""

import shutil
import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
)

from logbook.errors import LogbookError
from logbook.kit.parts.part import Part
from logbook.records.choosing import OrderItem
from logbook.records.entries import Frames, NewEntry, Screw, TargetCopy, Turn
from logbook.sky.limits.limits import Limits
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.opening import open_book
from logbook.store.upkeep.rules import UpkeepRule
from tests.clock import EVENING, Clock

pytestmark = pytest.mark.slow

TEXTS = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S")), min_size=1)
MINUTES = st.integers(0, 300)
TARGET = TargetCopy("test 7", "Test Cloud", "nebula", 10.0, 20.0)
DATE = EVENING.date()
Picture = dict[str, object]


@st.composite
def entries(draw: st.DrawFn) -> NewEntry:
    happened = EVENING + timedelta(minutes=draw(MINUTES))
    kind = draw(st.sampled_from(("note", "reading", "frames", "turn", "object")))
    text = draw(TEXTS.map(lambda text: text[:40]))
    readings = (("air_temperature_c", float(draw(st.integers(-20, 30)))),)
    frames = Frames(draw(st.integers(0, 500)), 180.0, filter_name="Ha")
    turn = Turn("A", draw(st.sampled_from((-0.25, 0.125, 0.5))))
    return NewEntry(
        kind,
        happened,
        text,
        action="start" if kind == "object" else None,
        target=TARGET if kind in ("object", "frames") else None,
        readings=readings if kind in ("reading", "frames") else (),
        frames=frames if kind == "frames" else None,
        turn=turn if kind == "turn" else None,
    )


def picture(book: Book) -> Picture:
    """All that the book shows, without what only counts versions."""
    night = book.nights.in_progress()
    dates = [each.night.id for each in book.nights.summaries(20)]
    lines = [(each, book.timeline.of_night(each)) for each in (*dates, None)]
    telescopes = [each.id for each in book.kit.parts() if each.part.kind == "telescope"]
    sites = book.sites.all()
    return {
        "sites": [each.site for each in sites],
        "parts": [(each.id, each.part) for each in book.kit.parts()],
        "trains": [(each.id, each.train) for each in book.kit.trains()],
        "screws": [book.kit.screws(each) for each in telescopes],
        "night": None if night is None else (night.local_date, night.site.name),
        "lines": {each: in_order([r.content for r in rows]) for each, rows in lines if rows},
        "corrected": sorted(r.content.text for _, rows in lines for r in rows if r.corrected),
        "limits": [(each.name, each.limits) for each in book.limit_sets.all()],
        "projects": [(p.target, p.filter_name, p.wanted_hours) for p in book.projects.all()],
        "rules": [(each.rule, each.created_utc) for each in book.upkeep.rules()],
        "paused": {each.record.id: each.snoozed_until_utc for each in book.upkeep.due()},
        "orders": [o.items for s in sites for o in book.running_orders.latest(s.id) if o.items],
        "chosen": [book.choices.get(each) for each in ("site", "train", "limits")],
    }


def in_order(contents: list[NewEntry]) -> list[NewEntry]:
    return sorted(contents, key=lambda each: (each.happened_utc, repr(each)))


class Histories(RuleBasedStateMachine):
    template: Path

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(shutil.copyfile(self.template, Path(self.folder.name) / "night.db"))
        self.clock = Clock()
        self.book: Book = open_book(self.path, clock=self.clock)
        self.before: list[Picture] = []
        self.after: list[Picture] = []
        self.number = 0
        self.rows = 0

    def seen(self) -> Picture:
        return picture(self.book)

    @initialize()
    def start(self) -> None:
        with self.book.writing("the beginning"):
            self.site = self.book.sites.add(Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna"))
            self.tube = self.book.kit.add_part(
                Part("Tube", "telescope").with_number("aperture_mm", 250)
            )
            self.chip = self.book.kit.add_part(Part("Chip", "camera"))
            train = self.book.kit.add_train("Long", "camera", (self.tube.id, self.chip.id))
            self.train_id = train.id
            self.night = self.book.nights.start(self.site.id, train.id, "", EVENING).id
        self.shown = self.seen()

    def act(self, write: Callable[[], object]) -> None:
        """Something that may be refused, as it would be on the screen; nothing changes then."""
        self.clock.forward(seconds=2)  # a turn logged twice at once is refused
        before = self.shown
        self.number += 1
        units = self._count("unit")
        try:
            with self.book.writing():
                write()
        except LogbookError:
            assert self.seen() == before
            return
        self.shown = self.seen()
        if self._count("unit") > units:
            self.before.append(before)
            self.after.clear()

    def standing(self, data: st.DataObject) -> int | None:
        lines = self.book.timeline.of_night(self.night)
        return data.draw(st.sampled_from([each.id for each in lines])) if lines else None

    @rule(entry=entries())
    def add(self, entry: NewEntry) -> None:
        self.act(lambda: self.book.timeline.keep(self.night, entry))

    @rule(entries=st.lists(entries(), min_size=2, max_size=3))
    def add_several_and_end(self, entries: list[NewEntry]) -> None:
        def write() -> None:
            for each in entries:
                self.clock.forward(seconds=2)
                self.book.timeline.keep(self.night, each)
            self.book.nights.end(self.night, EVENING + timedelta(hours=6))

        self.act(write)

    @rule(data=st.data(), entry=entries())
    def correct(self, data: st.DataObject, entry: NewEntry) -> None:
        old = self.standing(data)
        if old is not None:
            self.act(lambda: self.book.timeline.correct(old, entry))

    @rule(data=st.data())
    def withdraw(self, data: st.DataObject) -> None:
        old = self.standing(data)
        if old is not None:
            self.act(lambda: self.book.timeline.withdraw(old))

    @rule(days=st.integers(0, 2))
    def begin_a_night(self, days: int) -> None:
        at = EVENING + timedelta(days=days)
        self.act(lambda: self.book.nights.start(self.site.id, self.train_id, "", at))

    @rule(name=st.sampled_from(("Far", "Near")))
    def add_a_site(self, name: str) -> None:
        def write() -> None:
            self.book.sites.add(Site(name, 47.0, 15.0, 900.0, "Europe/Vienna", ((0.0, 9.0),)))
            self.book.choices.put("site", name)

        self.act(write)

    @rule(points=st.lists(st.integers(0, 3), unique=True, max_size=3), name=TEXTS)
    def change_the_site(self, points: list[int], name: str) -> None:
        horizon = tuple((90.0 * each, 5.0 + self.number) for each in sorted(points))
        site = replace(self.site.site, horizon=horizon, elevation_m=float(self.number))
        self.act(lambda: self.book.sites.revise(self.site.id, site))

    @rule(name=st.sampled_from(("Ring", "Wheel")))
    def add_a_part(self, name: str) -> None:
        self.act(lambda: self.book.kit.add_part(Part(name, "extension ring")))

    @rule(data=st.data())
    def retire_a_part(self, data: st.DataObject) -> None:
        parts = [each.id for each in self.book.kit.parts()]
        chosen = data.draw(st.sampled_from(parts)) if parts else 0
        if chosen:
            self.act(lambda: self.book.kit.retire_part(chosen))

    @rule(number=st.sampled_from((2.4, 3.76, 9.0)))
    def change_a_part(self, number: float) -> None:
        chip = Part("Chip", "camera").with_number("pixel_um", number)
        self.act(lambda: self.book.kit.revise_part(self.chip.id, chip, "measured"))

    @rule(name=st.sampled_from(("Second", "Third")))
    def copy_a_train(self, name: str) -> None:
        self.act(lambda: self.book.kit.clone_train(self.train_id, name))

    @rule(alone=st.booleans())
    def change_a_train(self, alone: bool) -> None:
        parts = (self.tube.id,) if alone else (self.tube.id, self.chip.id)
        self.act(lambda: self.book.kit.revise_train(self.train_id, parts))

    @rule()
    def retire_a_train(self) -> None:
        self.act(lambda: self.book.kit.retire_train(self.book.kit.train_named("Second").id))

    @rule(names=st.sampled_from(("ABC", "ABD", "AB")))
    def name_the_screws(self, names: str) -> None:
        screws = tuple(Screw(each, 4.0 * n + 1) for n, each in enumerate(names))
        self.act(lambda: self.book.kit.set_screws(self.tube.id, screws))

    @rule(name=st.sampled_from(("Moon", "Own")), altitude=st.sampled_from((20.0, 40.0)))
    def keep_limits(self, name: str, altitude: float) -> None:
        def write() -> None:
            self.book.limit_sets.keep(name, Limits(min_altitude_deg=altitude))
            self.book.choices.put("limits", f"above {altitude:g}")

        self.act(write)

    @rule()
    def retire_limits(self) -> None:
        self.act(lambda: self.book.limit_sets.retire("Own"))

    @rule(hours=st.sampled_from((3.0, 8.0)))
    def want_hours(self, hours: float) -> None:
        projects = self.book.projects.all()
        if projects:
            self.act(lambda: self.book.projects.revise(projects[0].id, "Ha", hours))
        else:
            self.act(lambda: self.book.projects.add(TARGET, "Ha", hours))

    @rule()
    def add_a_rule(self) -> None:
        self.act(lambda: self.book.upkeep.add(UpkeepRule("rinse", "Tube", every_months=6)))

    @rule(what=st.sampled_from(("change", "retire", "pause", "wake")))
    def change_a_rule(self, what: str) -> None:
        rules = self.book.upkeep.rules()
        if not rules:
            return
        upkeep, rule_id = self.book.upkeep, rules[-1].id
        ways: dict[str, Callable[[], object]] = {
            "change": lambda: upkeep.change(rule_id, UpkeepRule("rinse", None, every_months=3)),
            "retire": lambda: upkeep.retire(rule_id),
            "pause": lambda: upkeep.snooze(rule_id, EVENING + timedelta(days=9 + self.number)),
            "wake": lambda: upkeep.wake(rule_id),
        }
        self.act(ways[what])

    @rule(count=st.integers(0, 2))
    def plan(self, count: int) -> None:
        items = tuple(OrderItem(TARGET, None, None, f"{n}") for n in range(count))
        self.act(lambda: self.book.running_orders.keep(self.site.id, DATE, items))

    @rule()
    def undo(self) -> None:
        if not self.before:
            return
        assert self.book.units.take_back()
        self.after.append(self.shown)
        self.shown = self.before.pop()

    @rule()
    def redo(self) -> None:
        assert (self.book.units.do_again() is not None) == bool(self.after)
        if self.after:
            self.before.append(self.shown)
            self.shown = self.after.pop()

    @rule()
    def start_the_program_again(self) -> None:
        self.book.close()
        self.book = open_book(self.path, clock=self.clock)

    @invariant()
    def both_show_the_same(self) -> None:
        if hasattr(self, "shown"):
            assert self.seen() == self.shown

    @invariant()
    def nothing_is_ever_lost(self) -> None:
        rows = sum(map(self._count, ("entry", "site", "part", "train", "limit_set", "unit")))
        assert rows >= self.rows
        self.rows = rows

    def _count(self, table: str) -> int:
        with self.book._sessions.reading() as session:
            query = f"SELECT count(*) FROM {table}"
            return int(session.connection().exec_driver_sql(query).scalar() or 0)

    def teardown(self) -> None:
        self.book.close()
        self.folder.cleanup()


def test_any_history_shows_what_plain_pictures_would(empty_book: Path) -> None:

    class WithTemplate(Histories):
        pass

    WithTemplate.template = empty_book
    case = WithTemplate.TestCase
    case.settings = settings(
        max_examples=10,
        stateful_step_count=20,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    case("runTest").debug()
