"""The Upkeep page: what is due, keeping what was done, putting off, rules, history, wishes."""

from pathlib import Path

import pytest
from textual.widgets import Input

from logbook.kit.parts.part import Part
from logbook.records.entries import NewEntry, UpkeepDone
from logbook.screen.pages.upkeep.forms import DoneForm, PutOffForm, RuleForm
from logbook.screen.pages.upkeep.history import UpkeepHistory
from logbook.screen.pages.upkeep.wishes import HereForm, OrderForm, WishSheet
from logbook.store.book import Book
from logbook.store.opening import open_book
from logbook.store.upkeep.rules import Due, UpkeepRule
from tests.clock import Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened
from tests.screen.choosing import sheet_rows

TUBE = "Long Tube"


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def path(tmp_path: Path, clock: Clock) -> Path:
    """Two rules 40 days old, one of them due; a wish; small hardware."""
    path = build_book(tmp_path / "logbook.db", clock)
    with open_book(path, clock=clock) as book:
        book.upkeep.add(UpkeepRule("mirror rinse", TUBE, every_months=1))
        book.upkeep.add(UpkeepRule("batteries", every_months=9))
        book.kit.add_part(Part("Ring", "extension ring", state="wished for", price=20.0))
        book.kit.add_part(Part("Screw", "small hardware").with_word("thread", "M3x0.5"))
        clock.forward(days=40)
    return path


def due_of(screen: OnScreen) -> dict[str, Due]:
    return {each.record.rule.action: each for each in screen.book.upkeep.due()}


def by_day(screen: OnScreen) -> list[UpkeepDone]:
    entries = screen.book.timeline.of_night(None)
    return [each.content.upkeep for each in entries if each.content.upkeep is not None]


async def fill(screen: OnScreen, form: type, values: dict[str, str]) -> None:
    """Type into the form in view and keep it."""
    assert isinstance(screen.app.screen, form)
    for name, value in values.items():
        screen.app.screen.query_one(f"#field-{name}", Input).value = value
    await screen.press("ctrl+o")


async def test_the_most_pressing_comes_first_with_its_reasons(path: Path, clock: Clock) -> None:
    async with opened(path, clock, "upkeep") as screen:
        assert "1 due, 1 to come" in screen.words("#upkeep-head")
        first, second = screen.words("#upkeep-list").splitlines()[:2]
        assert first.startswith("██████████")
        assert "due Long Tube: mirror rinse  1.3 of 1 months" in first
        assert "batteries" in second
        told = screen.words("#upkeep-what")
        assert "every 1 month" in told
        assert "never logged, counted from 2025-10-04" in told
        assert "hand under the" in told, "the caution stands with the work"
        await screen.press("down")
        assert "every 9 months" in screen.words("#upkeep-what")


@pytest.mark.parametrize("size", [(60, 16), (80, 24), (120, 40)])
async def test_rule_and_reasons_are_there_at_every_size(
    path: Path, clock: Clock, size: tuple[int, int]
) -> None:
    async with opened(path, clock, "upkeep", size) as screen:
        assert "mirror rinse" in screen.words("#upkeep-list")
        assert "every 1 month" in screen.words("#upkeep-what")
        assert "Upkeep" in screen.words("#keys")


async def test_ctrl_n_turns_to_it_and_an_empty_book_says_what_to_do_first(
    tmp_path: Path, clock: Clock
) -> None:
    async with opened(build_book(tmp_path / "empty.db", clock), clock, "choose") as screen:
        await screen.press("ctrl+n")
        assert "No rules yet" in screen.words("#upkeep-what")
        for key in ("o", "e", "x"):
            await screen.press(key)
            assert "n sets one" in screen.said
            assert len(screen.app.screen_stack) == 1


# What was done


async def test_by_day_what_was_done_is_kept_in_no_night_and_the_rule_counts_anew(
    path: Path, clock: Clock
) -> None:
    async with opened(path, clock, "upkeep") as screen:
        await screen.press("d")
        assert "A mirror can come loose" in screen.words(".form-intro")
        values = {
            "action": "mirror rinsed, two baths", "minutes": "1 h 20 min", "cost": "4,50",
            "before": "dusty, pollen", "after": "clean", "photo": "no/where.jpg",
            "remark": "distilled water",
        }  # fmt: skip
        await fill(screen, DoneForm, values)
        assert by_day(screen) == [
            UpkeepDone(
                "mirror rinsed, two baths; distilled water",
                TUBE, 4.5, 80, "dusty, pollen", "clean", "no/where.jpg",
            )
        ]  # fmt: skip
        assert " · in no night" in " ".join(screen.said.split())
        assert due_of(screen)["mirror rinse"].share < 0.01
        assert (
            "done 2025-11-13, today" in screen.words("#upkeep-what")
            or "batteries" in (screen.words("#upkeep-list").splitlines()[0])
        )


async def test_in_a_night_it_goes_into_the_night(path: Path, clock: Clock) -> None:
    begin_night(path, clock)
    async with opened(path, clock, "upkeep") as screen:
        await screen.press("enter")
        await fill(screen, DoneForm, {})
        (entry,) = screen.timeline
        assert entry.content.upkeep == UpkeepDone("mirror rinse", TUBE)


async def test_what_was_done_days_ago_can_be_logged_late(path: Path, clock: Clock) -> None:
    begin_night(path, clock)
    async with opened(path, clock, "upkeep") as screen:
        await screen.press("d")
        await fill(screen, DoneForm, {"when": "2025-11-02"})
        (entry,) = screen.book.timeline.of_night(None)
        assert f"{entry.content.happened_utc:%Y-%m-%d %H:%M}" == "2025-11-02 11:00"  # Vienna noon
        await screen.press("d")
        await fill(screen, DoneForm, {"when": "2025-12-24"})
        assert "still to come" in " ".join(screen.words("#said-when").split())
        assert isinstance(screen.app.screen, DoneForm)


UNDERSTOOD = (
    ("action", "mirror rinsed twice", "counts for the rule"),
    ("action", "blown off", "does not count for: mirror rinse"),
    ("minutes", "25", "25 min"),
    ("minutes", "soon", "25 min, 1 h 20 min"),
    ("cost", "£4,5", "4.50"),
    ("cost", "much", "a number"),
    ("photo", "[/x].jpg", "no such photo"),
    ("part", "small ch", "Small Chip"),
    ("part", "roof", "none of your parts"),
    ("when", "yesterday", "Wed 12 Nov 2025 12:00"),
    ("when", "25:99", "15:30, yesterday"),
)


async def test_the_form_says_what_it_understood(path: Path, clock: Clock) -> None:
    async with opened(path, clock, "upkeep", (120, 40)) as screen:
        await screen.press("d")
        for name, typed, said in UNDERSTOOD:
            screen.app.screen.query_one(f"#field-{name}", Input).value = typed
            await screen.settle()
            assert said in " ".join(screen.words(f"#said-{name}").split()), typed


async def test_the_caution_follows_what_is_typed(path: Path, clock: Clock) -> None:
    async with opened(path, clock, "upkeep") as screen:
        await screen.press("down", "d")
        assert "never charge" in screen.words(".form-intro")
        screen.app.screen.query_one("#field-action", Input).value = "cleaned with alcohol"
        await screen.settle()
        assert "Solvents burn" in screen.words(".form-intro")


async def test_what_a_stray_escape_left_in_the_form_is_there_when_it_opens_again(
    path: Path, clock: Clock
) -> None:
    async with opened(path, clock, "upkeep") as screen:
        await screen.press("d")
        screen.app.screen.query_one("#field-before", Input).value = "dusty"
        await screen.settle()
        await screen.press("escape")
        assert not isinstance(screen.app.screen, DoneForm)
        assert by_day(screen) == []
        await screen.press("d")
        assert isinstance(screen.app.screen, DoneForm)
        assert screen.app.screen.query_one("#field-before", Input).value == "dusty"


# Rules


async def test_putting_off_and_taking_up_again(path: Path, clock: Clock) -> None:
    async with opened(path, clock, "upkeep") as screen:
        await screen.press("o", "enter")
        until = due_of(screen)["mirror rinse"].snoozed_until_utc
        assert until is not None
        assert (until.date() - clock.now.date()).days == 7
        assert "off Long Tube: mirror rinse  put off until" in screen.words("#upkeep-list")
        assert "1 put off" in screen.words("#upkeep-head")
        clock.forward(minutes=1)
        await screen.press("o", "enter")
        assert due_of(screen)["mirror rinse"].is_due


async def test_putting_off_till_a_date(path: Path, clock: Clock) -> None:
    async with opened(path, clock, "upkeep") as screen:
        await screen.press("o", *"date", "enter")
        await fill(screen, PutOffForm, {"until": "2025-11-01"})
        assert "a day to come" in screen.words("#said-until")
        await fill(screen, PutOffForm, {"until": "2026-01-31"})
        until = due_of(screen)["mirror rinse"].snoozed_until_utc
        assert f"{until:%Y-%m-%d}" == "2026-01-31"


async def test_a_rule_by_form(path: Path, clock: Clock) -> None:
    async with opened(path, clock, "upkeep") as screen:
        await screen.press("n")
        await fill(screen, RuleForm, {"action": "tension"})
        assert "Say when it falls due" in screen.words("#form-foot")
        values = {
            "part": "small ch", "nights": "20", "months": "6", "hours": "40,5", "step": "18 F",
            "moved": "y",
        }  # fmt: skip
        await fill(screen, RuleForm, values)
        rule = due_of(screen)["tension"].record.rule
        assert rule == UpkeepRule("tension", "Small Chip", 20, 6, 40.5, 10.0, after_transport=True)


async def test_a_rule_that_is_there_already_is_not_kept_twice(path: Path, clock: Clock) -> None:
    async with opened(path, clock, "upkeep") as screen:
        await screen.press("n")
        values = {"action": "Mirror RINSE", "part": TUBE, "months": "3"}
        await fill(screen, RuleForm, values)
        assert "e changes it" in screen.words("#form-foot")
        assert len(screen.book.upkeep.rules()) == 2


async def test_changing_and_retiring_a_rule(path: Path, clock: Clock) -> None:
    async with opened(path, clock, "upkeep") as screen:
        await screen.press("e")
        await fill(screen, RuleForm, {"months": "12"})
        assert due_of(screen)["mirror rinse"].record.rule.every_months == 12
        assert due_of(screen)["mirror rinse"].share < 0.2
        await screen.press("x", "enter")
        assert len(screen.book.upkeep.rules()) == 2, "the first answer leaves it"
        await screen.press("x", "down", "enter")
        assert len(screen.book.upkeep.rules()) == 1


# History


def worked(book: Book, clock: Clock) -> None:
    done = (
        UpkeepDone("rinsed", TUBE, 3.5, 40, photo_path="no/where.jpg"),
        UpkeepDone("[/x] greased", "Shed door", 1.25),
    )
    for each in done:
        book.timeline.keep(None, NewEntry("upkeep", clock.now, each.action, upkeep=each))
        clock.forward(days=60)


@pytest.fixture
def with_history(path: Path, clock: Clock) -> Path:
    with open_book(path, clock=clock) as book:
        worked(book, clock)
    return path


async def test_the_history_of_a_part_and_of_everything(with_history: Path, clock: Clock) -> None:
    async with opened(with_history, clock, "upkeep") as screen:
        await screen.press("h")
        assert isinstance(screen.app.screen, UpkeepHistory)
        assert sheet_rows(screen) == [
            "2025: 1 time, 40 min, cost 3.50",
            "  2025-11-13  Long Tube: rinsed, 40 min, cost 3.50; photo: no/where.jpg",
        ]
        assert "mirror rinse every 1 month" in screen.words("#live-top")
        await screen.press("down")
        assert "no such photo there now" in " ".join(screen.words("#live-about").split())
        await screen.press("a")
        assert sheet_rows(screen)[0] == "2026: 1 time, cost 1.25"
        assert "[/x] greased" in sheet_rows(screen)[1]
        assert "cost 4.75" in screen.words("#live-top")
        await screen.press("p", *"chip", "enter")
        assert "Nothing was done yet" in " ".join(screen.words("#live-top").split())
        await screen.press("e", "x", "escape")
        assert len(screen.app.screen_stack) == 1


async def test_an_entry_is_corrected_and_taken_out_in_the_history(
    with_history: Path, clock: Clock
) -> None:
    async with opened(with_history, clock, "upkeep") as screen:
        before = screen.book.upkeep.history(TUBE)[0].content.happened_utc
        await screen.press("h", "down", "e")
        await fill(screen, DoneForm, {"cost": "4", "after": "clean"})
        (entry,) = screen.book.upkeep.history(TUBE)
        assert entry.content.upkeep == UpkeepDone(
            "rinsed", TUBE, 4.0, 40, after="clean", photo_path="no/where.jpg"
        )
        assert entry.content.happened_utc == before
        assert len(screen.book.timeline.history(entry.id)) == 2
        await screen.press("x", "down", "enter")
        assert screen.app.screen.query_one("#live-list") is not None
        assert all(each.content.upkeep is None or each.content.upkeep.part_name != TUBE
                   for each in screen.book.upkeep.history())  # fmt: skip


# Wishes and small hardware


async def test_the_wish_list_and_sizes(path: Path, clock: Clock) -> None:
    async with opened(path, clock, "upkeep", (120, 40)) as screen:
        await screen.press("w")
        assert sheet_rows(screen) == [
            "wish  Ring  20.00",
            "size  Screw: thread M3x0.5; not known: shaft length",
        ]
        assert "1 wish, 20.00 in all" in screen.words("#live-top")


async def test_what_was_bought_is_owned(path: Path, clock: Clock) -> None:
    async with opened(path, clock, "upkeep") as screen:
        await screen.press("w", "b")
        await fill(screen, HereForm, {"price": "18.50"})
        ring = screen.book.kit.part_named("Ring")
        assert (ring.part.state, ring.part.price, ring.why) == ("owned", 18.5, "bought")
        assert isinstance(screen.app.screen, WishSheet)
        assert len(sheet_rows(screen)) == 1
        await screen.press("b")
        assert "not wished for" in screen.words("#live-about")


async def test_small_hardware_is_ordered_and_comes(path: Path, clock: Clock) -> None:
    async with opened(path, clock, "upkeep") as screen:
        await screen.press("w", "down", "o")
        assert "thread M3x0.5" in screen.words(".form-intro")
        await fill(screen, OrderForm, {"why": "the last one is lost"})
        screw = screen.book.kit.part_named("Screw").part
        assert (screw.state, screw.reason) == ("wished for", "the last one is lost")
        assert [row[:11] for row in sheet_rows(screen)] == ["wish  Ring ", "wish  Screw"]
        await screen.press("b")
        await fill(screen, HereForm, {"stock": "10"})
        screw = screen.book.kit.part_named("Screw").part
        assert (screw.state, screw.number("stock_count")) == ("owned", 10)


async def test_a_wish_is_added_with_its_sizes(path: Path, clock: Clock) -> None:
    async with opened(path, clock, "upkeep", (120, 40)) as screen:
        await screen.press("w", "n")
        for name, value in (("kind", "small hardware"), ("name", "O-ring")):
            screen.app.screen.query_one(f"#field-{name}", Input).value = value
        await screen.press("ctrl+o")
        for name, value in (("inner_diameter_mm-stated", "62"), ("price", "3.2")):
            screen.app.screen.query_one(f"#field-{name}", Input).value = value
        await screen.press("ctrl+o")
        added = screen.book.kit.part_named("O-ring").part
        assert (added.state, added.price) == ("wished for", 3.2)
        assert sheet_rows(screen)[0].startswith("wish  O-ring  3.20")
