"""Looks: by eye with the arrows, from a picture, from a folder that frames land in."""

from pathlib import Path

import pytest
from textual.widgets import Input

from logbook.records.entries import StarLook
from logbook.screen.pages.screws.eye import in_words
from logbook.screen.pages.screws.frames import look_line
from logbook.screen.pages.screws.page import ScrewsPage
from logbook.screen.widgets.entry_bar import EntryBar
from tests.clock import Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened
from tests.screen.star_pictures import star_picture

pytestmark = pytest.mark.slow


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def by_night(tmp_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A night in progress; the program runs where the book lies, so that paths are short."""
    monkeypatch.chdir(tmp_path)
    path = build_book(tmp_path / "night.db", clock)
    begin_night(path, clock)
    return path


def fill(it: OnScreen, name: str, typed: str) -> None:
    """Put text into a field at once, as pasting does."""
    it.app.screen.query_one(f"#{name}", Input).value = typed


def looks_kept(it: OnScreen) -> list[StarLook]:
    return [each.content.look for each in it.timeline if each.content.look is not None]


# --- by eye ---


async def test_the_arrows_move_the_shadow_and_enter_keeps_the_look(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("l", "right", "right", "space", "right", "right")
        words = it.words(".sheet")
        assert "0.12 of the radius" in words
        assert "about an eighth" in words
        assert "toward 3 o'clock" in words
        await it.press("s", "enter")
        (look,) = looks_kept(it)
        assert look.offset_fraction == pytest.approx(0.12)
        assert look.position_angle_deg == pytest.approx(0.0)
        assert look.side_of_focus == "inside"
        assert "Seen 04 Oct 21:00: shadow 0.12 of the radius toward 3" in it.page


async def test_a_look_names_its_star_and_a_stray_enter_keeps_none(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("l", "enter")
        assert "Nothing is kept yet" in it.words(".sheet")
        await it.press("down", "t", *"vega", "enter", "enter")
        await it.press("down")  # the keys turn screws again
        await it.turned()
        assert any(each.content.turn is not None for each in it.timeline)
        (look,) = looks_kept(it)
        assert look.star == "vega"
        assert look.position_angle_deg == pytest.approx(90.0)


async def test_the_shadow_never_leaves_the_disc_and_escape_keeps_nothing(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("l", *["up"] * 14)
        assert "0.60 of the radius" in it.words(".sheet")
        await it.press("escape")
        assert looks_kept(it) == []


async def test_a_look_leaves_half_typed_words_alone(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        it.app.query_one(EntryBar).restore("note wi")
        await it.press("l", "right", "enter")
        assert it.line == "note wi"
        assert len(looks_kept(it)) == 1


@pytest.mark.parametrize(
    ("look", "line"),
    [
        (StarLook(0.0), "shadow centred"),
        (StarLook(0.25, 30.0), "shadow 0.25 toward 4 o'clock"),
        (
            StarLook(0.1, 270.0, side_of_focus="outside", star="Vega"),
            "shadow 0.1 toward 12 o'clock outside focus on Vega",
        ),
    ],
)
def test_a_look_is_kept_as_the_line_one_would_type(look: StarLook, line: str) -> None:
    assert look_line(look) == line


def test_amounts_are_said_in_words() -> None:
    assert in_words(0.26) == "about a quarter"
    assert in_words(0.13) == "about an eighth"
    assert in_words(0.01) == "a trace"


# --- a picture ---


async def test_a_picture_is_measured_drawn_and_kept(by_night: Path, clock: Clock) -> None:
    picture = star_picture(by_night.parent / "vega.png", (0.12, 0.0))
    async with opened(by_night, clock, "screws") as it:
        await it.press("m")
        fill(it, "measure-path", picture.name)
        await it.press("enter")
        words = " ".join(it.words(".sheet").split())
        assert "vega.png" in words
        assert "good" in words
        assert "waves" in words
        assert "▀" in it.words("#measure-picture")
        await it.press("enter")
        (look,) = looks_kept(it)
        assert look.way == "picture"
        assert look.offset_fraction == pytest.approx(0.12, abs=0.03)
        assert look.picture_path == str(picture)
        assert look.detail is not None
        assert (look.detail.picture_kind, look.detail.picture_width_px) == ("PNG", 200)
        assert look.detail.arcsec_per_px == pytest.approx(206.264806 * 3.76 / 1626)


async def test_several_pictures_of_one_setting_average_to_one_look(
    by_night: Path, clock: Clock
) -> None:
    folder = by_night.parent
    for number in range(3):
        star_picture(folder / f"f{number}.png", (0.10 + 0.01 * number, 0.0), seed=number)
    async with opened(by_night, clock, "screws") as it:
        await it.press("m")
        for number in range(3):
            fill(it, "measure-path", f"f{number}.png")
            await it.press("enter")
        assert "average of 3" in " ".join(it.words(".sheet").split())
        await it.press("ctrl+o")
        (look,) = looks_kept(it)
        assert look.offset_fraction == pytest.approx(0.11, abs=0.02)
        assert look.detail is not None
        assert look.detail.frames == 3


async def test_a_refused_picture_says_why_and_is_not_kept(by_night: Path, clock: Clock) -> None:
    picture = star_picture(by_night.parent / "dark.png", empty=True)
    async with opened(by_night, clock, "screws") as it:
        await it.press("m")
        fill(it, "measure-path", picture.name)
        await it.press("enter")
        assert "no star" in it.words(".sheet")
        fill(it, "measure-path", "none.png")
        await it.press("enter")
        assert "no picture there" in it.words(".sheet")
        fill(it, "measure-path", by_night.name)  # the book itself: no picture
        await it.press("enter")
        assert "unreadable" in it.words(".sheet")
        await it.press("ctrl+o")
        assert "Nothing measured yet" in it.words(".sheet")
        await it.press("escape")
        assert looks_kept(it) == []


async def test_tab_completes_a_path_and_a_folder_means_its_newest_picture(
    by_night: Path, clock: Clock
) -> None:
    folder = by_night.parent / "evening"
    folder.mkdir()
    star_picture(folder / "only.png")
    async with opened(by_night, clock, "screws") as it:
        await it.press("m", *"even", "tab")
        assert "evening/" in it.words("#measure-path")
        await it.press("enter")
        assert "only.png" in it.words(".sheet")


# --- a watched folder ---


def the_page(it: OnScreen) -> ScrewsPage:
    return it.app.query_one(ScrewsPage)


async def look_at_folder(it: OnScreen, times: int = 2) -> None:
    """As its timer does; a file must keep its size from one look to the next."""
    for _ in range(times):
        the_page(it).held.watcher.look()
        await it.settle()


async def watching(it: OnScreen, folder: Path) -> None:
    await it.press("f")
    fill(it, "ask-path", folder.name)
    await it.press("enter")
    await it.settle()


async def test_frames_that_land_are_measured_and_three_make_a_look(
    by_night: Path, clock: Clock
) -> None:
    folder = by_night.parent / "frames"
    folder.mkdir()
    star_picture(folder / "old.png", (0.3, 0.0))
    async with opened(by_night, clock, "screws") as it:
        await watching(it, folder)
        assert "watching frames" in it.page
        for number in range(3):
            star_picture(folder / f"{number}.png", (0.12, 0.0), seed=number)
        await look_at_folder(it)
        (look,) = looks_kept(it)
        assert look.offset_fraction == pytest.approx(0.12, abs=0.03)
        assert look.detail is not None
        assert look.detail.frames == 3
        clock.forward(minutes=1)
        await it.press("d")
        await it.turned()
        clock.forward(minutes=1)
        await it.press("enter")
        assert "Frames are awaited: 0 of 3." in it.said
        await it.press("d", "f")
        assert "watching" not in it.page


async def test_a_bad_frame_and_a_lost_folder_are_survived(by_night: Path, clock: Clock) -> None:
    folder = by_night.parent / "frames"
    folder.mkdir()
    async with opened(by_night, clock, "screws") as it:
        await watching(it, by_night.parent / "nowhere")
        assert "is no folder that can be watched" in it.said
        await watching(it, folder)
        (folder / "cut-short.fits").write_bytes(b"SIMPLE  =                    T")
        await look_at_folder(it)
        assert "cut-short.fits: refused" in " ".join(it.said.split())
        (folder / "cut-short.fits").unlink()
        folder.rmdir()
        await look_at_folder(it)
        assert "still trying" in it.said
        folder.mkdir()
        await look_at_folder(it)
        star_picture(folder / "good.png", (0.12, 0.0))
        await look_at_folder(it)
        assert "good.png: 0.1" in it.said
        await it.yes("k")
        assert len(looks_kept(it)) == 1


async def test_a_turn_begins_a_new_setting_and_later_frames_wait_for_it(
    by_night: Path, clock: Clock
) -> None:
    folder = by_night.parent / "frames"
    folder.mkdir()
    async with opened(by_night, clock, "screws") as it:
        await watching(it, folder)
        star_picture(folder / "before.png", (0.3, 0.0))
        await look_at_folder(it)
        clock.forward(minutes=1)
        await it.enter("turn A tighten 1/16")
        clock.forward(minutes=1)
        star_picture(folder / "after.png", (0.1, 0.0))
        await look_at_folder(it)
        await it.yes("k")
        (look,) = looks_kept(it)
        assert look.offset_fraction == pytest.approx(0.1, abs=0.03)


async def test_the_last_frame_is_drawn_where_there_is_room(by_night: Path, clock: Clock) -> None:
    folder = by_night.parent / "frames"
    folder.mkdir()
    async with opened(by_night, clock, "screws", (120, 40)) as it:
        await it.press("a")  # a sheet may be open while frames land
        the_page(it).held.start_watch("frames")
        await it.settle()
        for number in range(3):
            star_picture(folder / f"{number}.png", seed=number)
        await look_at_folder(it, 3)
        await it.press("escape")
        assert "▀" in it.words("#screws-live")
        assert len(looks_kept(it)) == 1
