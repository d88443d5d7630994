"""What is typed into a form is there when it is opened again, also after a kill."""

import time
from datetime import date
from pathlib import Path

import pytest
from textual.widgets import Input

from logbook.errors import NotWritten
from logbook.screen.form_draft import draft_lines, read_draft
from logbook.screen.pages.kit_part_form import PartForm
from logbook.screen.site_form import NewSite
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened
from tests.screen.terminal import Terminal, quiet_environment
from tests.store.clock import EVENING, Clock

BEHIND_S = 0.3


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


async def test_what_was_left_is_saved_only_when_asked_twice_and_is_no_draft_then(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "choose") as screen:
        await new_site(screen)
        await screen.press(*"Ridge", "enter", *"48.2 16.1", "escape")
        await new_site(screen)
        await screen.press("ctrl+o")
        assert isinstance(screen.app.screen, NewSite)
        assert "as you left it" in screen.words("#form-foot")
        await screen.press("ctrl+o")
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
            patched.setattr("logbook.store.sites.Sites.add", refuse)
            await screen.press("ctrl+o")
        assert "No room." in screen.said
        await new_site(screen)
        assert field(screen, "where") == "48.2 16.1"


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
