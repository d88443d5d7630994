"""What opens from the Choose page: one object, its frame, nights to come, bright nights, projects.

2025-10-04 from 48.2° N: the Moon was 90 % lit and up most of the night (see test_choose.py).
"""

from datetime import timedelta
from pathlib import Path

import pytest
from textual.widgets import ContentSwitcher, Input, OptionList, Static

from logbook.kit.parts.part import Part
from logbook.records.entries import Frames, NewEntry, UpkeepDone
from logbook.screen.app.app import LogbookApp
from logbook.screen.pages.choose.frame import FrameSheet
from logbook.screen.pages.choose.project_form import EditProject, NewProject, hours_typed
from logbook.screen.pages.choose.words import place_words
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.services import Desk
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.choosing.catalogue_targets import find_target
from logbook.store.opening import make_book
from logbook.store.upkeep.rules import UpkeepRule
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import NoSky, OnScreen
from tests.screen.choosing import choosing, fill, open_sheet, rows, sheet_rows, tonight_of


def exposed_m31(book: Book) -> None:
    """An hour on the Andromeda Galaxy in a night long ended, and ten hours wanted."""
    site = book.sites.all()[0]
    began = EVENING - timedelta(days=9)
    night = book.nights.start(site.id, None, "", began)
    m31 = find_target("m31")
    assert m31 is not None
    frames = NewEntry("frames", began, "20 x 180s", target=m31, frames=Frames(20, 180.0, "L"))
    book.timeline.keep(night.id, frames)
    book.nights.end(night.id, began + timedelta(hours=2))
    book.projects.add(m31, "L", 10.0)


async def search(screen: OnScreen, typed: str) -> str:
    """Search an object and open its sheet; its words without the edges."""
    await screen.press("slash")
    screen.app.screen.query_one("#search-line", Input).value = typed
    await screen.settle()
    return unframed(await open_sheet(screen, "enter"))


def unframed(told: str) -> str:
    """Words that wrap, in one line."""
    return " ".join(told.replace("│", " ").split())


def sheet_name(screen: OnScreen) -> str:
    return type(screen.app.screen).__name__


async def test_one_object_is_told_whole(tmp_path: Path) -> None:
    async with choosing(tmp_path, (120, 40), exposed_m31) as screen:
        told = await search(screen, "andromeda gal")
        assert sheet_name(screen) == "ObjectSheet"
        for word in (
            "Andromeda Galaxy (M 31)",
            "galaxy, And",
            "position angle 35°",
            "h above 30°",
            "best",
            "Meridian",
            "Undriven drift",
            "field turns",
            "Moon at least",
            "In the book: 1 night, last 2025-09-25; L 1.0 h",
            "Project: 1.0 of 10 h through L, 9.0 h owed",
            "A year, hours a night",
        ):
            assert word in told
        await screen.press("f")
        assert sheet_name(screen) == "FrameSheet"
        await screen.press("escape", "enter")
        assert screen.line == "start NGC 224"
        assert len(screen.app.screen_stack) == 1


async def test_what_is_not_known_or_never_rises_is_said(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        assert "It never rises here" in await search(screen, "omega cen")
        await screen.press("escape")
        told = await search(screen, "ngc 7394")
        assert "size unknown" in told
        assert "magnitude unknown" in told
        told = await open_sheet(screen, "f")
        assert "Size unknown: only its place is marked." in unframed(told)
        await screen.press("escape", "escape", "slash", *"no such thing", "enter")
        assert "Nothing is called so" in screen.words(".sheet")


async def test_the_frame_is_drawn_to_scale_and_can_be_turned(tmp_path: Path) -> None:
    async with choosing(tmp_path, (120, 40)) as screen:
        await search(screen, "m31")
        told = await open_sheet(screen, "f")
        assert "not mirrored" in told
        assert "N" in screen.words("#frame-drawn")
        assert "E" in screen.words("#frame-drawn")
        assert "does not fit" in told
        sheet = screen.app.screen
        assert isinstance(sheet, FrameSheet)
        assert sheet.found is not None
        assert sheet.found.mosaic is not None
        assert len(sheet.found.mosaic.panels) > 4
        listed = str(sheet.query_one("#frame-listed", Static).content)
        panels = sheet.found.mosaic.panels
        assert all(place_words(each.ra_deg, each.dec_deg) in listed for each in panels)
        frames = len(sheet.found.mosaic.panels)
        await screen.press(*["plus"] * 6)
        assert len(sheet.found.mosaic.panels) > frames
        best = sheet.found.view.angle_deg
        before = screen.words("#frame-drawn")
        await screen.press("right")
        assert sheet.found.view.angle_deg == best + 5.0
        assert screen.words("#frame-drawn") != before
        await screen.press("u", "d")
        assert sheet.found.view.angle_deg == 0.0
        assert sheet.found.view.object.x > 0.55
        await screen.press("b")
        assert sheet.found.view.angle_deg == best
        await screen.press("escape", "escape")
        await search(screen, "m42")
        assert "Mairan's Neb" in await open_sheet(screen, "f"), "M 43, 8′ north of M 42"


def test_a_place_is_said_as_charts_have_it() -> None:
    """M 31 and M 42 as in SIMBAD (J2000, from memory)."""
    assert place_words(10.6847, 41.2688) == "00 42.7 +41°16′"
    assert place_words(83.8221, -5.3911) == "05 35.3 −05°23′"
    assert place_words(359.9999, -0.001) == "00 00.0 −00°00′"


def with_a_diagonal(book: Book) -> None:
    """A train with a third mirror, chosen."""
    names = ("Long Tube", "Small Chip")
    tube, chip = (book.kit.part_named(each).id for each in names)
    flat = book.kit.add_part(Part("Flat", "diagonal").with_number("mirror_count", 1))
    book.kit.add_train("Through the flat", "camera", (tube, flat.id, chip))
    book.choices.put("train", "Through the flat")


async def test_a_mirrored_train_has_east_on_the_other_side(tmp_path: Path) -> None:
    async with choosing(tmp_path, prepare=with_a_diagonal) as screen:
        told = unframed(await open_sheet(screen, "f"))
        assert "mirrored as this train shows it" in told
        drawn = screen.words("#frame-drawn").splitlines()
        east = next(line.index("E") for line in drawn if "E" in line)
        assert east > max(len(line) for line in drawn) / 2


async def test_a_train_without_a_field_is_told_where_to_look(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await screen.yes("t")
        while tonight_of(screen).field is not None:
            await screen.settle()
        await screen.press("f")
        assert "F5 says which numbers are missing" in unframed(screen.words(".sheet"))


async def test_a_night_to_come_is_chosen_from_the_calendar(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        await open_sheet(screen, "c")
        nights = sheet_rows(screen)
        assert len(nights) == 60
        assert "Sat 04 Oct" in nights[0]
        await screen.press(*["down"] * 17, "enter")
        assert "night of Tue 21 Oct" in screen.page
        assert "none of it moonless" not in screen.page, "new Moon was on 2025-10-21"


def carried_since(book: Book) -> None:
    """The screws were looked at, then the telescope was carried."""
    book.upkeep.add(UpkeepRule("look at the screws", after_transport=True))
    done, looked_at = UpkeepDone("looked at the screws"), EVENING - timedelta(days=9)
    book.timeline.keep(None, NewEntry("upkeep", looked_at, "looked", upkeep=done))
    book.timeline.keep(None, NewEntry("transport", EVENING - timedelta(days=5), "transport track"))


async def test_a_bright_night_has_something_else_to_do(tmp_path: Path) -> None:
    async with choosing(tmp_path, prepare=carried_since) as screen:
        told = unframed(await open_sheet(screen, "b"))
        assert "Not faint objects tonight" in told
        due = next(i for i, row in enumerate(sheet_rows(screen)) if " upkeep " in row)
        assert "look at the screws (moved since then: 1)" in sheet_rows(screen)[due]
        for kind in ("Moon", "planet", "double star", "star test"):
            assert any(f" {kind} " in row for row in sheet_rows(screen)), kind
        place = next(i for i, row in enumerate(sheet_rows(screen)) if " the Moon" in row)
        told = await open_sheet(screen, *["down"] * place, "enter")
        assert sheet_name(screen) == "MoonSheet"
        assert "colongitude" in told
        assert "Libration" in told
        assert sheet_rows(screen), "features in low light"
        told = await open_sheet(screen, "o")
        assert sheet_name(screen) == "ObjectSheet"
        assert "moon" in told
        await screen.press("escape", "escape")
        screen.app.screen.query_one("#live-list", OptionList).highlighted = due
        await screen.press("enter")
        assert screen.app.query_one("#pages", ContentSwitcher).current == "upkeep"


async def test_a_star_for_the_star_test_is_high_and_bright(tmp_path: Path) -> None:
    async with choosing(tmp_path) as screen:
        told = await open_sheet(screen, "x")
        assert "203 mm" in told
        assert "in an hour" in told
        best = sheet_rows(screen)[0]
        await screen.press("d")
        assert "stands still" in screen.words(".sheet")
        assert sheet_rows(screen)[0] != best, "a slow star near the pole"
        await screen.yes("space")
        site = screen.app.desk.view.site
        assert site is not None
        order = screen.book.running_orders.newest(site.id, screen.app.desk.chosen_date)
        assert order is not None
        assert order.items[0].target.kind == "star"


async def test_projects_are_wanted_edited_and_taken_out(tmp_path: Path) -> None:
    async with choosing(tmp_path, prepare=exposed_m31) as screen:
        told = await open_sheet(screen, "p")
        assert "1.0 of 10 h" in told
        await screen.press("n")
        assert isinstance(screen.app.screen, NewProject)
        await fill(screen, object="m31", hours="3", filter="l")
        assert "already" in screen.words(".sheet")
        await fill(screen, object="veil", hours="90 min", filter="Ha")
        assert [each.wanted_hours for each in screen.book.projects.all()] == [10.0, 1.5]
        assert len(sheet_rows(screen)) == 2
        await screen.press("end", "enter")
        assert isinstance(screen.app.screen, EditProject)
        await fill(screen, hours="20")
        assert [each.owed_hours for each in screen.book.projects.all()] == [20.0, 9.0]
        await screen.press("home", "x", "enter", "escape")
        assert [each.target.name for each in screen.book.projects.all()] == ["Andromeda Galaxy"]
        factors = {each.name for each in tonight_of(screen).suggestions[0].factors}
        assert "owed" in factors, "a project weighs in the ranking"


async def test_frames_kept_tonight_count_in_the_ranking(tmp_path: Path) -> None:
    def wanted(book: Book) -> None:
        exposed_m31(book)
        book.nights.start(book.sites.all()[0].id, None, "", EVENING)

    async with choosing(tmp_path, prepare=wanted) as screen:
        facts = tonight_of(screen).ranking.facts
        assert facts.owed_hours["NGC 224"] == 9.0
        for line in ("start m31", "40 x 180s L"):
            await screen.enter(line)
        await screen.press("f2")
        facts = tonight_of(screen).ranking.facts
        assert facts.owed_hours["NGC 224"] == 7.0
        assert facts.last_observed["NGC 224"] == EVENING.date()


async def test_without_a_site_every_key_says_what_to_do_first(tmp_path: Path) -> None:
    clock = Clock(EVENING)
    path = make_book(tmp_path / "empty.db", clock=clock)
    app = LogbookApp(BookSource(path, clock=clock), Desk(NoSky(), clock=clock))
    async with app.run_test() as pilot:
        screen = OnScreen(pilot, app)
        while sheet_name(screen) != "FirstKit":
            await screen.settle()
        await screen.press("escape")
        assert "n on the page Choose" in screen.page
        for key in ("c", "b", "x", "r"):
            await screen.press(key)
            assert "n on the page Choose" in screen.words(".sheet"), key
            await screen.press("escape")
        await screen.press("p")
        assert "n wants hours" in screen.words(".sheet")
        await screen.press("escape", *"ofwhl", "escape", "space", "enter", "a", "m", "1")
        assert len(app.screen_stack) == 1
    assert app.desk.writer is not None
    app.desk.writer.close()
    screen.book.close()


def in_the_north(book: Book) -> None:
    book.sites.add(Site("High North", 78.2, 15.6, 10.0, "Arctic/Longyearbyen"))
    book.choices.put("site", "High North")


def in_the_south(book: Book) -> None:
    book.sites.add(Site("Far South", -33.0, 18.5, 200.0, "Africa/Johannesburg"))
    book.choices.put("site", "Far South")


async def test_a_summer_without_night_has_words_on_every_sheet(tmp_path: Path) -> None:
    async with choosing(tmp_path, prepare=in_the_north) as screen:
        screen.app.desk.looked_at = EVENING.date().replace(month=6, day=21)
        await screen.press("right")
        assert rows(screen) == []
        assert "no full darkness" in screen.page
        for key in ("b", "x", "r", "p"):
            assert len(await open_sheet(screen, key)) > 80
            await screen.press("escape")
        told = await search(screen, "m31")
        assert "No time above 30° in darkness" in told


async def test_the_south_has_its_own_sky(tmp_path: Path) -> None:
    async with choosing(tmp_path, prepare=in_the_south) as screen:
        assert rows(screen)
        told = await search(screen, "tarantula")
        assert "It never sets here" in told
        assert "h above 30°" in told


@pytest.mark.parametrize(
    ("typed", "hours"),
    [("10", 10.0), ("2.5 h", 2.5), ("1 h 30", 1.5), ("2 h 05 min", 2 + 5 / 60), ("90 min", 1.5)],
)
def test_hours_are_read_as_the_plan_shows_them(typed: str, hours: float) -> None:
    assert hours_typed(typed) == pytest.approx(hours)
