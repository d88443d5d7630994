"""Enter that arrives as a line feed, as it does before the terminal is the program's, is Enter."""

from pathlib import Path

import pytest
from textual.events import Paste
from textual.widgets import Input

from tests.clock import Clock
from tests.screen.book_on_screen import OnScreen, build_book, opened
from tests.screen.keys_sent import F5, ctrl
from tests.screen.killing import book_with_a_night
from tests.screen.terminal import Terminal, quiet_environment


def field(text: str, label: str) -> str:
    """What stands on the row of a form's field."""
    return next((row for row in text.splitlines() if label in row), "")


def test_lines_typed_before_the_first_start_is_drawn_fill_a_field_each(tmp_path: Path) -> None:
    program = ["-m", "logbook", "--book", str(tmp_path / "new.db")]
    with Terminal(program, environment=quiet_environment(tmp_path)) as it:
        it.press("Moor\n52.1 -3.7\n210\n")
        it.wait_for("A new logbook")
        text = it.wait_for(lambda text: "210" in text)
        assert "Moor " in field(text, "Site ")
        assert "52.1 -3.7 " in field(text, "Coordinates")
        assert "210 " in field(text, "Elevation")


def test_line_feeds_in_one_write_go_on_in_a_form(tmp_path: Path) -> None:
    program = ["-m", "logbook", "--book", str(book_with_a_night(tmp_path))]
    with Terminal(program, environment=quiet_environment(tmp_path)) as it:
        it.wait_for("Nothing runs")
        it.press(F5)
        it.wait_for("keys of this page")
        it.press("n" + ctrl("l") + "ext\nRing 5\n")
        it.wait_for("New extension ring: Ring 5")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return build_book(tmp_path / "logbook.db", Clock())


def values(it: OnScreen) -> list[str]:
    return [each.value for each in it.app.screen.query(Input)]


async def test_pasted_lines_fill_a_field_each_and_save_nothing(path: Path) -> None:
    async with opened(path, Clock(), "kit") as it:
        await it.press("n", "ctrl+l")
        it.app.post_message(Paste("ext\nRing 5\n"))
        await it.settle()
        assert values(it) == ["ext", "Ring 5"]
        await it.press("end")
        it.app.post_message(Paste(" long\nair 4\nair 5"))
        await it.settle()
        assert values(it) == ["ext", "Ring 5 long"]
        assert "2 pasted lines not taken" in it.words("#form-foot")
