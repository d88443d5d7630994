"""The chosen objects one after another through the dark."""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.errors import BadInput
from logbook.sky.framing.framing import FieldOfView
from logbook.sky.night.intervals import Interval, total_hours
from logbook.sky.ranking.book_facts import BookFacts
from logbook.sky.ranking.plan_wishes import wishes
from logbook.sky.ranking.running_order import (
    SHORTEST_HOURS,
    KeptItem,
    RunningOrder,
    Slot,
    Wish,
    added,
    as_kept,
    in_this_order,
    kept_items,
    moved,
    removed,
    running_order,
    with_hours,
)
from logbook.sky.ranking.tonight import tonight
from tests.sky.tables import WALES

DUSK = datetime(2026, 11, 8, 18, tzinfo=UTC)
DARK = (Interval(DUSK, DUSK + timedelta(hours=10)),)


def at(hours: float) -> datetime:
    return DUSK + timedelta(hours=hours)


def wish(
    name: str,
    *spans: tuple[float, float],
    transit: float | None = None,
    owed: float | None = None,
    wanted: float | None = None,
) -> Wish:
    windows = tuple(Interval(at(a), at(b)) for a, b in spans)
    return Wish(name, name, windows, None if transit is None else at(transit), owed, wanted)


def hours(order: RunningOrder) -> dict[str, tuple[float, float]]:
    """From and to, in hours after dusk."""
    return {
        each.wish.object_id: (
            (each.time.start - DUSK) / timedelta(hours=1),
            (each.time.end - DUSK) / timedelta(hours=1),
        )
        for each in order.slots
        if each.time
    }


def test_one_object_has_the_whole_of_its_window() -> None:
    order = running_order([wish("a", (1.0, 6.0))], DARK)
    assert hours(order) == {"a": (1.0, 6.0)}
    assert order.free == (Interval(at(0.0), at(1.0)), Interval(at(6.0), at(10.0)))


def test_what_sets_first_comes_first_and_what_rises_late_comes_last() -> None:
    order = running_order(
        [wish("late", (7.0, 10.0)), wish("early", (0.0, 3.0)), wish("all night", (0.0, 10.0))], DARK
    )
    assert list(hours(order)) == ["early", "all night", "late"]
    assert order.free == ()
    assert order.left_out == ()


def test_time_is_shared_alike_where_windows_allow_it() -> None:
    order = running_order([wish(name, (0.0, 10.0)) for name in "abcd"], DARK)
    assert [each.hours for each in order.slots] == pytest.approx([2.5] * 4, abs=0.01)
    assert sum(each.hours for each in order.slots) == pytest.approx(10.0)


def test_each_is_near_its_meridian_where_there_is_a_choice() -> None:
    order = running_order(
        [
            wish("c", (0.0, 10.0), transit=8.5),
            wish("a", (0.0, 10.0), transit=1.0),
            wish("b", (0.0, 10.0), transit=5.0),
        ],
        DARK,
    )
    assert list(hours(order)) == ["a", "b", "c"]
    assert order.slots[1].meridian_utc == at(5.0)
    assert in_this_order([wish("a", (0.0, 2.0), transit=5.0)], DARK).slots[0].meridian_utc is None


def test_a_project_gets_no_more_than_it_is_owed_and_says_what_is_missing() -> None:
    order = running_order([wish("a", (0.0, 10.0), owed=1.5), wish("b", (0.0, 10.0))], DARK)
    by_name = {each.wish.object_id: each for each in order.slots}
    assert by_name["a"].hours == pytest.approx(1.5)
    assert by_name["a"].words == ""
    assert by_name["b"].hours == pytest.approx(8.5)
    (short,) = running_order([wish("a", (0.0, 4.0), owed=6.0)], DARK).slots
    assert short.words == "4.0 of 6.0 owed hours"


def test_what_finds_no_time_is_named_with_its_reason() -> None:
    order = running_order(
        [
            wish("never"),
            wish("blink", (2.0, 2.1)),
            wish("greedy", (0.0, 3.0), wanted=3.0),
            wish("crowded", (0.0, 3.0), wanted=3.0),
        ],
        DARK,
    )
    reasons = {each.wish.object_id: each.words for each in order.left_out}
    assert reasons.pop("never") == "not clear in this night's darkness"
    assert reasons.pop("blink") == "clear for 6 min only"
    assert list(reasons.values()) == ["no time is left for it"]
    assert not running_order([], DARK).slots
    assert running_order([wish("a")], ()).left_out[0].wish.object_id == "a"


def test_the_owner_moves_removes_adds_and_sets_hours() -> None:
    order = running_order([wish("a", (0.0, 10.0)), wish("b", (0.0, 10.0))], DARK)
    first, second = hours(order)
    turned = moved(order, 0, 1)
    assert list(hours(turned)) == [second, first]
    set_hours = with_hours(turned, 0, 2.0)
    assert hours(set_hours) == {second: (0.0, 2.0), first: (2.0, 10.0)}
    assert hours(with_hours(set_hours, 0, None))[second][1] > 3.0
    assert list(hours(removed(set_hours, 0))) == [first]
    third = added(set_hours, wish("c", (8.0, 10.0)))
    assert list(hours(third)) == [second, first, "c"]
    assert hours(third)["c"][1] == 10.0


def test_the_owners_order_is_kept_even_if_it_costs_an_object() -> None:
    order = running_order([wish("early", (0.0, 3.0)), wish("late", (5.0, 10.0))], DARK)
    turned = moved(order, 0, 1)
    assert list(hours(turned)) == ["late"]
    assert [each.words for each in turned.left_out] == ["no time is left for it"]


def test_what_cannot_be_changed_is_refused() -> None:
    order = running_order([wish("a", (0.0, 10.0))], DARK)
    with pytest.raises(BadInput, match="no place 3: 1 to 1"):
        moved(order, 0, 2)
    with pytest.raises(BadInput, match="no place 0"):
        removed(order, -1)
    with pytest.raises(BadInput, match="30 hours cannot be"):
        with_hours(order, 0, 30.0)
    with pytest.raises(BadInput, match=r"0\.01 hours cannot be"):
        with_hours(order, 0, 0.01)
    with pytest.raises(BadInput, match="a is in the running order already"):
        added(order, wish("a", (0.0, 1.0)))


def test_a_kept_order_comes_back_with_its_times() -> None:
    given_wishes = [wish("a", (0.0, 10.0), transit=2.0), wish("b", (4.0, 9.0)), wish("never")]
    order = running_order(given_wishes, DARK)
    again = as_kept(kept_items(order), {each.object_id: each for each in given_wishes}, DARK)
    assert hours(again) == hours(order)
    assert [each.words for each in again.left_out] == [each.words for each in order.left_out]
    moon = KeptItem("Moon", "Moon", at(1.0), at(2.0), "south of the middle")
    (slot,) = as_kept([moon], {}, DARK).slots
    assert slot == Slot(
        Wish("Moon", "Moon", (Interval(at(1.0), at(2.0)),), wanted_hours=1.0),
        Interval(at(1.0), at(2.0)),
        "south of the middle",
    )


@st.composite
def some_wishes(draw: st.DrawFn) -> list[Wish]:
    found = []
    for name in "abcde"[: draw(st.integers(0, 5))]:
        edges = sorted(draw(st.lists(st.integers(0, 60), min_size=2, max_size=4, unique=True)))
        spans = list(zip(edges[::2], edges[1::2], strict=False))
        found.append(
            wish(
                name,
                *((a / 6.0, b / 6.0) for a, b in spans),
                transit=draw(st.none() | st.integers(0, 10)),
                owed=draw(st.none() | st.sampled_from([0.5, 2.0, 9.0])),
                wanted=draw(st.none() | st.sampled_from([0.5, 3.0])),
            )
        )
    return found


@settings(max_examples=60, deadline=None)
@given(some_wishes())
def test_no_order_breaks_a_window_or_overlaps(given_wishes: list[Wish]) -> None:
    order = running_order(given_wishes, DARK)
    assert sorted(each.object_id for each in order.wishes) == [
        each.object_id for each in given_wishes
    ]
    times = [each.time for each in order.slots if each.time]
    for before, after in pairwise(times):
        assert before.end <= after.start
    for each in order.slots:
        assert each.time is not None
        assert any(w.start <= each.time.start and each.time.end <= w.end for w in each.wish.windows)
        assert each.hours >= SHORTEST_HOURS - 1e-6
        most = each.wish.wanted_hours or each.wish.owed_hours
        assert most is None or each.hours <= most + 1e-6
    free = total_hours(order.free)
    assert free + sum(each.hours for each in order.slots) == pytest.approx(10.0, abs=1.0)


@settings(max_examples=25, deadline=None)
@given(some_wishes())
def test_no_order_of_a_few_has_time_for_more_of_them(given_wishes: list[Wish]) -> None:
    few = given_wishes[:4]
    best = max(len(in_this_order(each, DARK).slots) for each in permutations(few))
    assert len(running_order(few, DARK).slots) == best


def test_the_suggestions_of_a_night_fill_its_darkness() -> None:
    field = FieldOfView("long", 1624.0, 0.478, (0.83, 0.55))
    facts = BookFacts(owed_hours={"NGC 1952": 2.0})
    answer = tonight(WALES, field, date(2026, 11, 8), facts=facts, most=6)
    ids = [each.object_id for each in answer.suggestions] + ["NGC 1952", "NGC 5139"]
    order = running_order(
        wishes(answer.ranking, dict.fromkeys(ids)), answer.ranking.darkness.intervals
    )
    assert [each.wish.object_id for each in order.left_out] == ["NGC 5139"]
    assert order.free == ()
    crab = next(each for each in order.slots if each.wish.object_id == "NGC 1952")
    assert crab.wish.owed_hours == 2.0
    assert crab.hours <= 2.0 + 1e-6
