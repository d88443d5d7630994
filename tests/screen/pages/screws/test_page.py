"""The Screws page: one gloved hand records a turn and what it did."""

from fractions import Fraction
from pathlib import Path

import pytest

from logbook.errors import BadInput
from logbook.records.entries import NewEntry, Screw, Turn
from logbook.screen.pages.screws.form import read_screws
from logbook.screen.pages.screws.hand import Hand
from logbook.screen.pages.screws.page import ScrewsPage
from logbook.screen.pages.screws.words import net_words
from logbook.store.opening import open_book
from tests.clock import Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def by_day(tmp_path: Path, clock: Clock) -> Path:
    return build_book(tmp_path / "night.db", clock)


@pytest.fixture
def by_night(by_day: Path, clock: Clock) -> Path:
    begin_night(by_day, clock)
    return by_day


def turns_kept(it: OnScreen) -> list[tuple[str, float, str | None]]:
    """Screw, turns and result of every turn of the night that stands."""
    turns = (each.content.turn for each in it.timeline)
    return [(turn.screw, turn.turns, turn.result) for turn in turns if turn is not None]


def other_night_with_a_turn(path: Path, clock: Clock) -> None:
    """A night that ended, in which A was tightened by 1/8."""
    night_id = begin_night(path, clock)
    with open_book(path, clock=clock) as book:
        turn = Turn("A", 0.125)
        entry = NewEntry("turn", clock.forward(hours=1), "turn A tighten 1/8", turn=turn)
        book.timeline.keep(night_id, entry)
        book.nights.end(night_id, clock.forward(hours=1))
    clock.forward(days=1)


async def test_arrows_plus_and_enter_keep_a_turn(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        assert "A tighten 1/16" in it.page
        await it.press("down", "left", "plus", "plus")
        assert "B loosen 1/8" in it.page
        assert "anticlockwise; turn it, then Enter" in it.page
        await it.turned()
        assert turns_kept(it) == [("B", -0.125, None)]


def test_a_turn_in_hand_is_logged_as_exactly_what_it_is(clock: Clock) -> None:
    """No way through words and back: three figures would make 0.063 of a turn of 7/111."""
    hand = Hand("A", tighten=False, amount=Fraction(7, 111))
    entry = hand.entry(clock())
    assert entry.turn == Turn("A", -7 / 111)
    assert entry.text == "turn A loosen 3.78 min"


async def test_an_advised_turn_is_in_the_book_as_it_was_advised(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        it.app.query_one(ScrewsPage).held.change_hand(Hand("A", amount=Fraction(7, 111)))
        await it.turned()
        assert turns_kept(it) == [("A", 7 / 111, None)]


@pytest.mark.parametrize(("key", "result"), [("b", "better"), ("s", "same"), ("w", "worse")])
async def test_one_key_says_what_the_last_turn_did(
    by_night: Path, clock: Clock, key: str, result: str
) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("right")
        await it.turned()
        assert "A turned: look, then b better  s same  w worse  p put back" in it.page
        await it.yes(key)
        assert turns_kept(it) == [("A", 0.0625, result)]
        assert f"Last: A tightened 1/16 turn clockwise, {result}" in it.page
        assert "↑↓ screw" in it.page


@pytest.mark.slow
async def test_put_back_turns_as_far_the_other_way(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("down", "down")
        await it.turned()
        await it.yes("w")
        clock.forward(minutes=2)
        await it.yes("p")
        assert turns_kept(it) == [("C", 0.0625, "worse"), ("C", -0.0625, None)]
        first, second = it.timeline
        assert second.content.turn is not None
        assert second.content.turn.puts_back_entry_id == first.id
        assert "C at 8 o'clock: back where it was, 2 turns" in it.page


async def test_the_sum_of_every_screw_is_told(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        for line in ("turn A tighten 1/8", "turn A tighten 1/16", "turn B loosen 1/4"):
            clock.forward(minutes=3)
            await it.enter(line)
        assert "A at 12 o'clock: net 3/16 turn tightened, 2 turns" in it.page
        assert "B at 4 o'clock: net 1/4 turn loosened, 1 turn\n" in it.words("#screws-sums")
        assert "C at 8 o'clock: not turned yet" in it.page


def test_sums_are_told_in_parts_of_a_turn() -> None:
    assert net_words(0.125) == "net 1/8 turn tightened"
    assert net_words(-0.0625) == "net 1/16 turn loosened"
    assert net_words(1e-9) == "back where it was"


async def test_the_newest_turn_stands_first(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws", (120, 40)) as it:
        await it.enter("turn A tighten 1/8")
        clock.forward(minutes=5)
        await it.enter("turn B loosen 1/16")
        turns = it.words("#screws-turns").splitlines()
        assert turns[0] == "04 Oct 21:05 B loosened 1/16 turn anticlockwise"
        assert turns[1] == "04 Oct 21:00 A tightened 1/8 turn clockwise"


async def test_older_turns_are_a_key_away(by_night: Path, clock: Clock) -> None:
    with open_book(by_night, clock=clock) as book:
        for number in range(21):
            turn = Turn("B" if number else "A", 1 / 32)
            entry = NewEntry("turn", clock.forward(minutes=1), "turn B tighten 1/32", turn=turn)
            book.timeline.keep(1, entry)
    async with opened(by_night, clock, "screws") as it:
        oldest = "21:01 A tightened 1/32 turn"
        assert oldest not in it.page
        await it.press(*["pagedown"] * 8)
        assert oldest in it.page
        await it.press(*["pageup"] * 8)
        assert "21:21 B tightened 1/32 turn" in it.page


async def test_without_a_night_nothing_is_kept_and_the_page_says_so(
    by_day: Path, clock: Clock
) -> None:
    other_night_with_a_turn(by_day, clock)
    async with opened(by_day, clock, "screws") as it:
        assert "no night in progress, F10 starts one" in it.page
        for key in ("enter", "p", "w"):
            await it.press(*((key,) if key != "p" else ("p", "enter")))
            assert "Not kept: no night in progress. F10 starts one." in it.said
        await it.press("l", "c", "enter")
        assert "Not kept: no night in progress." in it.words(".sheet")
        await it.press("escape")
        (turn,) = it.book.timeline.turns(1)
        assert turn.content.turn == Turn("A", 0.125)


async def test_a_turn_of_another_night_is_not_judged_by_a_key(by_day: Path, clock: Clock) -> None:
    other_night_with_a_turn(by_day, clock)
    begin_night(by_day, clock)
    async with opened(by_day, clock, "screws") as it:
        await it.press("w")
        assert "No turn yet tonight that could be judged." in it.said
        assert it.timeline == ()
        assert "A at 12 o'clock: net 1/8 turn tightened" in it.page


async def test_a_lens_telescope_has_no_screws(by_day: Path, clock: Clock) -> None:
    begin_night(by_day, clock, "Short train")
    async with opened(by_day, clock, "screws") as it:
        assert "Small Lens has no secondary, so no screws to turn." in it.page
        await it.press("enter", "n")
        assert it.timeline == ()
        assert it.app.screen.query("#pages")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_centre_screw_is_never_offered(
    by_night: Path, clock: Clock, size: tuple[int, int]
) -> None:
    async with opened(by_night, clock, "screws", size) as it:
        words = " ".join(it.page.split())
        assert "Leave the centre screw alone: it sets the distance between the mirrors." in words
        assert "Never near the Sun." in words
        await it.enter("turn centre tighten 1/8")
        assert turns_kept(it) == []
        assert "distance" in it.said


async def test_a_small_terminal_still_shows_turn_and_sums(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws", (60, 16)) as it:
        await it.press("right")
        assert "A tighten 1/16  clockwise; turn it, then Enter" in it.page
        assert "C at 8 o'clock: not turned yet" in it.page


async def test_care_is_said_on_a_small_terminal_too(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws", (60, 16)) as it:
        assert "Long Tube · never the centre screw · care: F1" in it.page


async def test_a_wide_terminal_draws_the_disc_larger(by_night: Path, clock: Clock) -> None:
    heights = []
    for size in ((80, 24), (120, 40)):
        async with opened(by_night, clock, "screws", size) as it:
            heights.append(len(it.words("#screws-disc").splitlines()))
    assert heights[0] < heights[1]


async def test_a_look_older_than_the_last_turn_is_told_as_such(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws", (120, 40)) as it:
        await it.enter("shadow 0.2 toward 3 o'clock")
        assert "Seen 04 Oct 21:00: shadow" in it.page
        clock.forward(minutes=3)
        await it.enter("turn A tighten 1/8")
        assert "Seen 04 Oct 21:00, before the last turn: shadow" in it.page
        clock.forward(minutes=3)
        await it.enter("shadow 0.12 toward 3 o'clock")
        assert "A tightened 1/8 turn clockwise, 0.20 → 0.12" in it.words("#screws-turns")


@pytest.mark.slow
async def test_the_owner_names_the_screws(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("n")
        assert "A 12, B 4, C 8" in it.words(".sheet")
        await it.press("ctrl+u", *"red 1, blue 5:30, green 9", "ctrl+o")
        assert it.book.kit.screws(1) == (
            Screw("red", 1.0),
            Screw("blue", 5.5),
            Screw("green", 9.0),
        )
        assert "red tighten 1/16" in it.page


@pytest.mark.slow
async def test_naming_a_centre_screw_is_refused_with_the_reason(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("n", "ctrl+u", *"A 12, centre 6", "ctrl+o")
        assert "centre" in it.words(".sheet")
        await it.press("escape")
        assert [each.name for each in it.book.kit.screws(1)] == ["A", "B", "C"]


@pytest.mark.parametrize("typed", ["", "A", "A 13", "A 12, A 4", "12", "A 4 o'clock"])
def test_screws_that_make_no_sense_are_refused(typed: str) -> None:
    with pytest.raises(BadInput):
        read_screws(typed)


def test_a_screw_that_tightens_anticlockwise_is_kept_so() -> None:
    assert read_screws("A 4.5", clockwise=False) == (Screw("A", 4.5, tighten_clockwise=False),)


@pytest.mark.slow
async def test_how_the_screws_are_held_belongs_to_the_telescope(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("n", "down", "down", *"push", "ctrl+o")
        assert {each.lock_kind for each in it.book.kit.screws(1)} == {"push-pull"}
        assert "ease the one that opposes it as far first" in it.page


async def test_amounts_may_be_minutes_of_a_clock(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("plus", "plus", "u", "u")
        await it.turned()
        ((screw, turns, _),) = turns_kept(it)
        assert screw == "A"
        assert turns == pytest.approx(8 / 60, abs=1e-4)


async def test_an_enter_that_bounces_under_a_glove_is_one_turn(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("right", "enter", "enter", "enter")
        assert turns_kept(it) == []
        assert "Did you turn A 1/16 tighter?" in it.said
        clock.forward(seconds=2)
        await it.press("enter", "enter", "enter")
        assert len(turns_kept(it)) == 1


async def test_the_centre_screw_is_explained_and_care_told_before_loosening_far(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("x")
        assert "Never the centre screw: it sets the distance" in " ".join(it.said.split())
        assert "secondary fall on the primary" in " ".join(it.said.split())
        await it.press("left", "plus", "plus", "plus", "plus")
        assert "A loosen 1/4" in it.page
        assert "tube level, a hand under the cell." in it.page


async def test_a_page_without_looks_or_screws_says_what_to_do_first(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        assert "No look yet: l by eye, m a picture, f a folder." in it.page
        it.book.kit.set_screws(1, ())
        await it.enter("note screws forgotten")
        assert "No screws are named for Long Tube yet: n names them." in it.page
