"""Plots as lines of a terminal."""

import pytest

from logbook.report.render.document import Line, Plot
from logbook.report.render.plot_text import plot_lines


def plot(
    points: tuple[tuple[float, float], ...], *, bars: bool = False, joined: bool = False
) -> Plot:
    ticks = ((0.0, "Jan"), (5.0, "Jun"), (10.0, "Nov"))
    return Plot("Width", "″", (Line("width", points, joined),), ticks, "told", bars=bars)


def dots(line: str) -> int:
    return sum((ord(sign) - 0x2800).bit_count() for sign in line if 0x2800 <= ord(sign) < 0x2900)


@pytest.mark.parametrize("columns", [40, 60, 80, 120])
def test_it_fits_where_it_is_put(columns: int) -> None:
    lines = plot_lines(plot(((0.0, 1.0), (5.0, 3.0), (10.0, 2.0)), joined=True), columns, 6)
    assert len(lines) == 8
    assert max(len(each) for each in lines) <= columns


def test_each_point_is_a_dot_and_the_highest_is_on_top() -> None:
    _, *drawn, _ = plot_lines(plot(((0.0, 1.0), (5.0, 3.0), (10.0, 2.0))), 60, 8)
    assert sum(map(dots, drawn)) == 3
    assert dots(drawn[0]) == 1
    assert dots(drawn[-1]) == 1


def test_a_bar_is_as_high_as_its_value_and_nothing_has_no_bar() -> None:
    _, *drawn, _ = plot_lines(plot(((0.0, 4.0), (5.0, 0.0), (10.0, 2.0)), bars=True), 64, 8)
    bottom = drawn[-1].partition("│")[2]
    left, middle, right = (bottom[place : place + 8] for place in (6, 25, 44))
    assert dots(left) > 0
    assert dots(middle) == 0
    assert dots(right) > 0
    heights = [
        sum(dots(each.partition("│")[2][place : place + 8]) > 0 for each in drawn)
        for place in (6, 44)
    ]
    assert heights[0] == pytest.approx(2 * heights[1], abs=1)


def test_the_scale_and_the_ticks_are_said() -> None:
    lines = plot_lines(plot(((0.0, 1.0), (10.0, 3.0))), 60, 8)
    assert lines[0] == "Width (″)"
    assert [each.split("│")[0].strip() for each in lines[1:-1] if each[0] != " "] == [
        "3.0",
        "2.5",
        "2.0",
        "1.5",
        "1.0",
    ]
    assert lines[-1].split() == ["Jan", "Jun", "Nov"]


def test_ticks_that_would_touch_are_left_out() -> None:
    ticks = tuple((float(year), str(2000 + year)) for year in range(40))
    crowded = Plot("Hours", "h", (Line("h", ((0.0, 1.0), (39.0, 2.0))),), ticks, "told")
    said = plot_lines(crowded, 60, 4)[-1]
    assert all(len(word) == 4 for word in said.split())


@pytest.mark.parametrize(
    "points", [((3.0, 2.0),), ((3.0, 2.0), (3.0, 2.0)), ((1.0, 0.0), (2.0, 0.0))]
)
def test_a_plot_of_little_is_still_a_plot(points: tuple[tuple[float, float], ...]) -> None:
    for bars in (False, True):
        lines = plot_lines(Plot("Few", "", (Line("few", points),), (), "told", bars=bars), 60, 4)
        assert len(lines) == 6


def test_nothing_is_said_where_there_is_nothing() -> None:
    assert "nothing to draw yet" in plot_lines(plot(()))[1]
