"""Plots as SVG: a scale of round numbers that holds every value."""

import itertools
import re

from hypothesis import given
from hypothesis import strategies as st

from logbook.report.render.document import Line, Plot
from logbook.report.render.plot_scale import scale
from logbook.report.render.svg_plot import plot_svg

NUMBERS = st.floats(-1e6, 1e6, allow_nan=False).map(lambda value: round(value, 4))


@given(st.lists(NUMBERS, min_size=1, max_size=9), st.booleans())
def test_a_scale_is_even_round_and_holds_every_value(values: list[float], from_zero: bool) -> None:
    marks, decimals = scale(values, from_zero=from_zero)
    room = 1e-6 * (marks[-1] - marks[0])
    assert marks[0] - room <= min(values)
    assert max(values) <= marks[-1] + room
    assert 2 <= len(marks) <= 7
    assert not from_zero or marks[0] - room <= 0.0 <= marks[-1] + room
    said = [f"{each:.{decimals}f}" for each in marks]
    assert len(set(said)) == len(said)
    steps = [after - before for before, after in itertools.pairwise(marks)]
    assert max(steps) - min(steps) <= 1e-6 * max(steps)
    assert f"{max(steps):.6e}"[0] in "125"


def test_a_scale_reads_as_one_would_draw_it_by_hand() -> None:
    assert scale([9.9, 12.4]) == ([9.0, 10.0, 11.0, 12.0, 13.0], 0)
    assert scale([0.0, 16.6], from_zero=True) == ([0.0, 5.0, 10.0, 15.0, 20.0], 0)


def test_every_point_lies_inside_the_drawing() -> None:
    points = ((0.0, -3.0), (5.0, 400.0), (9.0, 12.5))
    drawn = plot_svg(Plot("Air", "°C", (Line("air", points),), ((0.0, "Jan"),), "told"), "p")
    dots = re.findall(r'<circle class="dot s0" cx="([\d.]+)" cy="([\d.]+)"', drawn)
    assert len(dots) == 3
    assert all(56 <= float(x) <= 628 and 12 <= float(y) <= 174 for x, y in dots)
    assert "°C" in drawn
