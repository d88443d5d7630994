"""The drawn disc stands as the user sees the tube from the front, 12 at the top."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.records.entries import Screw, StarLook
from logbook.screen.widgets.disc import disc_lines

COLUMNS, ROWS = 24, 11
SCREWS = (Screw("A", 12.0), Screw("B", 4.0), Screw("C", 8.0))
# The dots of a braille sign, two across and four down. Source: The Unicode Standard 15.0,
# Braille Patterns chart: bit n of the code point is dot n + 1.
DOTS = {0: (0, 0), 1: (0, 1), 2: (0, 2), 3: (1, 0), 4: (1, 1), 5: (1, 2), 6: (0, 3), 7: (1, 3)}


def dots(lines: list[str]) -> set[tuple[int, int]]:
    """Every dot set in a drawing, (across, down) from the top left."""
    found = set()
    for row, line in enumerate(lines):
        for column, sign in enumerate(line):
            bits = ord(sign) - 0x2800
            if 0 < bits < 256:
                marked = [at for bit, at in DOTS.items() if bits >> bit & 1]
                found |= {(2 * column + x, 4 * row + y) for x, y in marked}
    return found


def shadow_centre(look: StarLook) -> tuple[float, float]:
    """The middle of what is drawn besides the disc's own outline, from the drawing's middle."""
    outline = dots(disc_lines(None, (), COLUMNS, ROWS))
    shadow = dots(disc_lines(look, (), COLUMNS, ROWS)) - outline
    x = sum(across for across, _ in shadow) / len(shadow) - COLUMNS
    y = sum(down for _, down in shadow) / len(shadow) - 2 * ROWS
    return x, y


def place(lines: list[str], name: str) -> tuple[int, int]:
    """Column and row where a screw's name is written."""
    row = next(row for row, line in enumerate(lines) if name in line)
    return lines[row].index(name), row


def test_screws_stand_at_their_hours() -> None:
    lines = disc_lines(None, SCREWS, COLUMNS, ROWS)
    a, b, c = (place(lines, screw.name) for screw in SCREWS)
    assert a[0] in (COLUMNS // 2 - 1, COLUMNS // 2)
    assert a[1] == 0
    assert b[0] > a[0] > c[0]
    assert b[1] == c[1] > ROWS // 2


def test_the_chosen_screw_is_marked_by_more_than_colour() -> None:
    lines = disc_lines(None, SCREWS, COLUMNS, ROWS, chosen="B")
    assert any("[B]" in line for line in lines)
    assert not any("[A]" in line for line in lines)


@pytest.mark.parametrize("hour", [12, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11])
def test_the_shadow_leans_to_its_hour(hour: int) -> None:
    position_angle_deg = (hour - 3) * 30.0 % 360.0
    x, y = shadow_centre(StarLook(0.4, position_angle_deg))
    assert round(math.degrees(math.atan2(x, -y)) / 30.0) % 12 == hour % 12


def test_a_larger_offset_is_drawn_further_out() -> None:
    distances = [math.hypot(*shadow_centre(StarLook(part, 0.0))) for part in (0.0, 0.2, 0.4)]
    assert distances[0] < distances[1] < distances[2]


def test_a_shadow_whose_direction_is_not_known_is_not_drawn_anywhere() -> None:
    without = disc_lines(None, SCREWS, COLUMNS, ROWS)
    assert disc_lines(StarLook(0.3), SCREWS, COLUMNS, ROWS) == without
    assert disc_lines(StarLook(0.0), SCREWS, COLUMNS, ROWS) != without


looks = st.builds(
    StarLook, st.floats(0.0, 1.0), st.none() | st.floats(0.0, 360.0, exclude_max=True)
)
screws = st.lists(st.builds(Screw, st.text("Aäb 1[]", min_size=1, max_size=40), st.floats(0, 12)))


@given(looks, screws, st.integers(6, 60), st.integers(3, 30))
def test_whatever_is_seen_the_drawing_keeps_its_size(
    look: StarLook, screws: list[Screw], columns: int, rows: int
) -> None:
    lines = disc_lines(look, screws, columns, rows)
    assert [len(line) for line in lines] == [columns] * rows
