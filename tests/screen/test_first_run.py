"""From nothing to a book with a site and a train, in under a minute of typing."""

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from logbook.screen.app import LogbookApp
from logbook.screen.desk import Desk
from logbook.screen.first_run import FirstRun
from logbook.screen.site_form import NewSite
from logbook.store.book_source import BookSource
from logbook.store.opening import make_book
from tests.screen.book_on_screen import NoSky, OnScreen
from tests.store.clock import EVENING, Clock

ANSWERS = ["Hollow Edge", "N52 06.5 W003 42.1", "650 ft", "Europe/London", "8 in", "1624"]
CAMERA = ["69", "3.76", "6248 x 4176"]


@pytest.fixture
def app(tmp_path: Path) -> LogbookApp:
    clock = Clock(EVENING)
    source = BookSource(tmp_path / "new" / "logbook.db", clock=clock)
    return LogbookApp(source, Desk(NoSky(), clock=clock))


async def fill(app: LogbookApp, answers: list[str]) -> None:
    """Put the answers into the fields, first to last."""
    for line, answer in zip(app.screen.query(Input), answers, strict=False):
        line.value = answer


async def wait_for_form(pilot: Pilot[int], app: LogbookApp) -> None:
    while not app.screen.query("#field-name"):
        await pilot.pause(0.01)


async def wait_for_book(screen: OnScreen) -> None:
    while screen.app.desk.writer is None or not screen.app.desk.view.sites:
        await screen.pilot.pause(0.01)


async def test_a_form_makes_the_book_with_site_train_and_screws(app: LogbookApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = OnScreen(pilot, app)
        await wait_for_form(pilot, app)
        assert isinstance(app.screen, FirstRun)
        assert not app.source.path.exists()
        await fill(app, ANSWERS + CAMERA)
        await pilot.press("ctrl+o")
        await wait_for_book(screen)
        view = app.desk.view
        assert view.site is not None
        assert view.site.site.latitude_deg == pytest.approx(52 + 6.5 / 60)
        assert view.site.site.longitude_deg == pytest.approx(-(3 + 42.1 / 60))
        assert view.site.site.elevation_m == pytest.approx(198.12)
        assert view.telescope is not None
        assert view.telescope.part.number("aperture_mm") == pytest.approx(203.2)
        assert [each.name for each in view.screws] == ["A", "B", "C"]
        assert view.train is not None
        assert view.train.train.kind == "camera"


async def test_everything_wrong_is_said_at_once_and_nothing_is_made(app: LogbookApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for_form(pilot, app)
        await fill(app, ["", "95 N 200 E", "0", "Mars/Olympus", "wide", "-3"])
        await pilot.press("ctrl+o")
        await pilot.pause()
        said = {
            name: str(app.screen.query_one(f"#said-{name}", Static).content)
            for name in ("name", "where", "zone", "aperture", "focal")
        }
        assert "needed" in said["name"]
        assert "90" in said["where"]
        assert "time zone" in said["zone"]
        assert "no number" in said["aperture"]
        assert app.focused is not None
        assert app.focused.id == "field-name"
        assert not app.source.path.exists()
        assert app.screen.query_one("#field-where", Input).value == "95 N 200 E"


async def test_a_telescope_without_mirrors_and_an_eyepiece_is_a_visual_train(
    app: LogbookApp,
) -> None:
    async with app.run_test(size=(60, 16)) as pilot:
        screen = OnScreen(pilot, app)
        await wait_for_form(pilot, app)
        await fill(app, [*ANSWERS, "0", "", ""])
        await pilot.press("ctrl+o")
        await wait_for_book(screen)
        assert app.desk.view.train is not None
        assert app.desk.view.train.train.kind == "visual"
        assert app.desk.view.screws == ()


async def test_leaving_makes_no_book(app: LogbookApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for_form(pilot, app)
        app.screen.query_one("#field-name", Input).value = "Hollow Edge"
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, FirstRun), "a stray Escape keeps what was typed"
        await pilot.press("ctrl+q")
    assert not app.source.path.exists()


async def test_a_book_without_a_site_asks_for_one_with_its_horizon(tmp_path: Path) -> None:
    clock = Clock(EVENING)
    path = make_book(tmp_path / "bare.db", clock=clock)
    app = LogbookApp(BookSource(path, clock=clock), Desk(NoSky(), clock=clock))
    async with app.run_test(size=(80, 24)) as pilot:
        screen = OnScreen(pilot, app)
        while not isinstance(app.screen, NewSite):
            await pilot.pause(0.01)
        await wait_for_form(pilot, app)
        await fill(app, [*ANSWERS[:4], "0 12, 90 25, 180 8", "21.3"])
        await pilot.press("ctrl+o")
        await wait_for_book(screen)
        assert app.desk.view.site is not None
        site = app.desk.view.site.site
        assert site.horizon == ((0.0, 12.0), (90.0, 25.0), (180.0, 8.0))
        assert site.dark_sky_mag_arcsec2 == 21.3
