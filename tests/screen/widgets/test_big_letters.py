"""Advice in letters that are read from the front of the tube."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.screen.widgets.big_letters import big_lines, drawable


@pytest.mark.parametrize("word", ["TIGHTEN", "LOOSEN", "1/16", "STOP", "LOOK", "B 12", "3/32"])
def test_every_word_of_the_advice_is_five_rows_high_on_a_small_terminal(word: str) -> None:
    lines = big_lines(word, 60, 5)
    assert len(lines) == 5
    assert max(len(line) for line in lines) <= 60


def test_more_room_makes_them_larger() -> None:
    small, tall, large = (big_lines("B", 76, rows) for rows in (5, 7, 14))
    assert [len(each) for each in (small, tall, large)] == [5, 7, 14]
    assert max(len(line) for line in large) > max(len(line) for line in tall)


def test_letters_differ_from_each_other() -> None:
    letters = "ABCDEFGHIJKLMNPQRTUVWXYZ0123456789/"  # O and S look like 0 and 5 on such a grid
    drawn = {"\n".join(big_lines(letter, 20, 7)) for letter in letters}
    assert len(drawn) == len(letters)


@given(st.text(max_size=12), st.integers(0, 130), st.integers(0, 45))
def test_nothing_is_ever_drawn_beyond_its_room(text: str, columns: int, rows: int) -> None:
    lines = big_lines(text, columns, rows)
    assert len(lines) <= rows
    assert all(len(line) <= columns for line in lines)


def test_what_has_no_drawing_is_left_to_small_letters() -> None:
    assert not drawable("ñ")
    assert big_lines("ñ", 80, 24) == []
