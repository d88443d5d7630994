"""F1 in a form says what each field takes, with an example; in a sheet, what its keys do."""

import ast
import inspect
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from textual.screen import ModalScreen
from textual.widgets import Input

import logbook.screen
from logbook.errors import BadInput
from logbook.kit.parts.kinds import KINDS, Quantity
from logbook.kit.parts.typed_values import read_value
from logbook.screen.app.help import HelpSheet, key_lines, sheet_lines
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.dialogs.site_form import NewSite
from logbook.screen.pages.choose.project_form import NewProject
from logbook.screen.pages.kit.bench import Bench
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import build_book, opened

SOURCES = sorted(Path(logbook.screen.__file__).parent.rglob("*.py"))


@pytest.fixture
def clock() -> Clock:
    return Clock(EVENING)


@pytest.fixture
def book_path(tmp_path: Path, clock: Clock) -> Path:
    return build_book(tmp_path / "logbook.db", clock)


def fields_in_source() -> Iterator[tuple[str, ast.Call]]:
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Field":
                yield f"{path.name}:{node.lineno}", node


def test_no_field_can_be_made_without_its_help_and_an_example() -> None:
    with pytest.raises(TypeError):
        Field("name", "Name")  # type: ignore[call-arg]
    found = list(fields_in_source())
    assert len(found) > 100
    for where, call in found:
        given = {each.arg: each.value for each in call.keywords}
        for wanted in ("help", "example"):
            assert wanted in given, where
            said = given[wanted]
            assert not (isinstance(said, ast.Constant) and not said.value), where


def modal_screens(base: type[Any] = ModalScreen) -> Iterator[type[Any]]:
    for each in base.__subclasses__():
        yield each
        yield from modal_screens(each)


def test_every_sheet_in_which_something_is_typed_says_what_it_takes() -> None:
    for path in SOURCES:
        if path.name != "app.tcss":
            name = ".".join(path.relative_to(SOURCES[0].parent.parent.parent).with_suffix("").parts)
            __import__(name)
    typed_in = [
        each
        for each in modal_screens()
        if each.__module__.startswith("logbook.") and "Input(" in inspect.getsource(each)
    ]
    assert len(typed_in) > 5
    for each in typed_in:
        own_help = any("f1" in str(binding) for binding in each.__dict__.get("BINDINGS", ()))
        assert issubclass(each, Form) or hasattr(each, "FIELDS") or own_help, each


QUANTITIES = [
    pytest.param(quantity, id=f"{kind.name} {quantity.name}")
    for kind in KINDS.values()
    for quantity in kind.quantities
]


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_every_value_of_a_part_says_what_is_measured_and_takes_its_own_examples(
    quantity: Quantity,
) -> None:
    assert quantity.means.endswith(".")
    pieces = [quantity.example] if quantity.is_text else quantity.example.split(", ")
    if quantity.is_thread:
        pieces = quantity.example.split(", ")
    for piece in pieces:
        read_value(quantity, piece.removeprefix("or "))


def test_a_focuser_says_from_where_its_length_counts() -> None:
    """Of the two that are in use, in and out, the book calculates from all the way in."""
    length = KINDS["focuser"].quantity("optical_length_mm")
    assert length is not None
    assert "racked all the way in" in length.means


async def test_f1_in_a_form_says_what_the_field_takes_and_loses_nothing(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "choose") as screen:
        screen.app.action_new_site()
        await screen.settle()
        await screen.press(*"Hill", "enter", *"52.1", "f1")
        assert isinstance(screen.app.screen, HelpSheet)
        told = screen.words("VerticalScroll")
        assert told.splitlines()[0].strip() == "The field you are in"
        assert "Latitude, then longitude" in told
        assert "52.1 -3.7" in told
        await screen.press("f1")
        assert isinstance(screen.app.screen, NewSite)
        assert screen.app.screen.query_one("#field-name", Input).value == "Hill"
        assert screen.app.focused is not None
        assert screen.app.focused.id == "field-where"
        await screen.press(*" -3")
        assert screen.app.screen.query_one("#field-where", Input).value == "52.1 -3"


async def test_f1_in_a_sheet_lists_its_keys_and_f1_in_help_closes_it(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "kit") as screen:
        await screen.press("e")
        bench = screen.app.screen
        assert type(bench) is Bench
        told = "\n".join(line.plain for line in key_lines(bench))
        for words in ("Reckon with another value of the part", "The rest of the numbers"):
            assert words in told
        await screen.press("f1")
        assert type(screen.app.screen) is HelpSheet
        assert "Put a part from the shelf behind the chosen one" in screen.words("VerticalScroll")
        await screen.press("f1", "f1")
        assert type(screen.app.screen) is HelpSheet
        assert len(screen.app.screen_stack) == 3, "help never lies on help"
        await screen.press("escape")
        assert screen.app.screen_stack[-1] is bench


async def test_a_form_s_help_names_its_own_keys(book_path: Path, clock: Clock) -> None:
    async with opened(book_path, clock, "choose") as screen:
        screen.app.action_new_site()
        await screen.settle()
        told = "\n".join(line.plain for line in sheet_lines(screen.app.screen))
        for words in ("ctrl+o", "Escape", "F7", "F1", "↓", "To the next field"):
            assert words in told


async def test_examples_of_a_project_s_hours_are_read(book_path: Path, clock: Clock) -> None:
    async with opened(book_path, clock, "choose") as screen:
        made = NewProject(screen.app.desk, ())
        hours = next(each for each in made.fields if each.name == "hours")
        for piece in hours.example.split(", "):
            try:
                hours.check(piece)
            except BadInput as error:
                raise AssertionError(piece) from error
