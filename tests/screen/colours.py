"""What a terminal was told to draw, and in which colours, cell by cell and byte by byte."""

import re

import pyte
from rich.color import Color

SGR = re.compile(rb"\x1b\[([0-9;:]*)m")


def colours_sent(raw: bytes) -> set[tuple[int, ...]]:
    """Every colour set by SGR sequences, as RGB, in 24-bit, 256 and 16 colours.

    Source: ECMA-48 (SGR) and the colour table of xterm's ctlseqs document.
    """
    found: set[tuple[int, ...]] = set()
    for codes in _codes(raw):
        while codes:
            code = codes.pop(0)
            if code in (38, 48) and codes and codes[0] == 2:
                found.add((codes[1], codes[2], codes[3]))
                del codes[:4]
            elif code in (38, 48) and codes and codes[0] == 5:
                found.add(tuple(Color.from_ansi(codes[1]).get_truecolor()))
                del codes[:2]
            elif 30 <= code <= 37 or 40 <= code <= 47:
                found.add(tuple(Color.from_ansi(code % 10).get_truecolor()))
            elif 90 <= code <= 97 or 100 <= code <= 107:
                found.add(tuple(Color.from_ansi(8 + code % 10).get_truecolor()))
    return found


def codes_sent(raw: bytes) -> set[int]:
    """Every number in an SGR sequence."""
    return {code for codes in _codes(raw) for code in codes}


def _codes(raw: bytes) -> list[list[int]]:
    shown = [match.group(1).replace(b":", b";").split(b";") for match in SGR.finditer(raw)]
    return [[int(code) if code else 0 for code in codes] for codes in shown]


class Watched(pyte.Screen):
    """A screen that remembers every drawn text whose colours were not red on red or black."""

    def __init__(self, columns: int, rows: int) -> None:
        self.drawn = 0
        self.not_red: set[tuple[str, str, str]] = set()
        super().__init__(columns, rows)

    def draw(self, data: str) -> None:
        cell = self.cursor.attrs
        text, ground = (cell.bg, cell.fg) if cell.reverse else (cell.fg, cell.bg)
        shown = _is_red(ground) and (_is_red(text) or not data.strip())
        self.drawn += 1
        if not shown:
            self.not_red.add((data[:40], cell.fg, cell.bg))
        super().draw(data)


def _is_red(name: str) -> bool:
    """By pyte's names: a colour of the sixteen, `default`, or six hex digits."""
    return name in ("red", "black") or bool(re.fullmatch(r"[0-9a-f]{2}0000", name))
