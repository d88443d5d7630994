"""How soon the program is there, against the least that its libraries allow."""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.screen.terminal import Terminal, quiet_environment

ROUNDS = 5
BARE_APP = """
from textual.app import App
from textual.widgets import Static
class Bare(App):
    def compose(self):
        yield Static("first paint")
Bare().run()
"""


def run() -> list[str]:
    """First paint of the demo against a bare app; `tonight --json` against importing astroplan."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        environment = quiet_environment(home, PYTHONPATH=os.getcwd())
        _seconds_of(
            ["-m", "logbook", "tonight", "--demo", "--json"], environment
        )  # builds the demo
        bare = _median(lambda: _first_paint(["-c", BARE_APP], "first paint", environment))
        ours = _median(lambda: _first_paint(["-m", "logbook", "demo"], "F2 Choose", environment))
        astroplan = _median(lambda: _seconds_of(["-c", "import astroplan"], environment))
        tonight = _median(
            lambda: _seconds_of(["-m", "logbook", "tonight", "--demo", "--json"], environment)
        )
    return [
        f"first paint: demo {ours * 1e3:.0f} ms, bare app {bare * 1e3:.0f} ms, "
        f"ratio {ours / bare:.2f}",
        f"tonight --demo --json {tonight:.2f} s, importing astroplan {astroplan:.2f} s, "
        f"ratio {tonight / astroplan:.2f}",
    ]


def _median(measure: Callable[[], float]) -> float:

    return statistics.median(measure() for _ in range(ROUNDS))


def _first_paint(arguments: list[str], words: str, environment: dict[str, str]) -> float:
    begun = time.perf_counter()
    with Terminal(arguments, environment=environment) as terminal:
        while words not in terminal.text:
            if not terminal.read(0.005):
                raise RuntimeError(f"it ended before {words!r} was drawn:\n{terminal.text}")
        return time.perf_counter() - begun


def _seconds_of(arguments: list[str], environment: dict[str, str]) -> float:
    begun = time.perf_counter()
    subprocess.run(
        [sys.executable, *arguments], env=environment, check=True, stdout=subprocess.DEVNULL
    )
    return time.perf_counter() - begun


if __name__ == "__main__":
    print("\n".join(run()))
