"""Letters on a page or a sheet: they write only after a second key, and none that is typed is lost.

A line typed while something else has the keys is given to the entry line whole, whether its letters
were keys of the page, opened a sheet, a form or a list, or meant nothing there.
"""

from collections.abc import Callable, Iterator
from os import kill
from pathlib import Path
from signal import SIGCONT, SIGSTOP

import pytest
from textual.events import Paste

from logbook.records.entries import TargetCopy
from logbook.screen.pages.night.frames import FrameLine
from logbook.screen.widgets.modal import Modal
from logbook.screen.widgets.question import Question
from logbook.screen.widgets.typed_run import TypedRun
from logbook.store.book import Book
from tests.clock import EVENING, Clock
from tests.frames.made_frames import write_run
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened
from tests.screen.choosing import choosing, open_sheet, sheet_rows, tonight_of
from tests.screen.keys_sent import ESCAPE, F2, F3, F4, F5, F6, ctrl
from tests.screen.killing import book_with_a_night
from tests.screen.pages.choose.test_order import ids, pick_three
from tests.screen.pages.night.test_frames import read_folder
from tests.screen.terminal import Terminal, quiet_environment


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def by_night(tmp_path: Path, clock: Clock) -> Path:
    path = build_book(tmp_path / "logbook.db", clock)
    begin_night(path, clock)
    return path


@pytest.fixture(autouse=True)
def slow_hand(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a busy machine a key may be sent long after the one before it."""
    monkeypatch.setattr("logbook.screen.widgets.typed_run.FOLLOWS_S", 600.0)


def answers(screen: OnScreen) -> str:
    """The sheet or page in view, on one line."""
    return " ".join(screen.words(".sheet").split())


# --- sheets ask before a letter writes ---


@pytest.mark.slow
@pytest.mark.parametrize("key", ["u", "d", "x", "o", "c"])
async def test_the_running_order_is_changed_only_after_a_second_key(
    tmp_path: Path, key: str
) -> None:
    async with choosing(tmp_path) as screen:
        await pick_three(screen)
        before = ids(screen)
        await open_sheet(screen, "r")
        await screen.press("down", key)
        assert f"{key}: " in answers(screen)
        assert "? Enter yes, Escape no" in answers(screen)
        await screen.press(key, key)
        assert ids(screen) == before, "the same key is no answer"
        await screen.press("escape")
        assert "Nothing was logged." in answers(screen)
        assert isinstance(screen.app.screen, Modal)
        await screen.press(key, "up", "down")
        assert ids(screen) == before, "another key drops what was asked"
        other = "x" if key != "x" else "d"
        await screen.press(other, key)
        assert f"{key}: " in answers(screen), "another letter asks its own question"
        await screen.press("escape")
        await screen.press(key, "enter")
        if key != "o":  # the best order may be the one there is
            assert ids(screen) != before


@pytest.mark.slow
@pytest.mark.parametrize("keys", [("o",), ("b",), ("x",), ("b", "enter")])
async def test_space_plans_from_a_sheet_only_after_enter(
    tmp_path: Path, keys: tuple[str, ...]
) -> None:
    async with choosing(tmp_path) as screen:
        for key in keys:
            await open_sheet(screen, key)
        await screen.press("space")
        assert "space: put " in answers(screen)
        assert "into the running order? Enter yes, Escape no" in answers(screen)
        await screen.press("space")
        assert ids(screen) == []
        await screen.press("enter")
        assert len(ids(screen)) == 1
        assert isinstance(screen.app.screen, Modal)
        await screen.press("space")
        assert "space: take " in answers(screen)
        await screen.press("enter")
        assert ids(screen) == []


async def test_what_a_sheet_asked_is_dropped_when_the_book_changed(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await pick_three(screen)
        before = ids(screen)
        await open_sheet(screen, "r")
        await screen.press("x")
        await screen.enter("note by day")
        assert "x: " not in answers(screen)
        await screen.press("enter")
        assert ids(screen) == before


async def test_a_set_of_limits_and_a_project_are_taken_out_only_after_enter(
    tmp_path: Path,
) -> None:
    def project(book: Book) -> None:
        target = TargetCopy("NGC 224", "Andromeda Galaxy", "galaxy", 10.68, 41.27)
        book.projects.add(target, None, 10.0, "")

    async with choosing(tmp_path, prepare=project) as screen:
        for opening in ("L", "p"):
            await open_sheet(screen, opening)
            before = sheet_rows(screen)
            await screen.press("x", "x")
            assert "out of the list? Enter yes, Escape no" in answers(screen)
            await screen.press("escape")
            assert sheet_rows(screen) == before
            await screen.press("x", "enter")
            assert len(sheet_rows(screen)) == len(before) - 1
            await screen.press("escape")


async def test_a_folder_is_watched_only_after_enter(
    by_night: Path, clock: Clock, tmp_path: Path
) -> None:
    folder = tmp_path / "frames"
    write_run(folder, 2, EVENING)
    async with opened(by_night, clock, "night") as it:
        await read_folder(it, folder)
        await it.press("w", "w")
        assert "Enter yes, Escape no" in it.words("#frames-said")
        assert it.app.query_one(FrameLine).watched is None
        await it.press("enter")
        assert it.app.query_one(FrameLine).watched == folder


async def test_a_digit_asks_before_it_changes_the_limits(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        limits = tonight_of(screen).ranking.limits
        await screen.press("2")
        assert "2: use the limits " in screen.said
        await screen.press("escape")
        assert tonight_of(screen).ranking.limits == limits
        assert screen.book.choices.get("limits") is None
        await screen.press(*"20x180")
        assert screen.line == "20x180"
        assert tonight_of(screen).ranking.limits == limits
        await screen.press("escape", "escape", "2", "enter")
        assert tonight_of(screen).ranking.limits != limits


# --- nothing that is typed is lost ---

LINES = (
    "seeing 3/5",
    "start m31",
    "stop",
    "cloud 20%",
    "mirror 8.1",
    "20x180s Ha",
    "note cold",
    "at 1:20 air 4",
    "focus 12.3",
    "wind 3",
    "dew 5",
    "humidity 80",
    "opened roof",
    "end",
    "put back",
    "limit 5.5",
    "repeat",
)
PAGES = ("choose", "night", "screws", "kit", "past", "upkeep")


@pytest.mark.slow
@pytest.mark.parametrize("page", PAGES)
async def test_a_line_typed_slowly_to_a_page_is_on_the_line_whole(
    by_night: Path, clock: Clock, page: str
) -> None:
    async with opened(by_night, clock, page) as it:
        await it.enter("note first")
        for typed in LINES:
            await it.press("escape", *typed, *([] if " " in typed else [" "]))
            assert len(it.app.screen_stack) == 1
            assert it.line.rstrip() == typed
            await it.press("escape")
        assert [each.content.text for each in it.timeline] == ["note first"]


async def test_the_space_that_gives_the_line_the_keys_belongs_to_what_was_typed(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.press("escape", *"x 12")
        assert it.line == "x 12"
        await it.press("escape", "escape", "space", *"12")
        assert it.line == "12"


async def test_a_line_typed_to_choose_with_its_sky_is_whole(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        for typed in ("seeing 3/5", "start m31", "mirror 8.1", "focus 12.3", "break now", "xi"):
            await screen.press(*typed)
            assert screen.line == typed
            await screen.press("escape", "escape")


@pytest.mark.slow
async def test_a_form_that_gave_way_has_nothing_of_the_line_in_its_draft(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "kit") as it:
        await it.press(*"note cold", "enter", "escape", "n")
        assert "as you left it" not in answers(it)


async def test_keys_of_a_page_pressed_one_after_another_stay_keys(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "kit") as it:
        await it.press("s", "escape", "h", "escape", "j")
        assert it.line == "j", "a key that is no letter ends what was typed"


async def test_a_letter_that_comes_late_stands_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("logbook.screen.widgets.typed_run.FOLLOWS_S", 2.0)
    run = TypedRun()
    run.add("s", 10.0, may_begin=True)
    run.add("e", 11.9, may_begin=False)
    assert run.text == "se"
    run.add("e", 14.0, may_begin=True)
    assert run.text == "e"
    run.add("x", 17.0, may_begin=False)
    assert run.text == ""


async def test_letters_that_are_no_line_stay_in_a_form(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "kit") as it:
        await it.press("n", *"ring of brass")
        assert len(it.app.screen_stack) == 2
        assert it.line == ""


async def test_a_bench_with_changes_gives_way_to_no_letter(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "kit") as it:
        await it.press("e", "t", "j", "j")
        assert len(it.app.screen_stack) == 2
        assert it.line == ""


@pytest.mark.parametrize("page", ["kit", "screws"])
async def test_a_first_word_with_a_slip_in_it_begins_a_line_too(
    by_night: Path, clock: Clock, page: str
) -> None:
    """`m` names a train anew, or measures a picture, and the rest was its text."""
    async with opened(by_night, clock, page) as it:
        await it.press(*"miror 8.1", "enter")
        assert [each.content.text for each in it.timeline] == ["miror 8.1"]
        assert it.book.kit.train_named("Long train")


async def test_a_letter_of_the_next_line_does_not_answer_a_question(
    by_night: Path, clock: Clock
) -> None:
    """The y of humidity is no yes to what the words before it led to."""
    async with opened(by_night, clock, "kit") as it:
        await it.press(*"my hands are cold", "enter")
        assert isinstance(it.app.screen, Question)
        await it.press(*"humidity 81", "enter")
        assert it.book.kit.train_named("Long train")
        assert it.book.kit.train_named("Long train").revision == 1


async def test_a_text_typed_over_a_name_is_saved_only_after_a_question(
    by_night: Path, clock: Clock
) -> None:
    """Words of no line, after m: Enter alone would have renamed the train."""
    async with opened(by_night, clock, "kit") as it:
        await it.press(*"my hands are cold", "enter")
        assert isinstance(it.app.screen, Question)
        asked = " ".join(answers(it).replace("│", " ").split())
        assert "Name: y hands are cold, instead of Long train." in asked
        await it.press("enter", "m", "escape", "escape")
        assert "Not saved: Another name for Long train." in it.said
        assert it.book.kit.train_named("Long train")
        await it.press("m", "ctrl+l", "end", *" two", "enter")
        assert it.book.kit.train_named("Long train two"), "an edited name is no slip"


@pytest.mark.parametrize("page", ["night", "choose", "kit", "past", "upkeep", "screws"])
async def test_lines_pasted_to_a_page_go_to_the_line(
    by_night: Path, clock: Clock, page: str
) -> None:
    async with opened(by_night, clock, page) as it:
        if page == "night":
            await it.press("escape")
        it.app.post_message(Paste("seeing 4/5\nair 4"))
        await it.settle()
        assert it.line == "seeing 4/5"
        assert it.words("#waiting") == "1 more line waits: one Enter each."
        await it.press("enter", "enter")
        assert [each.content.text for each in it.timeline] == ["seeing 4/5", "air 4"]


async def test_a_text_pasted_to_a_sheet_without_a_field_goes_to_the_line(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "kit") as it:
        await it.press("s")
        assert isinstance(it.app.screen, Modal)
        it.app.post_message(Paste("seeing 4/5"))
        await it.settle()
        assert len(it.app.screen_stack) == 1
        assert it.line == "seeing 4/5"


# --- the same in one write to a terminal ---


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Terminal]:
    home = tmp_path_factory.mktemp("home")
    book = book_with_a_night(home)
    arguments = ["-m", "logbook", "--book", str(book)]
    with Terminal(arguments, environment=quiet_environment(home)) as it:
        it.wait_for("Nothing runs")
        yield it


def entry_row(text: str) -> str:
    """The line as it stands above the keys."""
    return next((row for row in text.splitlines() if row.startswith("▸")), "")


def on_line(typed: str) -> Callable[[str], bool]:
    return lambda text: entry_row(text) == f"▸ {typed}".rstrip()


@pytest.mark.parametrize("page", [F2, F3, F4, F5, F6, ctrl("n")], ids=PAGES)
def test_a_line_sent_to_a_page_in_one_write_is_on_the_line_whole(
    program: Terminal, page: str
) -> None:
    for typed in ("seeing 3/5", "start m31", "mirror 8.1", "20x180s Ha", "cloud 20%", "note cold"):
        program.press(page)
        if page == F3:  # it gives the line the keys
            program.wait_for(on_line(""))
            program.press(ESCAPE)
        program.wait_for("keys of this page")
        kill(program.pid, SIGSTOP)
        program.press(typed)
        kill(program.pid, SIGCONT)
        program.wait_for(on_line(typed))
        program.press(ESCAPE)
        program.wait_for(on_line(""))
        program.press(ESCAPE)
        program.wait_for("keys of this page")


def test_a_bracketed_paste_to_a_page_goes_to_the_line(program: Terminal) -> None:
    for page in (F5, F6):
        program.press(page)
        program.wait_for("keys of this page")
        program.press("\x1b[200~note pasted\x1b[201~")
        program.wait_for(on_line("note pasted"))
        program.press(ESCAPE)
        program.wait_for(on_line(""))
        program.press(ESCAPE)
        program.wait_for("keys of this page")
