"""What is drawn of a train: its contrast, its ladder of lengths, the tube from the side."""

from collections.abc import Sequence
from itertools import pairwise, zip_longest

from rich.text import Text

from logbook.kit.train.balance import Balance
from logbook.kit.train.lengths import BackFocus
from logbook.screen.widgets.canvas import Canvas

Points = Sequence[tuple[float, float]]


def contrast_lines(curve: Points, clear: Points, columns: int, rows: int) -> list[str]:
    """Contrast against fineness of detail, both from 0 to 1; the clear aperture is dotted."""
    canvas = Canvas(columns, rows)
    _plot(canvas, clear, every=3)
    _plot(canvas, curve)
    drawn = canvas.lines()
    labels = {0: "1.0", rows // 2: "0.5", rows - 1: "0.0"}
    lines = [f"{labels.get(row, ''):>4}│{line}" for row, line in enumerate(drawn)]
    lines.append("    └" + "─" * columns)
    scale = f"{'coarse':<{max(1, columns - 14)}}finest passed "
    return [*lines, f"     {scale[:columns]}"]


def _plot(canvas: Canvas, points: Points, every: int = 1) -> None:
    places = [
        ((canvas.width - 1) * frequency, (canvas.height - 1) * (1.0 - contrast))
        for frequency, contrast in points
    ]
    travelled = 0
    for (x0, y0), (x1, y1) in pairwise(places):
        steps = max(1, round(max(abs(x1 - x0), abs(y1 - y0))))
        for step in range(steps):
            if (travelled + step) % every == 0:
                canvas.dot(x0 + (x1 - x0) * step / steps, y0 + (y1 - y0) * step / steps)
        travelled += steps


def ladder_lines(found: BackFocus, columns: int) -> list[Text]:
    """A row a part: its length as a bar that begins where the one before ends."""
    names = max([len(rung.name) for rung in found.rungs] + [12])
    names = min(names, columns // 3)
    room = max(10, columns - names - 18)
    longest = max(found.wanted_mm or 0.0, found.reached_mm or 0.0, 1.0)
    at_mm, lines = 0.0, [Text(f"counted from {found.counted_from}", style="italic")]
    for rung in found.rungs:
        if rung.length_mm is None:
            lines.append(Text(f"{rung.name[:names]:{names}} {'length not known':^{room}}", "bold"))
            continue
        net_mm = rung.length_mm - rung.glass_mm
        bar = _bar(at_mm, at_mm + net_mm, longest, room)
        at_mm += net_mm
        lines.append(Text(f"{rung.name[:names]:{names}} {bar}{net_mm:8.1f}{at_mm:9.1f}"))
    if found.wanted_mm is not None:
        mark = " " * min(room - 1, round(room * found.wanted_mm / longest)) + "▲"
        lines.append(Text(f"{'wanted':{names}} {mark:{room}.{room}}{'':8}{found.wanted_mm:9.1f}"))
    return lines


def _bar(from_mm: float, to_mm: float, longest_mm: float, room: int) -> str:
    begin = min(room - 1, max(0, round(room * from_mm / longest_mm)))
    end = min(room, max(begin + 1, round(room * to_mm / longest_mm)))
    return f"{' ' * begin}{'█' * (end - begin)}".ljust(room)


def side_view_lines(found: Balance, columns: int) -> list[Text]:
    """The tube from the side, sky at the left: what hangs where, the centre of mass, the saddle."""
    span = _span_mm(found)
    if span is None:
        return []
    back_mm, front_mm = span

    def column(along_mm: float) -> int:
        share = (front_mm - along_mm) / (front_mm - back_mm)
        return min(columns - 1, max(0, round(share * (columns - 1))))

    marks = [(column(load.along_mm), _letter(place)) for place, load in enumerate(found.loads)]
    lines = [_marked(columns, marks)]
    if found.tube_length_mm is not None:
        left, right = column(found.tube_length_mm), column(0.0)
        lines += _tube(left, right)
    if found.rail is not None:
        left, right = column(found.rail[1]), column(found.rail[0])
        lines.append(f"{' ' * left}{'═' * max(1, right - left + 1)}")
    if found.saddle_mm is not None:
        lines.append(_marked(columns, [(column(found.saddle_mm), "▀")]))
    lines.append(_marked(columns, [(column(found.centre_mm), "▲")]))
    words = [Text(line[:columns]) for line in lines]
    words.append(Text(f"{'sky':<{columns - 4}}back", style="italic"))
    words += _legend(found, columns)
    saddle = "" if found.saddle_mm is None else f"   ▀ saddle at {found.saddle_mm:.0f} mm"
    words.append(Text(f"▲ centre of mass at {found.centre_mm:.0f} mm{saddle}", style="bold"))
    return words


def _legend(found: Balance, columns: int) -> list[Text]:
    """What each letter weighs and where it sits, two in a row where they fit."""
    pieces = [
        f"{_letter(place)} {load.name}: {load.mass_kg:.2f} kg at {load.along_mm:.0f} mm"
        f"{', assumed' if load.assumed else ''}"
        for place, load in enumerate(found.loads)
    ]
    width = max(len(piece) for piece in pieces) + 2
    if 2 * width > columns + 2:
        return [Text(piece) for piece in pieces]
    pairs = zip_longest(pieces[::2], pieces[1::2], fillvalue="")
    return [Text(f"{left:{width}}{right}") for left, right in pairs]


def _span_mm(found: Balance) -> tuple[float, float] | None:
    """From where to where the drawing goes, back to front."""
    places = [found.centre_mm, *(load.along_mm for load in found.loads)]
    places += [] if found.tube_length_mm is None else [0.0, found.tube_length_mm]
    places += [] if found.saddle_mm is None else [found.saddle_mm]
    places += [] if found.rail is None else list(found.rail)
    back_mm, front_mm = min(places), max(places)
    if front_mm - back_mm < 1.0:
        return None
    return back_mm, front_mm


def _tube(left: int, right: int) -> list[str]:
    inside = max(0, right - left - 1)
    margin = " " * left
    return [
        f"{margin}┌{'─' * inside}┐",
        f"{margin}│{' ' * inside}│",
        f"{margin}└{'─' * inside}┘",
    ]


def _marked(columns: int, marks: Sequence[tuple[int, str]]) -> str:
    """Signs at their columns; what would fall on another goes beside it."""
    cells = [" "] * columns
    for place, sign in sorted(marks):
        free = next((each for each in range(place, columns) if cells[each] == " "), None)
        if free is None:
            free = next(each for each in range(columns - 1, -1, -1) if cells[each] == " ")
        cells[free] = sign
    return "".join(cells).rstrip()


def _letter(place: int) -> str:
    return "abcdefghijklmnopqrstuvwxyz"[place % 26]
