"""The advised turn: in hand, in large letters, with its reasons; and what is asked in doubt."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from logbook.records.entries import NewEntry, Screw, Turn
from logbook.screen.pages.screws.advice import reason_lines
from logbook.screen.pages.screws.advising import AdviceReady
from logbook.screen.pages.screws.dark import dark_words
from logbook.screen.pages.screws.hand import Hand, hand_of
from logbook.screen.pages.screws.jobs import job_of_yes
from logbook.screen.pages.screws.page import ScrewsPage
from logbook.startest.screws.advice import Advice, Doubt, ScrewResponse, Spot, Step
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened
from tests.screen.widgets.test_red import leaks

SCREWS = (Screw("A", 12.0), Screw("B", 4.0), Screw("C", 8.0))
TURN = Advice(
    kind="turn",
    headline="B TIGHTEN 1/16",
    step=Step("B", 1 / 16),
    amount_words="1/16 turn",
    now=Spot(0.12, 0.0, 0.01, 3.1),
    predicted=Spot(0.05, 30.0, 0.02, 1.2),
    chance_better=0.92,
    reasons=("B pulls the shadow 1.08 radii a turn.",),
    cautions=("C is a quarter turn loose.",),
    responses=tuple(
        ScrewResponse(name, 1.08, 30.0, angle_deg, 0.1, 6.0, known=True, turns_seen=4)
        for name, angle_deg in (("A", 40.0), ("B", 160.0), ("C", 280.0))
    ),
)
STOP = Advice("stop", "STOP", reasons=("0.012 ± 0.006 is inside 0.018: nothing to turn.",))


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def by_night(tmp_path: Path, clock: Clock) -> Path:
    path = build_book(tmp_path / "night.db", clock)
    begin_night(path, clock)
    return path


async def advised(it: OnScreen, advice: Advice) -> None:
    """As when it has just been computed from the book as it is."""
    page = it.app.query_one(ScrewsPage)
    page.post_message(AdviceReady(advice, it.app.desk.view))
    await it.settle()


def turns_kept(it: OnScreen) -> list[tuple[str, float]]:
    turns = (each.content.turn for each in it.timeline)
    return [(turn.screw, turn.turns) for turn in turns if turn is not None]


# --- the advised turn in hand ---


async def test_enter_takes_the_advised_turn_as_done(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await advised(it, TURN)
        assert "Advised:  B tighten 1/16  clockwise" in it.page
        assert "0.12 → 0.05 ± 0.02 toward 4 o'clock, 92% sure" in it.page
        assert "C is a quarter turn loose." in it.page
        await it.turned()
        assert turns_kept(it) == [("B", 1 / 16)]


async def test_a_turn_of_ones_own_stays_in_hand_until_escape(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("left")
        await advised(it, TURN)
        assert " A loosen 1/16 " in it.page
        assert "Advised: B tighten 1/16 turn (Escape takes it)" in it.page
        await it.press("escape")
        assert "Advised:  B tighten 1/16  clockwise" in it.page


async def test_enter_keeps_no_turn_that_an_earlier_advice_left_in_hand(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        await advised(it, TURN)
        await advised(it, STOP)
        await it.press("enter")
        assert turns_kept(it) == []
        assert "Arrows prepare a turn of your own." in " ".join(it.said.split())
        await it.press("right")
        await it.turned()
        assert turns_kept(it) == [("B", 1 / 16)]


async def test_the_real_adviser_is_asked_after_every_look(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.enter("shadow 0.2 toward 3 o'clock")
        assert "Advised: " in it.page
        await it.turned()
        assert "look what it did" in it.page
        assert len(turns_kept(it)) == 1


async def test_what_each_screw_does_is_drawn_and_the_reasons_are_on_a_sheet(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws", (120, 40)) as it:
        before = it.words("#screws-disc")
        await advised(it, TURN)
        assert it.words("#screws-disc") != before
        assert "tightening pulls to 4:20 o'clock" in it.page
        await it.press("a")
        words = it.words(".sheet")
        for said in ("B pulls the shadow 1.08 radii a turn.", "3.10″ on the sky", "92%", "± 10%"):
            assert said in words
        assert "Never aim near the Sun." in words


# --- doubts ---


async def in_doubt(it: OnScreen, clock: Clock, doubt: Doubt) -> Doubt:
    """A turn of A is logged, and then doubted; the entry is the one just saved."""
    clock.forward(minutes=1)
    await it.enter("turn A tighten 1/16")
    doubt = replace(doubt, entry_id=it.timeline[-1].id)
    ask = replace(TURN, kind="ask", headline="WAS IT C?", doubts=(doubt,))
    await advised(it, ask)
    assert doubt.question in it.page
    return doubt


OTHER = Doubt("other screw", None, "A", "C", 40.0, "C fits 40 times better.", "Was it C, not A?")


async def test_yes_corrects_the_turn_and_keeps_the_old_text(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        doubt = await in_doubt(it, clock, OTHER)
        await it.yes("1")
        assert turns_kept(it) == [("C", 1 / 16)]
        assert doubt.entry_id is not None
        assert len(it.book.timeline.history(doubt.entry_id)) == 2


@pytest.mark.parametrize(
    ("doubt", "then"),
    [
        (replace(OTHER, kind="other way", instead=None), [("A", -1 / 16)]),
        (replace(OTHER, kind="slips", instead=None), []),
        (replace(OTHER, kind="labels"), [("C", 1 / 16)]),
    ],
)
def test_what_yes_comes_to(
    doubt: Doubt, then: list[tuple[str, float]], by_night: Path, clock: Clock
) -> None:
    with open_book(by_night, clock=clock) as book:
        turn = NewEntry("turn", clock(), "turn A tighten 1/16", turn=Turn("A", 1 / 16))
        record = book.timeline.keep(1, turn)
        job_of_yes(doubt, [record])(book)
        turns = (each.content.turn for each in book.timeline.of_night(1))
        assert [(each.screw, each.turns) for each in turns if each is not None] == then
        assert len(book.timeline.history(record.id)) == 2


async def test_swapped_labels_put_right_every_turn_of_the_night(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        for line in ("turn A tighten 1/8", "turn C loosen 1/8", "turn B tighten 1/8"):
            clock.forward(minutes=1)
            await it.enter(line)
        labels = replace(OTHER, kind="labels", question="Are A and C swapped?")
        await advised(it, replace(TURN, kind="ask", doubts=(labels,)))
        await it.yes("1")
        assert turns_kept(it) == [("C", 0.125), ("A", -0.125), ("B", 0.125)]


async def test_no_leaves_the_turn_as_logged_and_goes_on_with_the_advice(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        doubt = await in_doubt(it, clock, OTHER)
        await it.press("2")
        assert turns_kept(it) == [("A", 1 / 16)]
        await advised(it, replace(TURN, kind="ask", doubts=(doubt,)))
        assert "Advised:  B tighten 1/16" in it.page


async def test_a_camera_that_was_turned_is_marked_by_one_key(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.yes("c")
        made = it.timeline[-1].content.adjustment
        assert made is not None
        assert made.what == "camera"
        assert "learned anew" in it.said
        await it.press("1")
        assert it.line == "1"  # nothing is asked just now, so it is text


# --- large letters ---


def rows_of_letters(words: str) -> int:
    return sum("█" in line for line in words.splitlines())


@pytest.mark.parametrize("size", [(60, 16), (80, 24)])
async def test_the_advice_fills_the_page_in_letters_for_two_metres(
    by_night: Path, clock: Clock, size: tuple[int, int]
) -> None:
    async with opened(by_night, clock, "screws", size) as it:
        await advised(it, TURN)
        await it.press("d")
        assert rows_of_letters(it.page) >= 10
        await it.press("d")
        assert rows_of_letters(it.page) == 0


async def test_in_the_dark_one_key_is_done_and_the_next_is_a_look(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.enter("shadow 0.2 toward 3 o'clock")
        await it.press("d")
        await it.turned()
        assert len(turns_kept(it)) == 1
        assert "look what it did" in it.page
        await it.press("enter")
        assert "put the shadow where you see it" in it.words(".sheet")


async def test_letters_say_the_turn_that_enter_keeps(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("down", "left")
        await advised(it, TURN)
        await it.press("d")
        letters = it.page
        assert "anticlockwise" in letters
        await it.turned()
        assert turns_kept(it) == [("B", -1 / 16)]


async def test_the_strip_is_back_on_other_pages(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("d")
        assert not it.app.query_one("#strip").display
        await it.press("f5")
        assert it.app.query_one("#strip").display
        await it.press("f4")
        assert not it.app.query_one("#strip").display


@pytest.mark.parametrize("size", [(60, 12), (80, 20), (120, 36)])
@pytest.mark.parametrize("name", ["A", "W", "blue", "upper left"])
def test_letters_and_words_never_leave_their_room(name: str, size: tuple[int, int]) -> None:
    screws = (Screw(name, 4.0),)
    step = Step(name, -0.075)
    advice = replace(TURN, step=step, headline=f"{name} LOOSEN 4.5 min")
    words = dark_words(advice, hand_of(name, -0.075, "sixteenths"), screws, "", *size)
    lines = words.plain.splitlines()
    assert len(lines) <= size[1]
    assert all(len(line) <= size[0] for line in lines)


def test_stop_is_said_with_its_numbers() -> None:
    words = dark_words(STOP, None, SCREWS, "", 80, 20).plain
    assert rows_of_letters(words) >= 7
    assert "0.012 ± 0.006 is inside 0.018" in words


def test_a_probe_is_told_as_one() -> None:
    probe = replace(TURN, kind="probe")
    said = "\n".join(line.plain for line in reason_lines(probe, SCREWS))
    assert "B tighten 1/16 turn clockwise" in said


# --- the turn in hand ---


@pytest.mark.parametrize(
    ("turns", "line"),
    [
        (1 / 16, "turn B tighten 1/16"),
        (-1 / 8, "turn B loosen 1/8"),
        (3 / 32, "turn B tighten 3/32"),
        (0.075, "turn B tighten 4.5 min"),
        (-0.1, "turn B loosen 6 min"),
    ],
)
def test_an_advised_amount_is_said_as_a_hand_can_make_it(turns: float, line: str) -> None:
    assert hand_of("B", turns, "sixteenths").entry(EVENING).text == line


def test_a_turn_is_said_in_the_unit_the_owner_thinks_in() -> None:
    hand = Hand("A", amount=Fraction(1, 8))
    said = []
    for _ in range(4):
        hand = hand.next_unit()
        said.append(hand.amount_words())
    assert said == ["1/8", "8 min", "45 deg", "1/8"]


def test_amounts_step_up_and_down_within_their_unit() -> None:
    hand = Hand("A")
    assert hand.more(1).amount_words() == "3/32"
    assert hand.more(-1).amount_words() == "1/32"
    smallest = hand.more(-1)
    assert smallest.more(-1) == smallest
    for _ in range(20):
        hand = hand.more(1)
    assert hand.amount_words() == "1/2"


@pytest.mark.parametrize("size", [(60, 16), (80, 24), (120, 40)])
async def test_what_is_asked_in_the_dark_is_asked_in_large_letters(
    by_night: Path, clock: Clock, size: tuple[int, int]
) -> None:
    async with opened(by_night, clock, "screws", size) as it:
        await it.press("f7")
        await advised(it, TURN)
        await it.press("d")
        of_the_turn = it.page
        await it.press("enter")
        first, *rest = it.page.splitlines()
        assert first.startswith("Did you turn "), "as large letters leave no room for looking"
        assert rows_of_letters("\n".join(rest)) >= 10
        assert leaks(it.app) == []
        row = it.app.screen.query_one("#screws-dark").region.y
        drawn = it.app.screen._compositor.render_strips()[row]
        assert all(each.style is not None and each.style.reverse for each in drawn)
        await it.press("escape")
        assert it.page == of_the_turn
        await it.press("b")
        assert it.page == of_the_turn, "nothing was asked: no turn was made tonight"
        await it.turned()
        await it.press("b")
        assert "made it better" in it.page.splitlines()[0]
