"""Choose, with the real sky, on a night whose facts are known.

2025-10-04 from 48.2° N 16.3° E: the Moon was 90 % lit and up most of the night (full Moon fell on
2025-10-07 03:47 UT, US Naval Observatory phases of the Moon, from memory).
"""

from pathlib import Path

import pytest
from textual.widgets import DataTable, Input

from logbook.screen.dialogs.site_form import NewSite
from tests.screen.choosing import choosing, rows


async def test_the_list_says_what_and_why_in_numbers(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        assert len(rows(screen)) > 20
        page = screen.page
        assert "Long train" in page
        assert "dark" in page
        for factor in ("hours", "altitude", "moonlight", "brightness", "framing"):
            assert factor in page
        assert "Not faint objects tonight" in " ".join(page.split())


async def test_enter_puts_the_object_on_the_entry_line(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        assert screen.app.desk.tonight is not None
        first = screen.app.desk.tonight.suggestions[0]
        await screen.press("enter")
        assert screen.line == f"start {first.object_id}"
        assert screen.app.focused is not None
        assert screen.app.focused.id == "line"


async def test_more_altitude_asked_for_leaves_fewer_hours(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        assert screen.app.desk.tonight is not None
        before = {each.object_id: each.hours for each in screen.app.desk.tonight.suggestions}
        await screen.press("a", "a")
        assert screen.app.desk.tonight.ranking.limits.min_altitude_deg == 40.0
        after = {each.object_id: each.hours for each in screen.app.desk.tonight.suggestions}
        shared = before.keys() & after.keys()
        assert shared
        assert all(after[each] <= before[each] + 1e-6 for each in shared)
        assert "above 40°" in screen.page
        await screen.press("A", "A")
        assert "above 30°" in screen.page


async def test_the_cursor_stays_on_its_object_when_the_list_changes(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await screen.press("down", "down", "down")
        before = rows(screen)
        await screen.press("l", *"above 31", "escape")
        await screen.press("a", "o")
        assert rows(screen) != before
        assert before[3] in screen.words("#live-heading")


async def test_nights_before_and_after_can_be_chosen_for(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await screen.press("right")
        assert "night of Sun 05 Oct" in screen.page
        await screen.press("left", "left")
        assert "night of Fri 03 Oct" in screen.page
        await screen.press("0")
        assert "night of" not in screen.page


async def test_another_train_frames_other_objects(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        long_train = rows(screen)
        await screen.yes("t")
        while screen.app.desk.tonight is None or screen.app.desk.tonight.field is not None:
            await screen.settle()
        assert "Short train" in screen.page
        assert rows(screen) != long_train
        assert "No train is chosen" in " ".join(screen.page.split())


@pytest.mark.parametrize("size", [(60, 16), (80, 24), (120, 40)])
async def test_no_row_of_the_list_is_cut_at_any_size(size: tuple[int, int], tmp_path: Path) -> None:
    async with choosing(tmp_path, size) as screen:
        table = screen.app.query_one(DataTable)
        assert table.virtual_size.width <= table.scrollable_content_region.width
        shown = screen.words("#choose-list").splitlines()
        assert "score" in shown[0]
        assert screen.app.desk.tonight is not None
        assert f"{screen.app.desk.tonight.suggestions[0].score:.2f}" in shown[1]


async def test_on_a_wide_screen_frame_and_altitude_are_drawn(tmp_path: Path) -> None:
    async with choosing(tmp_path, (120, 40)) as screen:
        page = screen.page
        assert "north up, east left" in page
        assert "Altitude; dots: 30°, Moon" in page
        assert any("⠁" <= character <= "⣿" for character in page)


async def test_the_night_in_full_has_all_twilights_and_the_moon(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await screen.press("i")
        told = screen.words(".sheet")
        for word in ("Sunset", "Civil", "Nautical", "Astronomical", "Dark", "Moon", "days old"):
            assert word in told
        await screen.press("escape")
        assert len(screen.app.screen_stack) == 1


async def test_the_reasons_are_a_key_away_on_a_small_terminal(tmp_path: Path) -> None:
    async with choosing(tmp_path, (60, 16)) as screen:
        await screen.press("w")
        assert "moonlight" in screen.words(".sheet")
        await screen.press("escape")
        assert len(screen.app.screen_stack) == 1


async def test_the_distance_to_the_moon_can_be_asked_for(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await screen.press("m", "m")
        tonight = screen.app.desk.tonight
        assert tonight is not None
        assert "50° from a risen Moon" in screen.page
        near = [each for each in tonight.suggestions if each.moon_up_part]
        assert all(each.moon_separation_min_deg >= 50 for each in near)
        await screen.press("M")
        assert "40° from a risen Moon" in screen.page


async def test_another_site_can_be_written_down_and_chosen_in_turn(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await screen.press("s")
        assert "only one site" in screen.said
        await screen.press("n")
        assert isinstance(screen.app.screen, NewSite)
        for line, answer in zip(
            screen.app.screen.query(Input),
            ["Kopje", "34 S 20 E", "300", "Africa/Johannesburg"],
            strict=False,
        ):
            line.value = answer
        await screen.press("ctrl+o")
        while screen.app.desk.tonight is None or screen.app.desk.tonight.site.name != "Kopje":
            await screen.settle()
        assert screen.words("#strip").startswith("Kopje")
        await screen.yes("s")
        assert screen.app.desk.view.site is not None
        assert screen.app.desk.view.site.site.name == "Mill Hill"
