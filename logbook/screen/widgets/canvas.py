"""Small drawings from braille dots: two across and four down in every cell of the terminal."""

import math

_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
_BLANK = 0x2800


class Canvas:
    """A drawing of `columns` x `rows` cells; dots count from the top left, x across, y down."""

    def __init__(self, columns: int, rows: int) -> None:
        self.columns, self.rows = columns, rows
        self.width, self.height = columns * 2, rows * 4
        self._cells = [[0] * columns for _ in range(rows)]
        self._words: dict[tuple[int, int], str] = {}

    def dot(self, x: float, y: float) -> None:
        """Set a dot; outside the drawing nothing happens."""
        column, row = math.floor(x / 2), math.floor(y / 4)
        if 0 <= column < self.columns and 0 <= row < self.rows:
            self._cells[row][column] |= _DOTS[math.floor(y) % 4][math.floor(x) % 2]

    def line(self, x0: float, y0: float, x1: float, y1: float, *, every: int = 1) -> None:
        """A straight line, of every n-th dot."""
        steps = max(1, math.ceil(max(abs(x1 - x0), abs(y1 - y0))))
        for step in range(0, steps + 1, every):
            self.dot(x0 + (x1 - x0) * step / steps, y0 + (y1 - y0) * step / steps)

    def ellipse(
        self, x: float, y: float, half_long: float, half_short: float, turn_deg: float = 0.0
    ) -> None:
        """An ellipse whose long half axis points `turn_deg` clockwise from up."""
        turn = math.radians(turn_deg)
        steps = max(24, math.ceil(8 * max(half_long, half_short)))
        for step in range(steps):
            angle = 2.0 * math.pi * step / steps
            along, across = half_long * math.cos(angle), half_short * math.sin(angle)
            self.dot(
                x + along * math.sin(turn) + across * math.cos(turn),
                y - along * math.cos(turn) + across * math.sin(turn),
            )

    def disc(self, x: float, y: float, radius: float, *, every: int = 1) -> None:
        """A filled disc, of every n-th dot across and down."""
        for dy in range(-math.ceil(radius), math.ceil(radius) + 1):
            for dx in range(-math.ceil(radius), math.ceil(radius) + 1):
                wanted = (math.floor(x + dx) + math.floor(y + dy)) % every == 0
                if dx * dx + dy * dy <= radius * radius and wanted:
                    self.dot(x + dx, y + dy)

    def word(self, column: int, row: int, text: str) -> None:
        """Write over the drawing, from a cell on."""
        for offset, character in enumerate(text):
            if 0 <= column + offset < self.columns and 0 <= row < self.rows:
                self._words[column + offset, row] = character

    def lines(self) -> list[str]:
        """The drawing, a string a row."""
        return [
            "".join(
                self._words.get((column, row)) or (chr(_BLANK + cell) if cell else " ")
                for column, cell in enumerate(cells)
            )
            for row, cells in enumerate(self._cells)
        ]
