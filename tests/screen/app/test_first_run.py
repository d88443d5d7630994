"""From nothing to a book with a site and a train, in under a minute of typing."""

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from logbook.errors import NotWritten
from logbook.kit.parts.part import Part
from logbook.screen.app.app import LogbookApp
from logbook.screen.app.first_run import FirstKit, FirstRun
from logbook.screen.dialogs.site_form import NewSite
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.form_draft import FileDraft, draft_lines
from logbook.screen.services.services import Desk
from logbook.screen.widgets.question import Question
from logbook.sky.night.site import Site
from logbook.store.opening import make_book, open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import NoSky, OnScreen
from tests.screen.keys_sent import ENTER, ctrl
from tests.screen.terminal import Terminal, quiet_environment

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
    await screen.settle()


async def test_a_form_makes_the_book_with_site_train_and_screws(app: LogbookApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = OnScreen(pilot, app)
        await wait_for_form(pilot, app)
        assert isinstance(app.screen, FirstRun)
        assert not app.parts.opener.source.path.exists()
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


SLOWLY = """
import sys, time
from pathlib import Path
from logbook.screen.app.run import run
from logbook.screen.services.book_source import BookSource

def slowly(source, fill):
    with Path(sys.argv[2]).open("a") as out:
        out.write("made\\n")
    time.sleep(3)
    make(source, fill)

make, BookSource.make = BookSource.make, slowly
run(Path(sys.argv[1]))
"""


@pytest.mark.slow
def test_a_book_is_made_once_however_often_it_is_asked_for_in_bursts(tmp_path: Path) -> None:
    book, made = tmp_path / "logbook.db", tmp_path / "made.txt"
    names = ("name", "where", "elevation", "zone", "aperture", "focal")
    typed = dict(zip(names, ANSWERS, strict=True))
    FileDraft(book).put(draft_lines(typed, EVENING))
    program = ["-c", SLOWLY, str(book), str(made)]
    with Terminal(program, environment=quiet_environment(tmp_path)) as it:
        it.wait_for("As you left it")
        it.press(ctrl("o") + ctrl("o") + ENTER)
        it.wait_for("Y: save it as typed")
        it.press("y" + ctrl("o") + ctrl("o"))
        it.wait_for("Making the book ...")
        it.press(ctrl("o") + ctrl("o"))
        it.wait_for("Type what happened")
        it.press(ctrl("t"))
        it.press("note still here")
        it.wait_for("▸ note still here")
        it.press(ENTER)
        it.wait_for("Kept: note: still here")
    assert made.read_text(encoding="utf-8") == "made\n"


@pytest.mark.parametrize(
    ("error", "words"), [(NotWritten("No room."), "No room."), (KeyError(7), "(KeyError). Details")]
)
async def test_a_book_that_could_not_be_made_is_made_when_asked_again(
    app: LogbookApp, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, error: Exception, words: str
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))

    def refuse(*_: object) -> None:
        raise error

    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for_form(pilot, app)
        await fill(app, ANSWERS + CAMERA)
        with monkeypatch.context() as patched:
            patched.setattr(BookSource, "make", refuse)
            await pilot.press("ctrl+o")
            while words not in str(app.screen.query_one("#form-foot", Static).content):
                await pilot.pause(0.01)
        await pilot.press("ctrl+o")
        await wait_for_book(OnScreen(pilot, app))


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
        assert not app.parts.opener.source.path.exists()
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
    assert not app.parts.opener.source.path.exists()


async def test_a_book_without_a_site_asks_for_one_with_its_horizon(tmp_path: Path) -> None:
    clock = Clock(EVENING)
    path = make_book(tmp_path / "bare.db", clock=clock)
    with open_book(path, clock=clock) as book:
        book.kit.add_part(Part("Small Lens", "telescope"))
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


def said_beside(app: LogbookApp, name: str) -> str:
    return str(app.screen.query_one(f"#said-{name}", Static).content)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("changed", "field", "words"),
    [
        ({"obstruction": "250"}, "obstruction", "as wide as the aperture"),
        ({"pixel": "376", "sensor": "3008 x 3008"}, "pixel", "pixel 376 is not possible"),
        ({"focal": "60"}, "focal", "f/0.3 is not possible"),
        ({"aperture": "8 mm", "focal": "1624"}, "aperture", "aperture 8 is not possible"),
        ({"sensor": "3008 x 3008"}, "pixel", "Sensor pixels"),
        ({"obstruction": "120 %"}, "obstruction", "as wide as the aperture"),
    ],
)
async def test_a_refused_telescope_is_said_beside_its_field_and_nothing_is_made(
    app: LogbookApp, changed: dict[str, str], field: str, words: str
) -> None:
    """Each of these was refused only after the site had been saved, and had no way on."""
    async with app.run_test(size=(80, 24)) as pilot:
        screen = OnScreen(pilot, app)
        await wait_for_form(pilot, app)
        await fill(app, [*ANSWERS, "69"])
        for name, value in changed.items():
            app.screen.query_one(f"#field-{name}", Input).value = value
        await pilot.pause()
        said = said_beside(app, field)
        assert words in said
        assert not any(odd in said for odd in ("_", " mm:", "e+"))
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "to mend first" in screen.words("#form-foot")
        assert not app.parts.opener.source.path.exists()
        await fill(app, [*ANSWERS, "69", "", ""])
        await pilot.press("ctrl+o")
        await wait_for_book(screen)
        assert [each.site.name for each in app.desk.view.sites] == ["Hollow Edge"]
        assert app.desk.view.train is not None


async def test_ratio_share_and_inches_are_read_as_telescopes_are_stated(app: LogbookApp) -> None:
    """8 in at f/8 is 1625.6 mm; 47 % of 203.2 mm is 95.5 mm: by the definition of each."""
    async with app.run_test(size=(80, 24)) as pilot:
        screen = OnScreen(pilot, app)
        await wait_for_form(pilot, app)
        await fill(app, [*ANSWERS[:4], '8"', "f/8", "47 %"])
        await pilot.pause()
        assert "1626 mm" in said_beside(app, "focal")
        assert "95.5 mm, 47%" in said_beside(app, "obstruction").replace(" %", "%")
        await pilot.press("ctrl+o")
        await wait_for_book(screen)
        telescope = app.desk.view.telescope
        assert telescope is not None
        assert telescope.part.number("focal_length_mm") == pytest.approx(1625.6)
        assert telescope.part.number("obstruction_mm") == pytest.approx(95.504)


async def test_a_bare_8_is_doubted_as_an_aperture_and_tab_makes_it_inches(app: LogbookApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for_form(pilot, app)
        line = app.screen.query_one("#field-aperture", Input)
        await pilot.pause()
        line.focus()
        await pilot.pause()
        await pilot.press("8")
        assert "Tab: 8 in" in said_beside(app, "aperture")
        await pilot.press("tab")
        assert line.value == "8 in"
        assert said_beside(app, "aperture") == "203.2 mm"


async def test_a_site_refused_by_the_book_leaves_no_book(
    app: LogbookApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever goes wrong between two writings: no book, and the form still there."""

    def refuse(*_: object) -> None:
        raise NotWritten("No room.")

    async with app.run_test(size=(80, 24)) as pilot:
        screen = OnScreen(pilot, app)
        await wait_for_form(pilot, app)
        await fill(app, [*ANSWERS, "69"])
        with monkeypatch.context() as patched:
            patched.setattr("logbook.store.kit.kit.KitStore.add_train", refuse)
            await pilot.press("ctrl+o")
            await screen.settle()
        assert "No room." in screen.words("#form-foot")
        assert list(app.parts.opener.source.path.parent.glob("logbook.db*")) == []
        await pilot.press("ctrl+o")
        await wait_for_book(screen)
        assert app.desk.view.train is not None


@pytest.mark.slow
async def test_what_was_typed_is_there_at_the_next_start(app: LogbookApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for_form(pilot, app)
        await pilot.press(*"Yard", "enter", *"48.2 11.5")
        draft = FileDraft(app.parts.opener.source.path).path
        assert draft.stat().st_mode & 0o777 == 0o600
        await pilot.press("ctrl+q")
    again = LogbookApp(app.parts.opener.source, Desk(NoSky(), clock=app.parts.opener.source.clock))
    async with again.run_test(size=(80, 24)) as pilot:
        screen = OnScreen(pilot, again)
        await wait_for_form(pilot, again)
        while not again.screen.query_one("#form-left").display:
            await pilot.pause(0.01)
        assert again.screen.query_one("#field-where", Input).value == "48.2 11.5"
        assert "As you left it" in screen.words("#form-left")
        await fill(again, [*ANSWERS, "69"])
        await pilot.press("ctrl+o", "y")
        await wait_for_book(screen)
        assert not draft.exists()


async def test_the_draft_of_the_first_form_is_never_written_through_a_link(tmp_path: Path) -> None:
    draft = FileDraft(tmp_path / "logbook.db")
    victim = tmp_path / "victim"
    victim.write_text("mine", encoding="utf-8")
    draft.path.symlink_to(victim)
    assert draft.left() == ()
    draft.put(["one"])
    assert victim.read_text(encoding="utf-8") == "mine"
    assert list(draft.left()) == ["one"]
    draft.put(())
    assert list(tmp_path.iterdir()) == [victim]


async def test_a_book_without_a_telescope_is_asked_for_the_rest_of_the_form(
    tmp_path: Path,
) -> None:
    clock = Clock(EVENING)
    path = make_book(tmp_path / "half.db", clock=clock)
    with open_book(path, clock=clock) as book:
        book.sites.add(Site("Yard", 48.2, 11.5, 520.0, "Europe/Berlin"))
    app = LogbookApp(BookSource(path, clock=clock), Desk(NoSky(), clock=clock))
    async with app.run_test(size=(80, 24)) as pilot:
        screen = OnScreen(pilot, app)
        while not isinstance(app.screen, FirstKit):
            await pilot.pause(0.01)
        while not app.screen.query("#field-aperture"):
            await pilot.pause(0.01)
        assert not app.screen.query("#field-where")
        await fill(app, ["8 in", "f/10", "0", "", "", "Long tube"])
        await pilot.press("ctrl+o")
        await screen.settle()
        assert app.desk.view.telescope is not None
        assert app.desk.view.telescope.part.name == "Long tube"
        assert app.desk.view.train is not None


async def test_a_city_alone_is_its_zone_and_a_forgotten_minus_is_asked_about(
    app: LogbookApp,
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = OnScreen(pilot, app)
        await wait_for_form(pilot, app)
        await fill(app, ["Mesa", "39.7 105.0", "1600", "Denver", "8 in", "f/8", "0"])
        await pilot.pause()
        assert "America/Denver" in said_beside(app, "zone")
        assert "west?" in said_beside(app, "where")
        await pilot.press("ctrl+o")
        await pilot.press("ctrl+o", "enter")  # the key that asked doesn't answer
        assert isinstance(app.screen, Question)
        assert not app.parts.opener.source.path.exists()
        await pilot.press("escape", "tab")
        assert app.screen.query_one("#field-where", Input).value == "39.7 -105"
        await pilot.press("ctrl+o")
        await wait_for_book(screen)
        assert app.desk.view.site is not None
        assert app.desk.view.site.site.longitude_deg == -105.0
        assert app.desk.view.site.site.time_zone == "America/Denver"


async def test_a_doubted_place_is_saved_as_typed_after_a_question(app: LogbookApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = OnScreen(pilot, app)
        await wait_for_form(pilot, app)
        await fill(app, ["Far", "35 139", "40", "Europe/Berlin", "8 in", "f/8", "0"])
        await pilot.press("ctrl+o", "y")
        await wait_for_book(screen)
        assert app.desk.view.site is not None
        assert app.desk.view.site.site.longitude_deg == 139.0
