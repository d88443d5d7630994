"""The red view over everything that opens from the Choose page, with a sky in it."""

from pathlib import Path

from tests.screen.choosing import choosing
from tests.screen.widgets.test_red import leaks

SHEETS = ("w", "o", "f", "c", "b", "x", "p", "r", "L", "h", "i", "slash")


async def test_every_sheet_of_the_choose_page_is_red(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        assert leaks(screen.app), "the day view should have other colours, or this test is blind"
        await screen.press("f7")
        for key in SHEETS:
            await screen.press(key)
            assert len(screen.app.screen_stack) == 2, key
            assert leaks(screen.app) == [], key
            await screen.press("escape")
        await screen.press("l", *"gal")
        assert leaks(screen.app) == [], "the line of the limits, with words of refusal"
        await screen.press("escape", "p", "n")
        assert leaks(screen.app) == [], "the form of a project"
