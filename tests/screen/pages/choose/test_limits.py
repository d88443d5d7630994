"""Limits are typed and the list follows every key; sets of them are a key away and saved."""

from pathlib import Path

from textual.widgets import Input

from logbook.screen.pages.choose.limits import EditSet, RenameSet, SaveLimits
from logbook.sky.limits.limits import Limits
from logbook.sky.limits.limits_parser import read_limits
from logbook.sky.limits.presets import PRESETS
from tests.screen.book_on_screen import OnScreen
from tests.screen.choosing import (
    choosing,
    fill,
    open_sheet,
    reopened,
    rows,
    sheet_rows,
    tonight_of,
)


async def typed(screen: OnScreen, limits: str) -> None:
    """Open the line of the limits and put words into it."""
    await screen.press("l")
    screen.app.query_one("#limits-input", Input).value = limits
    await screen.settle()


async def test_the_list_follows_every_key_and_escape_brings_it_back(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        before = rows(screen)
        await screen.press("l", *"globulars")
        assert {each.kind for each in tonight_of(screen).suggestions} == {"globular cluster"}
        clusters = rows(screen)
        assert clusters != before
        await screen.press(*", above 45")
        assert all(each.max_altitude_deg >= 45 for each in tonight_of(screen).suggestions)
        assert len(rows(screen)) < len(clusters)
        await screen.press("escape")
        assert rows(screen) == before
        assert screen.book.choices.get("limits") is None


async def test_what_cannot_be_understood_is_said_and_the_list_stays(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        before = rows(screen)
        await screen.press("l", *"glaxies")
        assert "galaxies" in screen.words("#limits-said")
        assert rows(screen) == before
        await screen.press("enter")
        assert screen.app.focused is not None
        assert screen.app.focused.id == "limits-input", "the line stays until it can be understood"


async def test_limits_taken_are_there_at_the_next_start(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await typed(screen, "galaxies, above 50")
        await screen.press("enter")
        assert screen.book.choices.get("limits") == "galaxies, above 50"
    async with reopened(tmp_path / "logbook.db") as screen:
        assert tonight_of(screen).ranking.limits == read_limits("galaxies, above 50")
        assert "above 50°" in screen.page


async def test_nothing_within_the_limits_is_said_not_an_empty_page(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await typed(screen, "in octans")
        await screen.press("enter")
        assert rows(screen) == []
        assert "Nothing in the catalogue is within these limits." in " ".join(screen.page.split())
        await screen.press("enter", "o", "f", "w", "space")
        assert len(screen.app.screen_stack) == 1, "no sheet without an object"


async def test_a_set_is_used_by_its_digit(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        place = [each.name for each in PRESETS].index("clusters") + 1
        await screen.yes(str(place))
        assert tonight_of(screen).ranking.limits == PRESETS[place - 1].limits
        assert "clusters: above" in screen.page
        await screen.press("9")
        assert screen.line == "9"


async def test_typed_limits_become_a_set_of_ones_own(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await typed(screen, "galaxies in leo, 2 h")
        await screen.press("ctrl+o")
        assert isinstance(screen.app.screen, SaveLimits)
        await fill(screen, name="Lion hunt")
        kept = screen.book.limit_sets.named("lion hunt")
        assert kept.limits == read_limits("galaxies in leo, 2 h")
        assert "Lion hunt: above" in screen.page


async def test_sets_are_edited_renamed_and_taken_out_on_their_sheet(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        told = await open_sheet(screen, "L")
        assert all(each.name in told for each in PRESETS)
        await screen.press("down", "e")
        assert isinstance(screen.app.screen, EditSet)
        await fill(screen, limits="galaxies, above 40")
        assert screen.book.limit_sets.all()[1].limits == read_limits("galaxies, above 40")
        await screen.press("r")
        assert isinstance(screen.app.screen, RenameSet)
        await fill(screen, name=PRESETS[0].name)
        assert "is taken" in screen.words(".sheet"), "a taken name is refused, and the form stays"
        await fill(screen, name="dust and galaxies")
        await screen.press("y")
        assert any("dust and galaxies" in row for row in sheet_rows(screen))
        await screen.yes("x")
        assert not any("dust and galaxies" in row for row in sheet_rows(screen))
        await screen.press("enter")
        assert len(screen.app.screen_stack) == 1
        assert tonight_of(screen).ranking.limits != Limits()
