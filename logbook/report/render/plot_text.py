"""A plot as lines of a terminal: braille dots and bars under a scale."""

from logbook.report.render.document import Plot
from logbook.report.render.plot_scale import marks_words, reach, scale

_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
_BLANK = 0x2800


def plot_lines(plot: Plot, columns: int = 72, rows: int = 8) -> list[str]:
    """The plot in `columns` x about `rows` cells: title, scale on the left, ticks below.

    Several series share the dots; what distinguishes them stands in the title line.
    """
    points = [point for line in plot.lines for point in line.points]
    head = f"{plot.title} ({plot.unit})" if plot.unit else plot.title
    if not points:
        return [head, "  nothing to draw yet"]
    low_x, high_x = reach(points, plot)
    marks, decimals = scale([y for _, y in points], from_zero=plot.bars)
    low, high = marks[0], marks[-1]
    labels = marks_words(marks, decimals)
    margin = max(len(each) for each in labels) + 1
    wide = max(10, columns - margin - 1)
    cells = [[0] * wide for _ in range(rows)]

    def place(x: float, y: float) -> tuple[int, int]:
        return (
            round((x - low_x) / (high_x - low_x) * (wide * 2 - 1)),
            round((high - y) / (high - low) * (rows * 4 - 1)),
        )

    for line in plot.lines:
        before: tuple[int, int] | None = None
        for x, y in line.points:
            at = place(x, y)
            if plot.bars:
                _bar(cells, at, round(0.3 * (wide * 2 - 1) / len(line.points)) if y else None)
            elif line.joined and before is not None:
                _join(cells, before, at)
            else:
                _dot(cells, *at)
            before = at
    said = {place(low_x, mark)[1] // 4: words for mark, words in zip(marks, labels, strict=True)}
    drawn = [f"{said.get(row, ''):>{margin - 1}} │{_row(line)}" for row, line in enumerate(cells)]
    return [head, *drawn, _tick_line(plot, low_x, high_x, wide, margin)]


def _row(cells: list[int]) -> str:
    return "".join(chr(_BLANK + cell) if cell else " " for cell in cells).rstrip()


def _dot(cells: list[list[int]], x: int, y: int) -> None:
    if 0 <= y // 4 < len(cells) and 0 <= x // 2 < len(cells[0]):
        cells[y // 4][x // 2] |= _DOTS[y % 4][x % 2]


def _bar(cells: list[list[int]], top: tuple[int, int], half: int | None) -> None:
    """A bar of 2 · half + 1 dots' width; None for a bar of no height."""
    floor = len(cells) * 4 - 1
    for x in range(top[0] - half, top[0] + half + 1) if half is not None else ():
        _join(cells, (x, floor), (x, top[1]))


def _join(cells: list[list[int]], start: tuple[int, int], end: tuple[int, int]) -> None:
    steps = max(1, abs(end[0] - start[0]), abs(end[1] - start[1]))
    for step in range(steps + 1):
        x = start[0] + (end[0] - start[0]) * step / steps
        y = start[1] + (end[1] - start[1]) * step / steps
        _dot(cells, round(x), round(y))


def _tick_line(plot: Plot, low: float, high: float, wide: int, margin: int) -> str:
    """Words under the axis; one that would touch the one before is left out."""
    line = [" "] * wide
    free_from = 0
    for x, words in plot.ticks:
        start = round((x - low) / (high - low) * (wide - 1))
        start = min(start, wide - len(words))
        if start < free_from or len(words) > wide:
            continue
        line[start : start + len(words)] = words
        free_from = start + len(words) + 1
    return " " * (margin + 1) + "".join(line).rstrip()
