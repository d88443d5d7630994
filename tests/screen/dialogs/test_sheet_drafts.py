"""Whatever is typed or set outside the forms is there when it is opened again, after a kill too."""

import ast
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from textual.widgets import Input

import logbook.screen
from logbook.errors import BadInput, NotWritten
from logbook.kit.parts.part import Part, Placement
from logbook.kit.train.whatif import placed, valued
from logbook.screen.dialogs.field_rows import FieldRows
from logbook.screen.dialogs.form import Form
from logbook.screen.dialogs.sheet_draft import DraftedSheet
from logbook.screen.pages.kit.bench import Bench
from logbook.screen.pages.kit.draft import left_values, train_left
from logbook.screen.pages.kit.part_form import PartForm, PartRows
from logbook.screen.pages.kit.rings import RingFinder
from logbook.screen.pages.night.frames_sheet import FramesSheet
from logbook.screen.pages.screws.eye import EyeLook
from logbook.screen.pages.screws.picture import AskPath, MeasureSheet
from logbook.store.opening import open_book
from logbook.store.timeline.timeline import Timeline
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened
from tests.screen.killing import DRAFT_LAG_S
from tests.screen.terminal import Terminal, quiet_environment

# Where something is typed, by file and class, and why it keeps no draft if it keeps none.
DRAFTED = {
    ("widgets/entry_bar.py", "EntryBar"),  # lines, each by itself
    ("dialogs/field_rows.py", "FieldRows"),
    ("pages/kit/part_form.py", "PartRows"),  # of a form, whose fields stand in two columns
    ("pages/choose/limits.py", "LimitsLine"),
    ("pages/kit/rings.py", "RingFinder"),
    ("pages/night/frames_sheet.py", "FramesSheet"),
    ("pages/screws/picture.py", "AskPath"),
    ("pages/screws/eye.py", "EyeLook"),
    ("pages/screws/picture.py", "MeasureSheet"),
}
UNDRAFTED = {
    (
        "dialogs/pick.py",
        "Pick",
    ): "a piece of a name that searches a list; nothing comes of it by itself",
    ("pages/past/search.py", "SearchSheet"): "a search",
    ("pages/choose/search.py", "SearchSheet"): "a search",
}


def input_classes(trees: dict[str, ast.Module]) -> set[str]:
    """Names of all classes of the screen that are fields, however far down."""
    found, before = {"Input", "TextArea", "MaskedInput"}, set[str]()
    while found != before:
        before = set(found)
        for tree in trees.values():
            for node in ast.walk(tree):
                if isinstance(node, ast.ClassDef):
                    bases = {getattr(base, "id", "") for base in node.bases}
                    found |= {node.name} if bases & found else set()
    return found


def fields_made() -> Iterator[tuple[str, str]]:
    """The file and the class in which any field is made."""
    root = Path(logbook.screen.__file__).parent
    trees = {
        path.relative_to(root).as_posix(): ast.parse(path.read_text(encoding="utf-8"))
        for path in root.rglob("*.py")
    }
    names = input_classes(trees)
    for file, tree in trees.items():
        for outer in tree.body:
            for node in ast.walk(outer):
                if isinstance(node, ast.Call) and getattr(node.func, "id", "") in names:
                    yield file, getattr(outer, "name", "")


def test_whatever_is_typed_keeps_a_draft_or_says_why_not() -> None:
    assert set(fields_made()) == DRAFTED | set(UNDRAFTED)
    assert all(UNDRAFTED.values())
    sheets = {RingFinder, FramesSheet, AskPath, EyeLook, MeasureSheet, Bench}
    assert all(issubclass(each, DraftedSheet) for each in sheets)
    others = {"EntryBar", "FieldRows", "PartRows", "LimitsLine"}
    names = {name for _, name in DRAFTED} - others
    assert {each.__name__ for each in sheets} == names | {"Bench"}
    assert Form.ROWS is FieldRows
    assert PartForm.ROWS is PartRows


@pytest.fixture
def clock() -> Clock:
    return Clock(EVENING)


@pytest.fixture
def book_path(tmp_path: Path, clock: Clock) -> Path:
    path = build_book(tmp_path / "logbook.db", clock)
    with open_book(path, clock=clock) as book:
        for length_mm in (50.0, 20.0):
            ring = Part(f"Ring {length_mm:.0f}", "extension ring")
            book.kit.add_part(ring.with_number("optical_length_mm", length_mm))
    begin_night(path, clock)
    return path


async def drafts_put(screen: OnScreen) -> None:
    assert screen.app.desk.drafts is not None
    screen.app.desk.drafts.put_now()
    await screen.settle()


def typed(screen: OnScreen, field: str) -> str:
    return screen.app.screen.query_one(f"#{field}", Input).value


async def fill(screen: OnScreen, field: str, value: str) -> None:
    screen.app.screen.query_one(f"#{field}", Input).value = value
    await screen.settle()


LINES = [
    ("kit", "r", RingFinder, "ring-wanted", "61.5 mm", "#ring-foot"),
    ("screws", "m", MeasureSheet, "measure-star", "Vega", "#measure-foot"),
    ("screws", "f", AskPath, "ask-path", "/nights/7", "#ask-foot"),
    ("night", "f", FramesSheet, "frames-folder", "/nights/7", "#frames-said"),
]


@pytest.mark.parametrize(("page", "key", "sheet", "field", "value", "foot"), LINES)
async def test_what_is_typed_in_a_sheet_is_there_when_it_is_opened_again(
    book_path: Path,
    clock: Clock,
    page: str,
    key: str,
    sheet: type[DraftedSheet[object]],
    field: str,
    value: str,
    foot: str,
) -> None:
    async with opened(book_path, clock, page) as screen:
        await screen.press("escape", key)
        assert isinstance(screen.app.screen, sheet)
        proposed = typed(screen, field)
        await fill(screen, field, value)
        await screen.press("escape")
        assert "as you left it" in screen.said
        await drafts_put(screen)
    async with opened(book_path, clock, page) as screen:
        await screen.press("escape", key)
        assert typed(screen, field) == value
        assert "As you left it at 21:00" in screen.words(foot)
        await screen.press("ctrl+l")
        assert typed(screen, field) == proposed
        await screen.press("escape", "escape", key)
        assert typed(screen, field) == proposed
        assert "As you left it" not in screen.words(foot)


async def test_a_look_as_it_was_left_is_logged_only_once_it_is_said_to_be_still_so(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise NotWritten("Not written: the disk is full. What was typed is still here.")

    async with opened(book_path, clock, "screws") as screen:
        await screen.press("l", "right", "right", "down", "s", "t", *"Vega", "enter")
        await screen.press("escape")
        await drafts_put(screen)
    async with opened(book_path, clock, "screws") as screen:
        await screen.press("l")
        sheet = screen.app.screen
        assert isinstance(sheet, EyeLook)
        left = sheet.look
        assert left.offset_fraction == pytest.approx(0.112, abs=0.001)  # 0.10 right, 0.05 down
        assert (left.side_of_focus, left.star) == ("inside", "Vega")
        assert "As you left it at 21:00" in screen.words("#eye-foot")
        await screen.press("enter")
        assert list(screen.timeline) == []
        monkeypatch.setattr(Timeline, "keep", full)
        await screen.press("y", "enter")
        assert "the disk is full" in screen.said
        monkeypatch.undo()
        await screen.press("l")
        assert isinstance(screen.app.screen, EyeLook)
        assert screen.app.screen.look == left, "what could not be saved is still there"
        await screen.press("y", "enter")
        assert [each.content.look.star for each in screen.timeline if each.content.look] == ["Vega"]
        await screen.press("l")
        assert "As you left it" not in screen.words("#eye-foot")


async def test_a_star_whose_name_did_not_arrive_whole_is_not_logged(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "screws") as screen:
        await screen.press("l", "right")
        await fill(screen, "eye-star", "Mira\N{REPLACEMENT CHARACTER}")
        await screen.press("enter")
        assert "did not arrive whole" in screen.words("#eye-foot")
        assert screen.timeline == ()
        await screen.press("escape", "m")
        await fill(screen, "measure-star", "Mira\N{REPLACEMENT CHARACTER}")
        await screen.press("ctrl+o")
        assert "did not arrive whole" in screen.words("#measure-foot")


async def test_a_train_half_put_together_is_on_the_bench_again(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "kit") as screen:
        await screen.press("e", "a", *"20", "enter", "a", *"50", "enter", "u")
        bench = screen.app.screen
        assert isinstance(bench, Bench)
        made = bench.steps.made
        await screen.press("escape")
        assert len(screen.app.screen_stack) == 1
        await screen.press("w")
        assert isinstance(screen.app.screen, Bench)
        assert screen.app.screen.steps.made != made, "trying has a draft of its own"
        await screen.press("v", *"aperture", "escape", "escape")
        await drafts_put(screen)
    async with opened(book_path, clock, "kit") as screen:
        ring = next(e for e in screen.book.kit.parts() if e.part.name == "Ring 20")
        screen.book.kit.rename_part(ring.id, "Ring twenty")
        screen.app.parts.follower.look()
        await screen.settle()
        await screen.press("e")
        bench = screen.app.screen
        assert isinstance(bench, Bench)
        names = [each.name for each in made.parts]
        assert [each.name.replace("twenty", "20") for each in bench.steps.made.parts] == names
        assert "As you left it at 21:00" in screen.words("#bench-keys")
        await screen.press("ctrl+o", *"for balance", "ctrl+o")
        assert screen.book.kit.train_named("Long train").revision == 2
        await screen.press("e")
        assert isinstance(screen.app.screen, Bench)
        assert "As you left it" not in screen.words("#bench-keys")


async def test_a_value_tried_and_a_place_set_come_back_and_a_part_that_is_gone_is_said(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "kit") as screen:
        desk = screen.app.desk
        train = desk.view.trains[0].train
        tried = valued(train, "Long Tube", "focal_length_mm", 1600.0)
        tried = placed(tried, Placement("Small Chip", 3.5, -20.0))
        values = left_values(tried, desk.view.parts)
        assert train_left(values, train, desk.view.parts) == tried
        gone = [each for each in desk.view.parts if each.part.name != "Small Chip"]
        with pytest.raises(BadInput, match="is gone"):
            train_left(values, replace(train, parts=()), gone)


async def test_limits_half_typed_are_on_the_line_again(book_path: Path, clock: Clock) -> None:
    async with opened(book_path, clock, "choose") as screen:
        await screen.press("l", *"galaxies,", "space", *"above", "space", *"3")
        await drafts_put(screen)
    async with opened(book_path, clock, "choose") as screen:
        await screen.press("l")
        assert typed(screen, "limits-input") == "galaxies, above 3"
        assert "As you left it at 21:00" in screen.words("#limits-said")
        await screen.press("5", "enter")
        assert screen.book.choices.get("limits") == "galaxies, above 35"
        await screen.press("l")
        assert "As you left it" not in screen.words("#limits-said")
        await screen.press(*", moon 40", "escape", "l", "ctrl+l")
        assert typed(screen, "limits-input") == "galaxies, above 35"


@contextmanager
def program(book_path: Path, home: Path) -> Iterator[Terminal]:
    arguments = ["-m", "logbook", "--book", str(book_path)]
    with Terminal(arguments, environment=quiet_environment(home)) as it:
        it.wait_for("Mill Hill")
        yield it


def test_the_bench_and_the_limits_are_there_after_a_kill(book_path: Path, tmp_path: Path) -> None:
    bench, limits = "\x1b[15~", "\x1bOQ"  # F5, F2
    with program(book_path, tmp_path) as it:
        it.press(bench)
        it.wait_for("Long train")
        it.press("e")
        it.wait_for("Change Long train")
        it.press("a")
        it.wait_for("Behind")
        it.press("20\r")
        it.wait_for("Ring 20")
        time.sleep(DRAFT_LAG_S * 5)  # a busy machine
        it.kill()
    with program(book_path, tmp_path) as it:
        it.press(bench)
        it.wait_for("Long train")
        it.press("e")
        it.wait_for("As you left it")
        it.wait_for("Ring 20")
        it.press("\x1b")
        it.wait_for("Not saved: what you put together of Long train")
        it.press(limits)
        it.wait_for("Choose")
        it.press("l")
        it.wait_for("keep as a set")
        it.press("galaxies, ab")
        it.wait_for("galaxies, ab")
        time.sleep(DRAFT_LAG_S * 5)
        it.kill()
    with program(book_path, tmp_path) as it:
        it.press(limits)
        it.wait_for("Choose")
        it.press("l")
        it.wait_for("galaxies, ab")
