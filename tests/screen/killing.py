"""The real program killed at a random moment while somebody types, and what the book then holds.

`python -m tests.screen.killing [N]` kills it N times (1,000 by default) and prints the
figures; the suite does a few of the same.
"""

import random
import signal
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from logbook.kit.parts.part import Part
from logbook.sky.night.site import Site
from logbook.store.opening import make_book, open_book
from tests.clock import zone_far_from_noon
from tests.screen.terminal import Terminal, quiet_environment

SIGNALS = (signal.SIGKILL, signal.SIGHUP, signal.SIGTERM)
DRAFT_LAG_S = 0.3
_BATCH = 50
_BETWEEN_KEYS_S = 0.012  # some seventy letters a second, five times as fast as anyone types
_READING_LAG_S = 0.15  # what is seen here was drawn a little earlier
_WORDS = ("wind", "from", "the", "north", "cloud", "bank", "dew", "on", "finder", "calm", "again")


@dataclass(frozen=True, slots=True)
class Death:
    """One kill: how it died, what it had shown, and what was missing afterwards."""

    how: signal.Signals
    acknowledged: int
    lost: tuple[str, ...]  # lines it showed as saved, and the book hasn't
    lost_typing: str  # half-typed words that had stood on the line for 0.3 s, and are gone
    unsound: str  # what SQLite found wrong with the file


def book_with_a_night(folder: Path) -> Path:
    """A book with a night in progress, so that the entry line keeps at once."""
    path = make_book(folder / "logbook.db")
    with open_book(path) as book:
        site = book.sites.add(Site("Hollow Edge", 52.1, -3.7, 200.0, zone_far_from_noon()))
        book.kit.add_part(Part("Long Tube", "telescope").with_number("aperture_mm", 203))
        book.nights.start(site.id, None, "Ysolde", datetime.now(UTC))
    return path


def kill_once(path: Path, home: Path, number: int) -> Death:
    """Start the program on the book, type lines, kill it at a moment drawn by `number`."""
    drawn = random.Random(number)
    how = SIGNALS[number % 3]
    with Terminal(
        ["-m", "logbook", "--book", str(path)], environment=quiet_environment(home)
    ) as program:
        program.wait_for("Hollow Edge")
        typed = _Typist(program, drawn, number)
        if number % _BATCH == 0:  # so that even the slowest machine has shown something
            typed.type_one_line()
        typed.type_until(time.monotonic() + drawn.uniform(0.05, 1.5))
        killed = time.monotonic()
        program.kill(how)
    texts, draft, unsound = _read_book(path)
    before = [line for line in typed.said if line not in texts]
    words = typed.standing_at(killed - DRAFT_LAG_S - _READING_LAG_S)
    safe = words in draft or any(text.startswith(words) for text in texts)
    missing = "" if safe else f"{words!r}, where the draft is {draft!r}"
    return Death(how, len(typed.said), tuple(before), missing, unsound)


class _Typist:
    """Types lines with and without Enter, and remembers what the screen showed of them when."""

    def __init__(self, program: Terminal, drawn: random.Random, number: int) -> None:
        self._program = program
        self._drawn = drawn
        self._number = number
        self._count = 0
        self._sent: list[str] = []
        self._line: list[tuple[float, str]] = []  # what stood on the entry line, and since when
        self.said: list[str] = []  # lines it showed as saved

    def type_one_line(self) -> None:
        """Type a line on a line that is empty, and wait until it is shown as saved."""
        line = f"note k{self._number}n{self._count} calm"
        self._program.press(f"{line}\r")
        self._sent.append(line)
        while line not in self.said:
            self._program.wait_for("Kept: ")
            self._look(0.05)

    def type_until(self, ends: float) -> None:
        while time.monotonic() < ends:
            self._count += 1
            line = (
                f"note k{self._number}n{self._count} {' '.join(self._drawn.choices(_WORDS, k=3))}"
            )
            for letter in line:
                self._program.press(letter)
                time.sleep(_BETWEEN_KEYS_S)
                self._look(0.002)
                if time.monotonic() > ends:
                    return
            self._program.press("\r")
            self._sent.append(line)
            self._look(self._drawn.uniform(0.0, 0.1))

    def _look(self, wait_s: float) -> None:
        self._program.read(wait_s)
        shown = self._program.text
        for line in self._sent:
            if line not in self.said and f"Kept: {line.replace(' ', ': ', 1)} ·" in shown:
                self.said.append(line)
        begun = next((row[2:] for row in shown.splitlines() if row.startswith("▸ note ")), "")
        self._line.append((time.monotonic(), begun.strip()))

    def standing_at(self, instant: float) -> str:
        """What stood on the entry line then."""
        return next((words for seen, words in reversed(self._line) if seen <= instant), "")


def _read_book(path: Path) -> tuple[list[str], str, str]:
    """The texts saved, the draft and what is wrong with the file, read by sqlite alone."""
    with closing(sqlite3.connect(path)) as connection:
        found = str(connection.execute("PRAGMA integrity_check").fetchone()[0])
        texts = [text for (text,) in connection.execute("SELECT text FROM entry ORDER BY id")]
        drafts = [
            text
            for (text,) in connection.execute("SELECT text FROM typed ORDER BY window, position")
        ]
    return texts, " ; ".join(drafts), "" if found == "ok" else found


def _batch(first: int, count: int) -> list[Death]:
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        path = book_with_a_night(home)
        return [kill_once(path, home, first + each) for each in range(count)]


def main(kills: int) -> int:
    """Kill two programs side by side, `kills` times in all; 1 if anything was lost."""
    with ProcessPoolExecutor(2) as pool:
        firsts = range(0, kills, _BATCH)
        batches = pool.map(_batch, firsts, [_BATCH] * len(firsts))
        deaths: list[Death] = []
        for batch in batches:
            deaths += batch
            print(f"\r{len(deaths)} kills", end="", file=sys.stderr, flush=True)
    how = Counter(death.how.name for death in deaths)
    lost = [line for death in deaths for line in death.lost]
    typing = [death.lost_typing for death in deaths if death.lost_typing]
    unsound = [death.unsound for death in deaths if death.unsound]
    print(f"{len(deaths)} kills: {', '.join(f'{name} {count}' for name, count in how.items())}")
    print(f"entries said to be kept: {sum(death.acknowledged for death in deaths)}")
    print(f"of them lost: {len(lost)} {lost[:5]}")
    print(f"typing older than {DRAFT_LAG_S} s lost: {len(typing)} {typing[:5]}")
    print(f"books not sound afterwards: {len(unsound)} {unsound[:5]}")
    return 1 if lost or typing or unsound else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000))
