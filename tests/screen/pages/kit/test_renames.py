"""A train, a part and a site are renamed on the screen; past nights show the new name."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from textual.widgets import Input

from logbook.records.entries import NewEntry
from logbook.screen.pages.choose import sheets
from logbook.screen.pages.choose.page import ChoosePage
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened
from tests.screen.widgets.test_red import leaks


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def over(tmp_path: Path, clock: Clock) -> Path:
    """A night that is over, with the train Long train at the site Mill Hill."""
    path = build_book(tmp_path / "night.db", clock)
    night_id = begin_night(path, clock)
    with open_book(path, clock=clock) as book:
        book.timeline.keep(night_id, NewEntry("note", clock.forward(minutes=5), "note calm"))
        book.nights.end(night_id, EVENING + timedelta(hours=2))
    clock.forward(days=30)
    return path


async def name_it(it: OnScreen, name: str) -> None:
    it.app.screen.query_one("#field-name", Input).value = name
    await it.settle()


async def test_a_train_is_renamed_and_the_old_night_shows_it(over: Path, clock: Clock) -> None:
    async with opened(over, clock, "kit", (120, 40)) as it:
        await it.press("m")
        assert "Another name for Long train" in it.words(".sheet")
        await name_it(it, "short TRAIN")
        assert "Short train is taken" in it.words("#said-name")
        await it.press("enter")
        assert it.app.screen.query("#field-name")
        await name_it(it, "Native f/8")
        await it.press("enter", "y")
        assert "Long train is called Native f/8 now" in it.said
        assert "train Native f/8" in it.page
        assert it.app.desk.view.train is not None
        assert it.app.desk.view.train.train.name == "Native f/8"
        await it.press("f6", "enter")
        assert "Native f/8, revision 1" in it.words("#paper-rows")
        assert "Long train" not in it.words("#paper-rows")


async def test_a_part_is_renamed(over: Path, clock: Clock) -> None:
    async with opened(over, clock, "kit") as it:
        await it.press("end", "m")
        old = it.app.screen.query_one("#field-name", Input).value
        await name_it(it, "Renamed")
        await it.press("enter", "y")
        assert it.book.kit.part_named(old).part.name == "Renamed"


async def test_a_site_is_renamed_and_stays_the_chosen_one(over: Path, clock: Clock) -> None:
    with open_book(over, clock=clock) as book:
        site = book.sites.all()[0].site
        book.sites.add(replace(site, name="Skerry"))
    async with opened(over, clock, "choose") as it:
        sheets.site(it.app.query_one(ChoosePage).held)
        await it.settle()
        await name_it(it, "skerry")
        assert "Skerry is taken" in it.words("#said-name")
        await name_it(it, "Windmill")
        await it.press("ctrl+o")
        assert it.app.desk.view.site is not None
        assert it.app.desk.view.site.site.name == "Windmill"
        await it.press("f6", "enter")
        assert it.words("#live-heading").endswith("Windmill")


async def test_the_line_takes_the_old_name_and_says_so(over: Path, clock: Clock) -> None:
    with open_book(over, clock=clock) as book:
        book.kit.rename_train(book.kit.train_named("Short train").id, "Grab and go")
    begin_night(over, clock)
    async with opened(over, clock, "night") as it:
        await it.enter("kit short train")
        assert "Grab and go, called Short train before" in " ".join(it.said.split())
        assert "now with Grab and go" in it.page


@pytest.mark.parametrize("size", [(60, 16), (80, 24), (120, 40)])
async def test_the_form_is_red_in_the_red_view(
    over: Path, clock: Clock, size: tuple[int, int]
) -> None:
    async with opened(over, clock, "kit", size) as it:
        await it.press("f7", "m")
        assert leaks(it.app) == []
