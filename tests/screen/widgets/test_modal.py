"""A sheet, form or list over the page closes once, however its closing keys come."""

import importlib
import pkgutil
from pathlib import Path
from typing import Any

import pytest
from textual.app import App, ComposeResult
from textual.screen import ModalScreen, Screen

import logbook.screen
from logbook.screen.widgets.modal import Modal, Palette
from tests.screen.keys_sent import ENTER, ESCAPE, F9, F10, ctrl
from tests.screen.killing import book_with_a_night
from tests.screen.terminal import Terminal, quiet_environment


def every_modal() -> list[type[ModalScreen[Any]]]:
    """Every screen of the program that lies over a page."""
    for each in pkgutil.walk_packages(logbook.screen.__path__, "logbook.screen."):
        importlib.import_module(each.name)
    found: list[type[ModalScreen[Any]]] = []
    waiting: list[type[ModalScreen[Any]]] = [ModalScreen]
    while waiting:
        kind = waiting.pop()
        waiting += kind.__subclasses__()
        found += [kind] if kind.__module__.startswith("logbook.") else []
    return sorted(set(found), key=lambda each: each.__qualname__)


def bare(kind: type[ModalScreen[Any]]) -> ModalScreen[object]:
    """One without anything on it; how it closes is its own."""

    class Bare(kind):  # type: ignore[valid-type, misc]
        def __init__(self) -> None:
            Screen.__init__(self)

        def compose(self) -> ComposeResult:
            return iter(())

        async def on_event(self, event: object) -> None:
            """Nothing is drawn, so nothing is to be done."""

    made = Bare()
    assert isinstance(made, ModalScreen)
    return made


@pytest.mark.parametrize("kind", every_modal(), ids=lambda each: each.__qualname__)
async def test_a_second_closing_key_finds_nothing_to_close(kind: type[ModalScreen[Any]]) -> None:
    assert kind.dismiss in (Modal.dismiss, Palette.dismiss)
    app: App[None] = App()
    answers: list[object] = []
    async with app.run_test() as pilot:
        below, upper = ModalScreen[object](), bare(kind)
        app.push_screen(below)
        app.push_screen(upper, answers.append)
        upper.dismiss(None)
        upper.dismiss(None)
        await pilot.pause()
        assert app.screen is below
        assert len(answers) == 1


def test_the_search_of_actions_is_one_of_them() -> None:
    assert Palette in every_modal()


@pytest.mark.parametrize(
    "bursts",
    [
        (F10, ENTER + ENTER),
        (F10 + ENTER + ENTER,),
        (ctrl("p"), "help", ENTER + ENTER),
        (F9, ENTER + ENTER, ctrl("o") + ctrl("o")),
        (F9 + F9, ENTER + ENTER + ENTER),
    ],
)
def test_closing_keys_in_one_packet_do_not_end_the_program(
    tmp_path: Path, bursts: tuple[str, ...]
) -> None:
    book = book_with_a_night(tmp_path)
    with Terminal(
        ["-m", "logbook", "--book", str(book)], environment=quiet_environment(tmp_path)
    ) as it:
        it.wait_for("Hollow Edge")
        it.wait_for("Nothing runs")
        for each in bursts:
            it.press(each)
            for _ in range(20):
                assert it.read(0.05), "the program ended"
        for each in (*ESCAPE * 5, ctrl("t")):
            it.press(each)
            for _ in range(20):
                assert it.read(0.05), "the program ended"
        it.press("note still here" + ENTER)
        it.wait_for("Kept: note: still here")
