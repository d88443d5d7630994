"""Random keys, half of them in bursts, typed to the real program; it must not end by them.

`python -m tests.screen.random_keys [N [SEED]]` types N keys (3,000 by default).
"""

import random
import sys
import tempfile
from pathlib import Path

from tests.screen.keys_sent import (
    BACKSPACE,
    DOWN,
    ENTER,
    ESCAPE,
    F1,
    F2,
    F3,
    F4,
    F5,
    F6,
    F7,
    F8,
    F9,
    F10,
    PAGE_DOWN,
    PAGE_UP,
    TAB,
    UP,
    ctrl,
)
from tests.screen.terminal import Terminal, quiet_environment

_LEADING: tuple[str, ...] = (
    F1,
    F2,
    F3,
    F4,
    F5,
    F6,
    F7,
    F8,
    F9,
    F10,
    *(ctrl(each) for each in "tngypo"),
)
_MOVING: tuple[str, ...] = (
    UP,
    DOWN,
    "\x1b[C",
    "\x1b[D",
    PAGE_UP,
    PAGE_DOWN,
    TAB,
    "\x1b[H",
    "\x1b[F",
)
_CLOSING = (ENTER, ENTER, ESCAPE, "q")
_SIGNS: tuple[str, ...] = (*"abcdefghijklmnopqrstuvwxyz0123456789/+- .;", BACKSPACE)
_LINES = ("seeing 3/5", "air 4", "start m31", "20 x 180s Ha", "turn A tighten 1/8", "note")


def drawn_key(drawn: random.Random) -> str:
    kind = drawn.random()
    if kind < 0.3:
        return drawn.choice(_CLOSING)
    if kind < 0.5:
        return drawn.choice(_LEADING)
    if kind < 0.7:
        return drawn.choice(_MOVING)
    if kind < 0.75:
        return drawn.choice(_LINES)
    return drawn.choice(_SIGNS)


def packets(count: int, seed: int) -> list[str]:
    """As many keys, half of them in packets of two to eight; every key may come twice."""
    drawn, made, keys = random.Random(seed), [], 0
    while keys < count:
        many = drawn.randint(2, 8) if drawn.random() < 0.18 else 1
        packet = [drawn_key(drawn) for _ in range(many)]
        if many > 1 and drawn.random() < 0.5:
            packet = [each for each in packet for _ in range(2)]
        made.append("".join(packet))
        keys += len(packet)
    return made


def type_all(program: Terminal, typed: list[str]) -> str:
    """Type packet by packet; what ended the program, or nothing."""
    for place, packet in enumerate(typed):
        try:
            program.press(packet)
            alive = program.read(0.02) and program.read(0.02)
        except OSError:
            alive = False
        if not alive:
            return f"after packet {place}: {typed[max(0, place - 12) : place + 1]!r}"
    return ""


def run(count: int, seed: int, home: Path) -> str:
    """One season's worth of typing on a fresh copy of the demo; words of its end, or nothing."""
    with Terminal(["-m", "logbook", "demo"], environment=quiet_environment(home)) as program:
        program.wait_for("Ottermoss")
        ended = type_all(program, packets(count, seed))
        if not ended:
            program.press(ESCAPE)
            for _ in range(100):
                if not program.read(0.05):
                    ended = "at the end"
                    break
        return f"seed {seed}: {ended}\n{program.text}" if ended else ""


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 3000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    home = Path(tempfile.mkdtemp())
    print(run(count, seed, home) or f"{count} keys of seed {seed}: the program goes on.")
    for each in home.rglob("crash-*.txt"):
        print(each.read_text()[-1500:])


if __name__ == "__main__":
    main()
