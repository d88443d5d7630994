"""A job is written whole or not at all, whatever statement of it fails."""

import ast
import os
import sqlite3
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from datetime import timedelta
from functools import partial
from pathlib import Path
from types import FrameType
from typing import Any

import pytest
from sqlalchemy import event

from logbook.entryline.context import Understood
from logbook.errors import LogbookError, NotWritten
from logbook.kit.parts.part import Part, Train
from logbook.kit.train.sheet import Assumed
from logbook.records.choosing import OrderItem
from logbook.records.entries import (
    EntryRecord,
    Frames,
    NewEntry,
    NightRecord,
    Screw,
    TargetCopy,
    Turn,
)
from logbook.records.upkeep import Due
from logbook.screen.app import first_run
from logbook.screen.dialogs import site_form
from logbook.screen.dialogs.form import Form
from logbook.screen.pages.choose import jobs as choose_flow
from logbook.screen.pages.choose import order as choose_order
from logbook.screen.pages.choose import picking
from logbook.screen.pages.kit import assumed, bench_forms, kit_forms, part_form
from logbook.screen.pages.kit import jobs as kit_jobs
from logbook.screen.pages.screws import form as screws_form
from logbook.screen.pages.screws import jobs as screws_jobs
from logbook.screen.pages.upkeep import jobs as upkeep_jobs
from logbook.screen.services import jobs as night_flow
from logbook.screen.services import run_job as jobs
from logbook.screen.services.book_snapshot import BookView, read_view
from logbook.screen.services.form_draft import FormDrafts
from logbook.screen.services.run_job import Job, Saved, run_job
from logbook.screen.services.services import Desk
from logbook.screen.services.sky import RealSky
from logbook.sky.limits.limits import Limits
from logbook.sky.night.site import Site
from logbook.sky.ranking.running_order import removed
from logbook.store.book import Book
from logbook.store.opening import make_book, open_book
from logbook.store.tables.models import Base
from logbook.store.upkeep.rules import UpkeepRule
from logbook.store.writer import DraftKeeper, Writer
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import NoSky, build_book
from tests.store.frames.frames_around import plan_of, some

M31 = TargetCopy("NGC0224", "Andromeda Galaxy", "galaxy", 10.6847, 41.2688)
RINSE = UpkeepRule("mirror rinse", "Long Tube", every_months=6)
SITE = {"name": "Far Hill", "where": "47.0 15.0", "elevation": "900", "zone": "Europe/Vienna"}
HORIZON = {"horizon": "0 12, 90 25, 180 8", "sky": "21.4"}
FIRST = {
    **SITE,
    "telescope": "",
    "aperture": "203",
    "focal": "1624",
    "obstruction": "62",
    "pixel": "3.76",
    "sensor": "6248 x 4176",
}


@dataclass
class World:
    """A book with something of everything in it, in the middle of a night."""

    book: Book
    clock: Clock
    desk: Desk
    night: NightRecord
    entries: tuple[EntryRecord, ...]
    turns: tuple[EntryRecord, ...]
    writer: Writer | None = None

    @property
    def view(self) -> BookView:
        return read_view(self.book)

    @property
    def due(self) -> Due:
        return self.book.upkeep.due()[0]


def note(words: str, minutes: int = 1) -> NewEntry:
    return NewEntry("note", EVENING + timedelta(minutes=minutes), words)


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    with open_book(path, clock=clock) as book:
        site, train = book.sites.all()[0], book.kit.train_named("Long train")
        earlier = book.nights.start(site.id, train.id, "R. Quill", EVENING - timedelta(days=9))
        book.nights.end(earlier.id, EVENING - timedelta(days=9) + timedelta(hours=2))
        night = book.nights.start(site.id, train.id, "R. Quill", EVENING)
        entries = (
            book.timeline.keep(night.id, note("windy")),
            book.timeline.keep(night.id, NewEntry("frames", EVENING, "f", frames=Frames(3, 180.0))),
        )
        turns = []
        for screw in "ABC":
            clock.forward(minutes=2)
            turned = NewEntry("turn", clock(), f"turn {screw}", turn=Turn(screw, 0.125))
            turns.append(book.timeline.keep(night.id, turned))
        book.upkeep.add(RINSE)
        book.upkeep.snooze(book.upkeep.rules()[0].id, clock() + timedelta(days=3))
        book.limit_sets.keep("Own", Limits())
        book.projects.add(M31, "Ha", 5.0)
        book.kit.add_part(Part("Spare ring", "extension ring", state="wished for"))
        book.kit.retire_part(book.kit.add_part(Part("Old ring", "extension ring")).id)
        desk = Desk(NoSky(), clock)
        desk.book, desk.view = book, read_view(book)
        world = World(book, clock, desk, night, entries, tuple(turns))
        yield world
        if world.writer is not None:
            world.writer.close()


def answered(form: Form[Any], **values: str) -> Job:
    """What a form comes to when it is filled in so."""
    form.values = lambda: values  # type: ignore[method-assign]
    job = form.answer(values)
    assert callable(job)
    return job  # type: ignore[no-any-return]


def _understood(_: World) -> Job:
    return night_flow.keep_understood(Understood(note("cold"), "note: cold"), None)


def _end(world: World) -> Job:
    frames = replace(world.entries[1].content, frames=Frames(20, 180.0))
    last = (note("dew", 9), note("clouds", 10))
    return night_flow.end_night(
        world.night.id, EVENING + timedelta(hours=3), last, (world.entries[1].id, frames)
    )


def _start(world: World) -> Job:
    at = EVENING + timedelta(days=1)
    sky = NewEntry("conditions", at, "seeing 3/5", readings=(("seeing_of_five", 3.0),))
    train = world.book.kit.train_named("Short train")
    return night_flow.start_night(world.night.site_id, train.id, "R. Quill", at, sky)


def _other_way(world: World) -> Job:
    opposite = lambda turn: replace(turn, turns=-turn.turns)  # noqa: E731
    return screws_jobs.it_was(world.turns, opposite, "the other way")


def _with_sky(world: World) -> Desk:
    """A night that is computed, with an order of two objects."""
    site, train = world.book.sites.all()[0].site, world.view.train
    assert train is not None
    desk = world.desk = Desk(RealSky(), world.clock)
    desk.book, desk.view = world.book, world.view
    desk.sky.load()
    desk.tonight = desk.sky.tonight(
        site, train.train, world.night.local_date, desk.limits, desk.facts()
    )
    planned = [desk.sky.find(name) for name in ("M 31", "Saturn")]
    order = tuple(OrderItem(each, None, None) for each in planned if each is not None)
    assert len(order) == 2
    world.book.running_orders.keep(world.night.site_id, world.night.local_date, order)
    return desk


def _pick(world: World) -> Job:
    desk = _with_sky(world)
    found = desk.sky.find("NGC 7331")
    assert found is not None
    return picking.pick(desk, found.catalogue_id)


def _change_order(world: World) -> Job:
    how = lambda order: removed(order, 0)  # noqa: E731
    return picking.change(_with_sky(world), how, "M31 is out.")


def _hours(world: World) -> Job:
    """What the form comes to on the screen: a job that empties its draft too."""
    desk = _with_sky(world)
    found = desk.sky.find("M 31")
    assert found is not None
    make = partial(choose_order._timed, desk, found.catalogue_id)
    job = answered(choose_order.HoursForm("M 31", make, "M 31"), hours="1")
    writer = world.writer = Writer(world.book)
    return FormDrafts(DraftKeeper(writer, "window")).of("form:HoursForm:M 31").cleared_with(job)


def _bench(world: World) -> Train:
    return world.book.kit.train_named("Long train").train


def _tried(world: World) -> Train:
    train = _bench(world)
    other = train.parts[1].with_number("pixel_um", 2.4)
    return replace(train, parts=(train.parts[0], other))


def _train(world: World) -> Any:
    return world.book.kit.train_named("Short train")


def _part(world: World, name: str = "Spare ring") -> Any:
    parts = world.book.kit.parts(include_retired=True)
    return next(each for each in parts if each.part.name == name)


def _project(world: World) -> Any:
    return world.book.projects.all()[0]


def _site(world: World) -> Any:
    return world.book.sites.all()[0]


# Every job of the screen, by the place that makes it.
JOBS: dict[str, Callable[[World], Job]] = {
    "services.jobs.keep_understood": _understood,
    "services.jobs.correct_entry": lambda w: night_flow.correct_entry(
        w.entries[0].id, note("calm"), "calm"
    ),
    "services.jobs.move_entry": lambda w: night_flow.move_entry(
        w.entries[0].id, note("windy", 2), "windy", w.night
    ),
    "services.jobs.bump_frames": lambda _: night_flow.bump_frames,
    "services.jobs.withdraw_entry": lambda w: night_flow.withdraw_entry(w.entries[0].id),
    "services.jobs.start_night": _start,
    "services.jobs.end_night": _end,
    "services.jobs.choose": lambda _: night_flow.choose("train", "Short train"),
    "pages.choose.jobs.use_limits": lambda _: choose_flow.use_limits(Limits(min_altitude_deg=40.0)),
    "pages.choose.jobs.keep_limit_set": lambda _: choose_flow.keep_limit_set("Moon", Limits()),
    "pages.choose.jobs.rename_limit_set": lambda _: choose_flow.rename_limit_set("Own", "Mine"),
    "pages.choose.jobs.retire_limit_set": lambda _: choose_flow.retire_limit_set("Own"),
    "pages.choose.jobs.add_project": lambda _: choose_flow.add_project(M31, "OIII", 4.0, ""),
    "pages.choose.jobs.revise_project": lambda w: choose_flow.revise_project(
        _project(w), "S", 9.0, ""
    ),
    "pages.choose.jobs.retire_project": lambda w: choose_flow.retire_project(_project(w)),
    "pages.choose.picking.pick": _pick,
    "pages.choose.picking.change": _change_order,
    "app.first_run.FirstKit.answer": lambda _: answered(
        first_run.FirstKit(with_site=True), **{**FIRST, "name": "Second hill"}
    ),
    "pages.kit.kit_forms.SetValue.answer": lambda w: answered(
        kit_forms.SetValue(_part(w, "Long Tube"), w.night.local_date),
        what="mass",
        value="9 kg",
        basis="measured",
        how="",
        on="",
    ),
    "pages.kit.kit_forms.NewTrain.answer": lambda w: answered(
        kit_forms.NewTrain(w.desk), name="By eye", kind="visual", parts="Long Tube", carried=""
    ),
    "pages.kit.assumed.keep_assumed": lambda _: assumed.keep_assumed(Assumed()),
    "pages.kit.bench_forms.KeepChange.answer": lambda w: answered(
        bench_forms.KeepChange(w.desk, w.book.kit.train_named("Long train"), _bench(w)),
        why="tidied",
    ),
    "pages.kit.bench_forms.KeepAsNew.answer": lambda w: answered(
        bench_forms.KeepAsNew(w.desk, _tried(w), "Tried"), name="Tried", kind="camera"
    ),
    "pages.kit.jobs.rename": lambda w: kit_jobs.rename(_train(w), "Another"),
    "pages.kit.jobs.retire": lambda w: kit_jobs.retire(_train(w)),
    "pages.kit.jobs.bring_back": lambda w: kit_jobs.bring_back(_part(w, "Old ring")),
    "pages.kit.jobs.CopyTrain.answer": lambda w: answered(
        kit_jobs.CopyTrain(_train(w)), name="Copy"
    ),
    "pages.kit.part_form._add": lambda _: part_form._add(Part("New ring", "extension ring")),
    "pages.kit.part_form._revise": lambda w: part_form._revise(
        _part(w, "Small Chip").id, Part("Chip", "camera").with_number("pixel_um", 3.8), "measured"
    ),
    "pages.screws.form.NameScrews.answer": lambda w: answered(
        screws_form.NameScrews(_part(w, "Long Tube"), (Screw("A", 12.0),)),
        screws="A 12, B 4, D 8",
        tighten="clockwise",
        held="plain",
    ),
    "pages.screws.jobs.it_was": _other_way,
    "pages.upkeep.jobs.add_rule": lambda _: upkeep_jobs.add_rule(
        UpkeepRule("grease", None, every_nights=9)
    ),
    "pages.upkeep.jobs.change_rule": lambda w: upkeep_jobs.change_rule(
        w.due, replace(RINSE, every_months=3)
    ),
    "pages.upkeep.jobs.retire_rule": lambda w: upkeep_jobs.retire_rule(w.due),
    "pages.upkeep.jobs.put_off": lambda w: upkeep_jobs.put_off(
        w.due, w.clock() + timedelta(days=9), "Monday"
    ),
    "pages.upkeep.jobs.take_up": lambda w: upkeep_jobs.take_up(w.due),
    "pages.upkeep.jobs._revised": lambda w: upkeep_jobs.is_here(_part(w), 9.5, None, ""),
    "dialogs.site_form.NewSite.answer": lambda _: answered(site_form.NewSite(), **SITE, **HORIZON),
    "dialogs.site_form.EditSite.answer": lambda w: answered(
        site_form.EditSite(_site(w)), **{**SITE, **HORIZON}
    ),
}


def test_every_job_of_the_screen_is_in_the_table() -> None:
    """A job is a function called `job`, or one that takes just the book and says what it did."""
    root = Path(jobs.__file__).parent.parent
    found = {
        ".".join((*path.relative_to(root).with_suffix("").parts, *names))
        for path in root.rglob("*.py")
        for names in _makers(ast.parse(path.read_text(encoding="utf-8")), ())
    }
    undo = {
        "services.jobs.take_back_last",
        "services.jobs.do_again",
    }  # tests/store/undo/test_undo_model.py
    assert found - undo == set(JOBS)


def _makers(node: ast.AST, names: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    for each in ast.iter_child_nodes(node):
        if not isinstance(each, ast.FunctionDef | ast.ClassDef):
            continue
        if each.name == "job":
            yield names
        elif _is_job(each) and not names:
            yield (each.name,)
        else:
            yield from _makers(each, (*names, each.name))


def _is_job(node: ast.AST) -> bool:
    if not isinstance(node, ast.FunctionDef) or node.returns is None:
        return False
    taken = [ast.unparse(each.annotation) for each in node.args.args if each.annotation]
    return [each.strip("'") for each in taken] == ["Book"] and ast.unparse(node.returns) == "str"


class Failing:
    """Lets a number of statements pass, then fails; the commit counts as one."""

    def __init__(self, book: Book) -> None:
        self._engine = book._sessions._engine
        self._left = 0

    @contextmanager
    def after(self, statements: int) -> Iterator[None]:
        self._left = statements
        event.listen(self._engine, "before_cursor_execute", self._one_more)
        event.listen(self._engine, "commit", self._one_more)
        try:
            yield
        finally:
            event.remove(self._engine, "before_cursor_execute", self._one_more)
            event.remove(self._engine, "commit", self._one_more)

    def _one_more(self, *_: object) -> None:
        self._left -= 1
        if self._left == -1:
            raise sqlite3.OperationalError("the disk failed here")


def all_rows(path: Path) -> dict[str, list[tuple[object, ...]]]:
    with closing(sqlite3.connect(path)) as connection:
        return {
            table: connection.execute(f'SELECT * FROM "{table}" ORDER BY 1, 2').fetchall()
            for table in (*Base.metadata.tables, "entry_words_docsize")
        }


def fails_at_every_statement(book: Book, write: Callable[[], object]) -> int:
    """Have `write` fail at each of its statements in turn; how many those were."""
    before = all_rows(book.path)
    failing = Failing(book)
    for statements in range(500):
        words = fails_after(failing, statements, write)
        if not words:
            break
        assert words.startswith("Not saved: ")
        assert all_rows(book.path) == before, statements
    assert all_rows(book.path) != before
    return statements


def fails_after(failing: Failing, statements: int, write: Callable[[], object]) -> str:
    try:
        with failing.after(statements):
            write()
    except NotWritten as error:
        return str(error)
    return ""


@pytest.mark.parametrize("name", JOBS)
def test_a_job_that_fails_anywhere_leaves_every_table_as_it_was(
    world: World, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(jobs, "read_view", lambda *_: BookView())
    job = JOBS[name](world)
    assert fails_at_every_statement(world.book, lambda: run_job(world.book, job)) > 3


@pytest.mark.parametrize("make", [_pick, _change_order, _hours])
def test_no_window_is_calculated_while_other_programs_wait_to_write(
    world: World, make: Callable[[World], Job], monkeypatch: pytest.MonkeyPatch
) -> None:
    calculated, real = [], picking.wish_for

    def beside_another(*args: Any) -> Any:
        with closing(sqlite3.connect(world.book.path, timeout=0, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
        calculated.append(args)
        return real(*args)

    job = make(world)
    monkeypatch.setattr(picking, "wish_for", beside_another)
    assert run_job(world.book, job).words.startswith("Kept in the running order: ")
    assert len(calculated) >= 2
    assert len({each[2].catalogue_id for each in calculated}) == len(calculated)


SLOW = ("astropy", "numpy", "logbook.startest")


@contextmanager
def slow_work_noted(found: set[str]) -> Iterator[None]:
    """Notes what is calculated, and what files are opened, by this thread."""

    def note(frame: FrameType, what: str, builtin: object) -> None:
        if what == "call" and str(frame.f_globals.get("__name__")).startswith(SLOW):
            found.add(f"{frame.f_globals['__name__']}.{frame.f_code.co_name}")
        elif what == "c_call" and builtin in (open, os.open, os.scandir, os.listdir):
            found.add(f"{frame.f_globals['__name__']} opens a file")

    before = sys.getprofile()
    sys.setprofile(note)
    try:
        yield
    finally:
        sys.setprofile(before)


@pytest.mark.parametrize("make", [*JOBS.values(), _hours])
def test_no_job_calculates_or_reads_a_file_once_other_programs_are_locked_out(
    world: World, make: Callable[[World], Job], monkeypatch: pytest.MonkeyPatch
) -> None:
    found: set[str] = set()
    real = Book.writing

    @contextmanager
    def writing(book: Book, words: str = "") -> Iterator[Any]:
        with real(book, words) as unit, slow_work_noted(found):
            yield unit

    job = make(world)
    monkeypatch.setattr(jobs, "read_view", lambda *_: BookView())
    monkeypatch.setattr(Book, "writing", writing)
    run_job(world.book, job)
    assert found == set()


def test_a_run_of_frames_is_added_whole_or_not_at_all(world: World) -> None:
    world.clock.forward(hours=2)
    plan = plan_of(world.book, some(3, 60))
    add = world.book.frame_files.add
    assert fails_at_every_statement(world.book, lambda: add(plan.to_add[0])) > 3


def test_a_new_book_gets_its_site_and_train_together(tmp_path: Path) -> None:
    path = make_book(tmp_path / "new.db")
    with open_book(path) as book:
        fill = lambda: first_run.fill_new_book(book, FIRST)  # noqa: E731
        assert fails_at_every_statement(book, fill) > 10


def test_a_job_that_refuses_half_way_leaves_nothing(world: World) -> None:
    """What a form could not know is refused by the book, after other rows were written."""
    before = all_rows(world.book.path)
    end = world.night.started_utc - timedelta(hours=1)
    job = night_flow.end_night(world.night.id, end, (note("dew"), note("clouds", 2)))
    with pytest.raises(LogbookError, match="before it started"):
        run_job(world.book, job)
    assert all_rows(world.book.path) == before


def test_what_follows_a_job_is_left_to_who_ran_it(world: World) -> None:
    """A copy takes its time; the writer has the next line to save."""

    def follow_up(_: Callable[[], bool]) -> str:
        raise AssertionError("not here")

    def job(book: Book) -> Saved:
        book.timeline.keep(world.night.id, note("cold"))
        return Saved("Saved.", follow_up)

    done = run_job(world.book, job)
    assert (done.words, done.follow_up) == ("Saved.", follow_up)


@pytest.mark.parametrize(
    ("error", "said"), [(NotWritten("no room"), "no room"), (ValueError("a zone"), "ValueError.")]
)
def test_what_is_saved_is_told_though_the_book_cannot_be_read_again(
    world: World, monkeypatch: pytest.MonkeyPatch, error: Exception, said: str
) -> None:
    """Whatever fails then: a line that is on disk must never come back as not saved."""

    def fails(*_: object) -> BookView:
        raise error

    monkeypatch.setattr(jobs, "read_view", fails)
    done = run_job(world.book, _understood(world))
    assert done.words.startswith(f"Kept: note: cold The book could not be read again: {said}")
    assert done.view is None


def test_a_site_of_the_job_is_seen_by_the_rest_of_it(world: World) -> None:
    def job(book: Book) -> str:
        site = book.sites.add(Site("Far Hill", 47.0, 15.0, 900.0, "Europe/Vienna"))
        assert [each.site.name for each in book.sites.all()] == ["Far Hill", "Mill Hill"]
        with open_book(book.path, read_only=True) as other:
            assert [each.site.name for each in other.sites.all()] == ["Mill Hill"]
        return site.site.name

    view = run_job(world.book, job).view
    assert view is not None
    assert [each.site.name for each in view.sites] == ["Far Hill", "Mill Hill"]
