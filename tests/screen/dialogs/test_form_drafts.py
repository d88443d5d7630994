"""What is typed into a form is there when it is opened again, also after a kill."""

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path
from threading import Event, current_thread

import pytest
from sqlalchemy import event
from textual.widgets import Input, Static

from logbook.errors import NotWritten
from logbook.kit.parts.part import Part
from logbook.records.entries import TargetCopy
from logbook.records.names import ALL_FREE
from logbook.screen.dialogs.form import Form
from logbook.screen.dialogs.site_form import NewSite
from logbook.screen.pages.choose.project_form import EditProject
from logbook.screen.pages.kit.jobs import Rename
from logbook.screen.pages.kit.part_form import PartForm
from logbook.screen.pages.night.entry_form import SHEETS, KindForm
from logbook.screen.pages.night.night_form import EndNight, StartNight
from logbook.screen.services.form_draft import draft_lines, newest_draft, read_draft
from logbook.screen.services.run_job import Job
from logbook.screen.widgets.question import Question
from logbook.store.file.window import Window
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened
from tests.screen.terminal import Terminal, quiet_environment

BEHIND_S = 0.3
TODAY = date(2026, 3, 14)


@pytest.fixture
def clock() -> Clock:
    return Clock(EVENING)


@pytest.fixture
def book_path(tmp_path: Path, clock: Clock) -> Path:
    return build_book(tmp_path / "logbook.db", clock)


async def new_site(screen: OnScreen) -> None:
    screen.app.action_new_site()
    await screen.settle()
    assert isinstance(screen.app.screen, NewSite)


def field(screen: OnScreen, name: str) -> str:
    return screen.app.screen.query_one(f"#field-{name}", Input).value


def question(screen: OnScreen) -> str:
    asks = screen.app.screen
    assert isinstance(asks, Question)
    return " ".join(str(each.content) for each in asks.query(Static))


def test_a_draft_reads_as_it_was_written_and_odd_lines_are_passed_over() -> None:
    lines = draft_lines({"name": 'a "b", [c]', "note": " two "}, EVENING)
    left = read_draft(["{", "[1, 2]", "null", *lines])
    assert left.values == {"name": 'a "b", [c]', "note": " two "}
    assert left.left_utc == EVENING
    assert draft_lines({}, EVENING) == ()


async def test_escape_leaves_a_site_with_a_horizon_as_a_draft(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "choose") as screen:
        await new_site(screen)
        await screen.press(*"Ridge", "enter", *"48.2 16.1", "enter", "enter", "enter")
        await screen.press(*"0 12, 90 25, 180 8")
        await screen.press("escape")
        assert not isinstance(screen.app.screen, NewSite)
        assert "What you typed is there" in " ".join(screen.said.split())
        clock.forward(minutes=5)
        await new_site(screen)
        assert field(screen, "name") == "Ridge"
        assert field(screen, "horizon") == "0 12, 90 25, 180 8"
        local = screen.app.desk.local(EVENING)
        assert f"As you left it at {local:%H:%M}" in screen.words("#form-left")
        await screen.press("ctrl+l")
        assert field(screen, "name") == ""
        await screen.press("escape")
        await new_site(screen)
        assert field(screen, "name") == ""


async def test_what_was_left_is_asked_about_and_is_no_draft_once_saved(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "choose") as screen:
        await new_site(screen)
        await screen.press(*"Ridge", "enter", *"48.2 16.1", "escape")
        await new_site(screen)
        await screen.press("ctrl+o")
        assert "Site, Coordinates: as you left it at" in question(screen)
        await screen.press("ctrl+o", "enter")  # the key that asked doesn't answer
        assert "as you left it" in question(screen)
        await screen.press("y")
        assert [each.site.name for each in screen.book.sites.all()] == ["Mill Hill", "Ridge"]
        await new_site(screen)
        assert field(screen, "name") == ""
        await screen.press("escape")
    async with opened(book_path, clock, "choose") as screen:
        await new_site(screen)
        assert field(screen, "name") == ""


async def test_a_form_that_could_not_be_saved_is_still_a_draft(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise NotWritten("No room.")

    async with opened(book_path, clock, "choose") as screen:
        await new_site(screen)
        await screen.press(*"Ridge", "enter", *"48.2 16.1")
        with monkeypatch.context() as patched:
            patched.setattr("logbook.store.kit.sites.Sites.add", refuse)
            await screen.press("ctrl+o")
        assert "No room." in screen.said
        await new_site(screen)
        assert field(screen, "where") == "48.2 16.1"


@contextmanager
def no_commit(screen: OnScreen) -> Iterator[None]:
    """Every commit of the book fails, as on a full disk."""
    engine = screen.book._sessions._engine

    def refuse(_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    event.listen(engine, "commit", refuse)
    try:
        yield
    finally:
        event.remove(engine, "commit", refuse)


async def test_what_a_commit_could_not_save_is_there_again_at_once_and_after_a_restart(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "choose") as screen:
        await new_site(screen)
        await screen.press(*"Ridge", "enter", *"48.2 16.1")
        await drafts_put(screen)
        with no_commit(screen):
            await screen.press("ctrl+o")
            assert "Not saved" in screen.said
            await new_site(screen)
            assert field(screen, "where") == "48.2 16.1"
            await screen.press("escape")
    async with opened(book_path, clock, "choose") as screen:
        await new_site(screen)
        assert (field(screen, "name"), field(screen, "where")) == ("Ridge", "48.2 16.1")


async def test_an_entry_by_form_that_could_not_be_saved_is_there_again(
    book_path: Path, clock: Clock
) -> None:
    begin_night(book_path, clock)
    note = next(each for each in SHEETS if each.label == "Note")
    async with opened(book_path, clock, "night") as screen:
        await screen.press(*"half a line")
        await screen.press("f9")
        screen.app.screen._selected(_chosen(SHEETS.index(note)))  # type: ignore[attr-defined]
        await screen.settle()
        await screen.press(*"a fox came by")
        with no_commit(screen):
            await screen.press("ctrl+o")
        assert "Not saved" in screen.said
        assert screen.line == "half a line"
        screen.app.push_screen(KindForm(screen.app.desk, note), screen.app.parts.log)
        await screen.settle()
        assert "a fox came by" in [each.value for each in screen.app.screen.query(Input)]
        await screen.press("ctrl+o", "y")
        night = screen.app.desk.view.night
        assert night is not None
        (entry,) = screen.book.timeline.of_night(night.id)
        assert "a fox came by" in entry.content.text


class _chosen:  # noqa: N801 (stands for a message)
    def __init__(self, place: int) -> None:
        self.option_index = place


async def drafts_put(screen: OnScreen) -> None:
    """Wait until what is typed is in the book."""
    drafts, writer = screen.app.desk.drafts, screen.app.desk.writer
    assert drafts is not None
    assert writer is not None
    drafts.put_now()
    writer.when_idle(lambda: None).result(10)


async def test_what_was_emptied_stays_empty_after_a_restart(book_path: Path, clock: Clock) -> None:
    with open_book(book_path, clock=clock) as book:
        lines = draft_lines({"name": "Ridge"}, EVENING)
        book.drafts.put("ended", NewSite().draft_place, lines)
    async with opened(book_path, clock, "choose") as screen:
        await new_site(screen)
        assert field(screen, "name") == "Ridge"
        await screen.press("ctrl+l", "escape")
    async with opened(book_path, clock, "choose") as screen:
        await new_site(screen)
        assert field(screen, "name") == ""


async def test_what_another_window_types_is_not_shown_and_what_an_ended_one_left_is(
    book_path: Path, clock: Clock
) -> None:
    place, other = NewSite().draft_place, Window()
    with open_book(book_path, clock=clock) as book:
        book.drafts.put(other.name, place, draft_lines({"name": "Open"}, EVENING))
        book.drafts.put("ended", place, draft_lines({"name": "Ended"}, EVENING))
    async with opened(book_path, clock, "choose") as screen:
        with closing(sqlite3.connect(book_path, isolation_level=None)) as writes:
            writes.execute("BEGIN IMMEDIATE")
            await new_site(screen)
            assert field(screen, "name") == "Ended"
            writes.execute("ROLLBACK")
        await screen.press("escape")
        await drafts_put(screen)
        assert screen.book.drafts.get("ended", place) == ()
        assert newest_draft(screen.book.drafts.get(other.name, place))
    other.close()


async def test_what_is_typed_while_the_form_before_is_being_saved_stays(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "choose") as screen:
        waits, goes_on = Event(), Event()
        writer = screen.app.desk.writer
        assert writer is not None

        def hold() -> None:
            waits.set()
            goes_on.wait(10)

        await new_site(screen)
        await screen.press(*"Ridge", "enter", *"48.2 16.1")
        writer.submit(hold)
        assert waits.wait(10)
        screen.app.screen.action_keep()  # type: ignore[attr-defined]
        await screen.pilot.pause()
        screen.app.action_new_site()
        await screen.pilot.pause()
        assert field(screen, "name") == ""
        screen.app.screen.query_one("#field-name", Input).value = "Mesa"
        await screen.pilot.pause()
        goes_on.set()
        await screen.settle()
        assert [each.site.name for each in screen.book.sites.all()] == ["Mill Hill", "Ridge"]
        await screen.press("escape")
        await new_site(screen)
        assert field(screen, "name") == "Mesa"
        await drafts_put(screen)
    async with opened(book_path, clock, "choose") as screen:
        await new_site(screen)
        assert field(screen, "name") == "Mesa"
        await screen.press("ctrl+l", "escape")
        await new_site(screen)
        assert field(screen, "name") == ""


async def test_opening_a_form_with_a_draft_writes_nothing_in_the_screen_s_thread(
    book_path: Path, clock: Clock
) -> None:
    with open_book(book_path, clock=clock) as book:
        book.drafts.put("ended", NewSite().draft_place, draft_lines({"name": "Ridge"}, EVENING))
    async with opened(book_path, clock, "choose") as screen:
        threads: list[str] = []
        engine = screen.book._sessions._engine
        event.listen(engine, "commit", lambda _: threads.append(current_thread().name))
        await new_site(screen)
        await drafts_put(screen)
        assert field(screen, "name") == "Ridge"
        assert set(threads) <= {"book writer"}


async def test_a_draft_of_an_earlier_night_says_its_age_and_one_field_as_left_is_asked_about(
    book_path: Path, clock: Clock
) -> None:
    begin_night(book_path, clock)
    note = next(each for each in SHEETS if each.label == "Note")
    async with opened(book_path, clock, "night") as screen:
        screen.app.push_screen(KindForm(screen.app.desk, note))
        await screen.settle()
        await screen.press(*"dew on the finder", "escape")
        clock.forward(hours=6 * 24)
        screen.app.push_screen(KindForm(screen.app.desk, note))
        await screen.settle()
        assert "6 nights ago" in screen.words("#form-left")
        screen.app.screen.query_one("#field-at", Input).value = "22:00"
        await screen.settle()
        await screen.press("ctrl+o")
        assert "6 nights ago" in question(screen)


async def test_drafts_belong_to_the_night_the_telescope_and_the_row_not_to_a_name(
    book_path: Path, clock: Clock
) -> None:
    def place(form: Form[Job]) -> str:
        return form.draft_place

    with open_book(book_path, clock=clock) as book:
        target = TargetCopy("NGC0224", "Andromeda Galaxy", "galaxy", 10.6847, 41.2688)
        for name in ("Ha", "OIII"):
            book.projects.add(target, name, 10.0)
    async with opened(book_path, clock, "choose") as screen:
        desk = screen.app.desk
        first = place(StartNight(desk))
        clock.forward(hours=24)
        assert place(StartNight(desk)) != first
        projects = screen.book.projects.all()
        of_projects = {place(EditProject(desk, projects, each)) for each in projects}
        assert len(of_projects) == 2
        train, part = desk.view.trains[0], desk.view.parts[0]
        same_id = replace(part, id=train.id)
        assert place(Rename(train, ALL_FREE)) != place(Rename(same_id, ALL_FREE))
        renamed = replace(train, train=replace(train.train, name="Other"))
        assert place(Rename(train, ALL_FREE)) == place(Rename(renamed, ALL_FREE))
        one, other = Part("Ring", "extension ring"), Part("Ring", "filter")
        assert place(PartForm(one, None, TODAY)) != place(PartForm(other, None, TODAY))
        long = "a long name of a new part, " * 4
        forms = [PartForm(Part(f"{long}{n}", "filter"), None, TODAY) for n in (1, 2)]
        assert len({place(each) for each in forms}) == 2
        assert all(len(place(each)) <= 80 for each in forms)
        by_long = place(KindForm(desk, SHEETS[0]))
        desk.view = replace(desk.view, telescope=None)
        assert place(KindForm(desk, SHEETS[0])) != by_long


async def test_a_night_s_end_has_a_draft_of_its_own(book_path: Path, clock: Clock) -> None:
    begin_night(book_path, clock)
    async with opened(book_path, clock, "night") as screen:
        desk, first = screen.app.desk, EndNight(screen.app.desk).draft_place
        assert desk.view.night is not None
        desk.view = replace(desk.view, night=replace(desk.view.night, id=99))
        assert EndNight(desk).draft_place != first


async def test_forms_of_two_parts_have_a_draft_each(book_path: Path, clock: Clock) -> None:
    async with opened(book_path, clock, "kit") as screen:
        for name in ("Long Tube", "Small Lens"):
            record = next(e for e in screen.app.desk.view.parts if e.part.name == name)
            screen.app.push_screen(PartForm(record.part, record, date(2026, 3, 14)))
            await screen.settle()
            assert not screen.app.screen.query_one("#form-left").display
            screen.app.screen.query_one("#field-note", Input).value = f"of {name}"
            await screen.press("escape")
        record = next(e for e in screen.app.desk.view.parts if e.part.name == "Long Tube")
        screen.app.push_screen(PartForm(record.part, record, date(2026, 3, 14)))
        await screen.settle()
        assert field(screen, "note") == "of Long Tube"


def test_a_form_half_typed_is_there_after_a_kill(tmp_path: Path, clock: Clock) -> None:
    path = build_book(tmp_path / "logbook.db", clock)
    begin_night(path, clock)
    arguments = ["-m", "logbook", "--book", str(path)]
    environment = quiet_environment(tmp_path)
    with Terminal(arguments, environment=environment) as terminal:
        open_note_form(terminal)
        terminal.press("a fox came by")
        terminal.wait_for("a fox came by")
        time.sleep(BEHIND_S * 5)  # a busy machine; the promise is BEHIND_S on an idle one
        terminal.kill()
    with Terminal(arguments, environment=environment) as terminal:
        open_note_form(terminal)
        terminal.wait_for("As you left it")
        terminal.wait_for("a fox came by")


def open_note_form(terminal: Terminal) -> None:
    terminal.wait_for("Mill Hill")
    terminal.press("\x1b[20~")  # F9
    terminal.wait_for("What happened?")
    terminal.press("\x1b[F\x1b[A\x1b[A\r")  # the end of the list, and two up
    terminal.wait_for("When")


def test_the_first_form_is_there_after_a_kill(tmp_path: Path) -> None:
    arguments = ["-m", "logbook", "--book", str(tmp_path / "new" / "logbook.db")]
    environment = quiet_environment(tmp_path)
    with Terminal(arguments, environment=environment) as terminal:
        terminal.wait_for("A new logbook")
        terminal.press("Yard")
        terminal.wait_for("Yard")
        terminal.press("\r")
        terminal.press("48.2 11.5")
        terminal.wait_for("48.2 11.5")
        time.sleep(BEHIND_S)
        terminal.kill()
    with Terminal(arguments, environment=environment) as terminal:
        terminal.wait_for("As you left it")
        terminal.wait_for(lambda text: "Yard" in text and "48.2 11.5" in text)


async def test_an_emptied_form_takes_letters_in_place_of_what_stands_there(
    book_path: Path, clock: Clock
) -> None:
    """What was selected before was as long as the words that were emptied away."""
    async with opened(book_path, clock, "choose") as screen:
        await screen.press("h", *"Mi", "escape", "h", "ctrl+l", "Q")
        assert isinstance(screen.app.focused, Input)
        assert screen.app.focused.value == "Q"
