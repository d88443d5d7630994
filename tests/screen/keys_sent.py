"""Keys as a terminal sends them, so that a burst can be one write."""

ENTER, TAB, BACKSPACE, ESCAPE = "\r", "\t", "\x7f", "\x1b"
UP, DOWN, RIGHT, LEFT = "\x1b[A", "\x1b[B", "\x1b[C", "\x1b[D"
PAGE_UP, PAGE_DOWN, HOME, END = "\x1b[5~", "\x1b[6~", "\x1b[H", "\x1b[F"
F1, F2, F3, F4, F5 = "\x1bOP", "\x1bOQ", "\x1bOR", "\x1bOS", "\x1b[15~"
F6, F7, F8, F9, F10 = "\x1b[17~", "\x1b[18~", "\x1b[19~", "\x1b[20~", "\x1b[21~"


def ctrl(letter: str) -> str:
    """Control and a letter."""
    return chr(ord(letter) & 0x1F)
