"""A night is planned by one key an object; the order is saved at every change and handed on."""

from itertools import pairwise
from pathlib import Path

from logbook.records.choosing import OrderItem
from logbook.screen.pages.choose.order import HoursForm
from tests.screen.book_on_screen import OnScreen
from tests.screen.choosing import choosing, fill, open_sheet, rows, sheet_rows, tonight_of


def planned(screen: OnScreen) -> tuple[OrderItem, ...]:
    """What the book itself holds for the night chosen for."""
    site = screen.app.desk.view.site
    assert site is not None
    order = screen.book.running_orders.newest(site.id, screen.app.desk.chosen_date)
    return order.items if order else ()


def ids(screen: OnScreen) -> list[str]:
    return [each.target.catalogue_id for each in planned(screen)]


async def pick_three(screen: OnScreen) -> set[str]:
    """Put the first three of the list into the running order."""
    chosen = [each.object_id for each in tonight_of(screen).suggestions[:3]]
    await screen.press("space", "enter", "down", "space", "enter", "down", "space", "enter")
    return set(chosen)


async def test_objects_are_planned_one_after_another_in_their_windows(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        chosen = await pick_three(screen)
        assert set(ids(screen)) == chosen
        times = [(each.from_utc, each.to_utc) for each in planned(screen)]
        for (_, end), (start, _) in pairwise(times):
            assert end is not None
            assert start is not None
            assert start >= end
        dark = tonight_of(screen).night.dark
        assert dark is not None
        assert times[0][0] is not None
        assert times[0][0] >= dark.start
        assert sorted(row[:2] for row in rows(screen)[:3]) == ["▸1", "▸2", "▸3"]
        await screen.yes("space")
        assert len(ids(screen)) == 2, "the same key takes it out"


async def test_the_order_is_moved_timed_and_emptied_on_its_sheet(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await pick_three(screen)
        before = ids(screen)
        await open_sheet(screen, "r")
        await screen.yes("d")
        assert ids(screen)[:2] == [before[1], before[0]]
        await screen.yes("o")
        assert set(ids(screen)) == set(before)
        first = ids(screen)[0]
        await screen.press("home", "h")
        assert isinstance(screen.app.screen, HoursForm)
        await fill(screen, hours="45 min")
        item = planned(screen)[0]
        assert item.target.catalogue_id == first
        assert item.from_utc is not None
        assert item.to_utc is not None
        assert (item.to_utc - item.from_utc).total_seconds() == 45 * 60
        await screen.press("end", "x", "enter")
        assert len(ids(screen)) == 2
        assert "0.75 h wished" in planned(screen)[0].note, "hours set outlive another change"
        await screen.yes("c")
        assert ids(screen) == []
        assert "Nothing is planned" in screen.words(".sheet")


async def test_the_night_page_says_what_comes_next_and_starts_it(tmp_path: Path) -> None:
    async with choosing(tmp_path, (120, 40)) as screen:
        await pick_three(screen)
        order = planned(screen)
        await screen.press("f10", "ctrl+o")
        assert f"Next: {order[0].target.name}" in screen.page
        screen.app.query_one("#night-list").focus()
        await screen.press("g")
        assert screen.line == f"start {order[0].target.catalogue_id}"
        await screen.press("enter")
        assert [each.content.target for each in screen.timeline] == [order[0].target]
        assert f"Next: {order[1].target.name}" in screen.page


async def test_a_planet_and_the_moon_are_planned_like_any_object(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await open_sheet(screen, "b")
        found = sheet_rows(screen)
        saturn = next(place for place, row in enumerate(found) if "Saturn" in row)
        await screen.press(*["down"] * saturn, "space", "enter")
        moon = next(place for place, row in enumerate(found) if "the Moon" in row)
        await screen.press("home", *["down"] * moon, "space", "enter")
        assert set(ids(screen)) == {"Saturn", "Moon"}
        assert all(each.target.ra_deg is None for each in planned(screen))


async def test_another_night_has_its_own_order(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await screen.yes("space")
        await screen.press("right")
        await screen.yes("space", "space")
        assert ids(screen) == []
        await screen.press("left")
        assert len(ids(screen)) == 1
        assert rows(screen)[0].startswith("▸1 ")


async def test_an_order_waits_for_its_sky_and_then_shows_itself(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await screen.yes("space")
        screen.app.desk.tonight = None
        await screen.press("r")
        assert "being worked out" in screen.words(".sheet")
        screen.app.parts.sky.work_out()
        while not sheet_rows(screen):
            await screen.settle()
        assert sheet_rows(screen)[0].startswith(" 1 ")
