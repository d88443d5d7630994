"""Letters of whole blocks, to be read from the front of the tube, two metres off.

Every letter is a small grid of squares, five high. A square is drawn two columns wide and one row
high, or as many times that as there is room; the two rows between the bars of a letter may be
doubled, which makes letters taller without making them wider.
"""

_SQUARES = {
    "A": "010 101 111 101 101",
    "B": "110 101 110 101 110",
    "C": "111 100 100 100 111",
    "D": "110 101 101 101 110",
    "E": "111 100 110 100 111",
    "F": "111 100 110 100 100",
    "G": "1111 1000 1011 1001 1111",
    "H": "101 101 111 101 101",
    "I": "1 1 1 1 1",
    "J": "001 001 001 101 111",
    "K": "1001 1010 1100 1010 1001",
    "L": "100 100 100 100 111",
    "M": "10001 11011 10101 10001 10001",
    "N": "1001 1101 1011 1001 1001",
    "O": "111 101 101 101 111",
    "P": "111 101 111 100 100",
    "Q": "1110 1010 1010 1110 0011",
    "R": "110 101 110 101 101",
    "S": "111 100 111 001 111",
    "T": "111 010 010 010 010",
    "U": "101 101 101 101 111",
    "V": "101 101 101 101 010",
    "W": "10001 10001 10101 11011 10001",
    "X": "101 101 010 101 101",
    "Y": "101 101 010 010 010",
    "Z": "111 001 010 100 111",
    "0": "111 101 101 101 111",
    "1": "01 11 01 01 01",
    "2": "111 001 111 100 111",
    "3": "111 001 111 001 111",
    "4": "101 101 111 001 001",
    "5": "111 100 111 001 111",
    "6": "111 100 111 101 111",
    "7": "111 001 001 010 010",
    "8": "111 101 111 101 111",
    "9": "111 101 111 001 111",
    "/": "001 001 010 100 100",
    ".": "0 0 0 0 1",
    ",": "0 0 0 1 1",
    "-": "00 00 11 00 00",
    ":": "0 1 0 1 0",
    "+": "000 010 111 010 000",
    "?": "111 001 011 000 010",
    "°": "11 11 00 00 00",
    "'": "1 1 0 0 0",
    " ": "00 00 00 00 00",
}
_TALL = (0, 1, 1, 2, 3, 3, 4)  # the rows of a letter seven high
HIGH = 5


def drawable(text: str) -> bool:
    """Whether every letter of `text` has a drawing."""
    return bool(text) and all(letter in _SQUARES for letter in text.upper())


def big_lines(text: str, columns: int, rows: int) -> list[str]:
    """`text` as large as it fits into `columns` x `rows`; no lines where it does not fit at all.

    Letters without a drawing make it fit nowhere: the caller writes such words small.
    """
    if not drawable(text):
        return []
    grid = _grid(text.upper())
    scale = min(columns // (2 * len(grid[0])), rows // HIGH)
    if scale < 1:
        return []
    kept = _TALL if rows >= scale * len(_TALL) else tuple(range(HIGH))
    return [_line(grid[row], scale) for row in kept for _ in range(scale)]


def _grid(text: str) -> list[str]:
    """The squares of a whole word, a blank column between letters."""
    letters = [_SQUARES[letter].split() for letter in text]
    return ["0".join(letter[row] for letter in letters) for row in range(HIGH)]


def _line(squares: str, scale: int) -> str:
    return "".join(("█" if each == "1" else " ") * 2 * scale for each in squares).rstrip()
