"""Keys in one burst, to a program that stands still meanwhile, do what the same keys do slowly."""

import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from os import kill
from pathlib import Path

import pytest

from tests.screen.keys_sent import (
    BACKSPACE,
    DOWN,
    ENTER,
    ESCAPE,
    F2,
    F3,
    F4,
    F5,
    F6,
    F9,
    F10,
    HOME,
    PAGE_DOWN,
    TAB,
    UP,
    ctrl,
)
from tests.screen.terminal import PATIENCE_S, Terminal, quiet_environment

pytestmark = pytest.mark.slow

_STILL_S = 0.6
EMPTY = ctrl("l")  # what was typed in a form before is there again

# (the page, then what is typed on it key by key)
BURSTS: dict[str, tuple[str, ...]] = {
    "a line from the list": (F2, ctrl("t"), *"note a burst"),
    "a page and a line": (F2, F3, ctrl("t"), *"note b", BACKSPACE, "c"),
    "limits": (F2, "l", EMPTY, *" alt 40"),
    "search of the sky": (F2, "/", *"m31", DOWN),
    "the object of the row": (F2, DOWN, UP, "o"),
    "the running order": (F2, "r", DOWN),
    "a sheet and another page": (F2, "w", ESCAPE, F5),
    "a night read and scrolled": (F6, ENTER, PAGE_DOWN),
    "the next night": (F6, DOWN, ENTER, DOWN),
    "words looked for": (F6, "/", *"clouds"),
    "a night to be written": (F6, ENTER, "w"),
    "trends": (F6, "t", PAGE_DOWN),
    "a new part": (
        F5,
        "n",
        EMPTY,
        *"ring",
        ENTER,
        *"thin",
        ENTER,
        EMPTY,
        *"62",
        ENTER,
        *"61.5",
        ENTER,
        *"48",
    ),
    "fields by tab": (F5, "n", EMPTY, *"ring", TAB, *"thin", UP, *"s"),
    "a train": (F5, "c", EMPTY, *"wide", DOWN, DOWN, *"little"),
    "the bench": (F5, "e", DOWN, DOWN),
    "a look by eye": (F4, "l", EMPTY, "\x1b[C", "\x1b[C", UP),
    "work done": (ctrl("n"), "d", EMPTY, *"cleaned"),
    "a form of an entry": (F2, F9, ENTER, EMPTY, *"3/5", ENTER, *"4/5", ENTER, *"20"),
    "the next kind of form": (F2, F9, DOWN, DOWN, ENTER, EMPTY, *"x"),
    "a night begun": (F2, F10, EMPTY, UP, UP, UP, *"Q"),
    "the search of actions": (F2, ctrl("p"), *"tren"),
    "pages of the search of actions": (F2, ctrl("p"), PAGE_DOWN),
}


def standing(text: str) -> str:
    """The screen under the clock, without times of day."""
    return re.sub(r"\d\d:\d\d(:\d\d)?", "hh:mm", "\n".join(text.splitlines()[3:]))


@pytest.fixture(scope="module")
def busy_machine() -> Iterator[None]:
    """Something else runs as well."""
    other = subprocess.Popen([sys.executable, "-c", "while True: pass"])
    yield
    other.kill()
    other.wait()


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Terminal]:
    home: Path = tmp_path_factory.mktemp("home")
    with Terminal(["-m", "logbook", "demo"], environment=quiet_environment(home)) as it:
        it.wait_for("Ottermoss")
        it.wait_for(lambda text: "°" in "".join(text.splitlines()[5:8]))
        yield it


def settle(it: Terminal) -> None:
    """Until nothing more is drawn."""
    began = time.monotonic()
    ends = began + _STILL_S
    while time.monotonic() < min(ends, began + PATIENCE_S):
        drawn = len(it.raw)
        assert it.read(0.05), "the program ended"
        if len(it.raw) > drawn:
            ends = time.monotonic() + _STILL_S


def begin(it: Terminal, page: str) -> None:
    """Out of whatever is open, then to the top of the page, with an empty line."""
    for key in (*ESCAPE * 3, ctrl("t"), ctrl("u"), F6, page, HOME):
        it.press(key)
        settle(it)


@pytest.mark.usefixtures("busy_machine")
@pytest.mark.parametrize("typed", BURSTS.values(), ids=BURSTS.keys())
def test_a_burst_does_what_the_same_keys_do_slowly(
    program: Terminal, typed: tuple[str, ...]
) -> None:
    page, *keys = typed
    begin(program, page)
    for key in keys:
        program.press(key)
        settle(program)
    slowly = standing(program.text)
    begin(program, page)
    kill(program.pid, signal.SIGSTOP)
    # A lone Escape is one only if nothing follows it, so it ends a packet.
    for packet in re.split(rf"(?<={ESCAPE})(?=[^\[O]|$)", "".join(keys)):
        program.press(packet)
    kill(program.pid, signal.SIGCONT)
    program.wait_for(lambda text: standing(text) == slowly)
    settle(program)
    assert standing(program.text) == slowly
