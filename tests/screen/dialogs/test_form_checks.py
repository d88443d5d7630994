"""What cannot be, or is doubted, stands beside its field while one types, in the form's words."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Input, Static

from logbook.screen.dialogs.form import Form
from logbook.screen.dialogs.site_form import EditSite, NewSite
from logbook.screen.pages.choose.limits import RenameSet
from logbook.screen.pages.kit.bench_forms import KeepAsNew
from logbook.screen.pages.kit.jobs import CopyTrain, Rename
from logbook.screen.pages.kit.kit_forms import NewPart, NewTrain
from logbook.screen.pages.kit.part_form import PartForm
from logbook.screen.widgets.question import Question
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened


@pytest.fixture
def clock() -> Clock:
    return Clock(EVENING)


@pytest.fixture
def book_path(tmp_path: Path, clock: Clock) -> Path:
    return build_book(tmp_path / "logbook.db", clock)


def beside(screen: OnScreen, name: str) -> str:
    return str(screen.app.screen.query_one(f"#said-{name}", Static).content)


async def put(screen: OnScreen, **values: str) -> None:
    for name, value in values.items():
        field = f"#field-{name.replace('__', '-')}"
        screen.app.screen.query_one(field, Input).value = value
    await screen.settle()


async def test_a_secondary_wider_than_the_aperture_is_said_while_typing(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "kit") as screen:
        desk = screen.app.desk
        record = next(each for each in desk.view.parts if each.part.name == "Long Tube")
        screen.app.push_screen(PartForm(record.part, record, date(2026, 3, 14)))
        await screen.settle()
        await put(screen, obstruction_mm__measured="250")
        assert "as wide as the aperture" in beside(screen, "obstruction_mm-measured")
        await put(screen, obstruction_mm__measured="70")
        assert "as wide" not in beside(screen, "obstruction_mm-measured")
        await put(screen, aperture_mm__measured="8", focal_length_mm__measured="")
        assert "not possible: 10 to 5000 mm" in beside(screen, "aperture_mm-measured")


async def test_a_letter_that_did_not_arrive_whole_is_said_and_not_saved(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "kit") as screen:
        desk = screen.app.desk
        record = next(each for each in desk.view.parts if each.part.name == "Long Tube")
        screen.app.push_screen(PartForm(record.part, record, date(2026, 3, 14)))
        await screen.settle()
        await put(screen, note="caf\N{REPLACEMENT CHARACTER}")
        assert "did not arrive whole" in beside(screen, "note")
        await screen.press("ctrl+o")
        assert isinstance(screen.app.screen, PartForm)
        await put(screen, note="café")
        await screen.press("ctrl+o")
        assert not isinstance(screen.app.screen, PartForm)


async def test_a_name_that_another_part_has_is_said_while_typing(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "kit") as screen:
        desk = screen.app.desk
        record = next(each for each in desk.view.parts if each.part.name == "Long Tube")
        screen.app.push_screen(
            PartForm(record.part, record, date(2026, 3, 14), desk.taken_names("part", record.id))
        )
        await screen.settle()
        await put(screen, name="small lens")
        assert "Small Lens is taken" in beside(screen, "name")


async def test_every_form_of_a_name_says_beside_it_that_it_is_taken_retired_ones_too(
    book_path: Path, clock: Clock
) -> None:
    with open_book(book_path, clock=clock) as book:
        gone = next(each for each in book.kit.trains() if each.train.name == "Short train")
        book.kit.retire_train(gone.id)
    async with opened(book_path, clock, "kit") as screen:
        desk = screen.app.desk
        train, part, site = desk.view.trains[0], desk.view.parts[0], desk.view.sites[0]
        trains, parts = desk.taken_names("train"), desk.taken_names("part")
        sites, sets = desk.taken_names("site"), desk.taken_names("set")
        first_set, second_set = screen.book.limit_sets.all()[:2]
        gone_words = "Short train is taken by a retired train"
        forms: list[tuple[Form[Any], str, str]] = [
            (NewTrain(desk), "short TRAIN", gone_words),
            (CopyTrain(train, trains), "short train", gone_words),
            (KeepAsNew(desk, train.train, ""), "short train", gone_words),
            (Rename(train, desk.taken_names("train", train.id)), "short train", gone_words),
            (Rename(part, desk.taken_names("part", part.id)), "long tube", "Long Tube is taken"),
            (NewPart(parts), "long tube", "Long Tube is taken"),
            (NewSite(sites), "mill hill", "Mill Hill is taken"),
            (EditSite(site, sites), "mill hill", "Mill Hill is taken"),
            (RenameSet(first_set, sets), second_set.name, f"{second_set.name} is taken"),
        ]
        for form, name, words in forms:
            screen.app.push_screen(form)
            await screen.settle()
            await put(screen, name=name)
            assert words in beside(screen, "name"), type(form).__name__
            await screen.press("ctrl+l", "escape")


async def test_a_new_site_asks_about_a_forgotten_minus(book_path: Path, clock: Clock) -> None:
    async with opened(book_path, clock, "choose") as screen:
        screen.app.action_new_site()
        await screen.settle()
        await put(screen, name="Mesa", where="39.7 105.0", zone="America/Denver")
        assert "west?" in beside(screen, "where")
        await screen.press("ctrl+o")
        assert isinstance(screen.app.screen, Question)
        await screen.press("ctrl+o", "enter")  # the key that asked doesn't answer
        assert isinstance(screen.app.screen, Question)
        await screen.press("escape")
        await screen.press("tab")
        await screen.press("ctrl+o")
        site = next(each.site for each in screen.book.sites.all() if each.site.name == "Mesa")
        assert site.longitude_deg == -105.0


@pytest.mark.parametrize(("typed", "metres"), [("520,5", 520.5), ("-12 ft 6 in", -3.81)])
async def test_an_elevation_is_read_as_it_is_written(
    typed: str, metres: float, book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "choose") as screen:
        screen.app.action_new_site()
        await screen.settle()
        await put(screen, name="Mesa", where="48.2 11.5", zone="Berlin", elevation=typed)
        await screen.press("ctrl+o")
        site = next(each.site for each in screen.book.sites.all() if each.site.name == "Mesa")
        assert site.elevation_m == pytest.approx(metres)


async def test_a_wrong_night_is_said_beside_the_night_and_the_time_is_read_again(
    book_path: Path, clock: Clock
) -> None:
    begin_night(book_path, clock)
    async with opened(book_path, clock, "night") as screen:
        await screen.enter("note one")
        await screen.press("escape", "a")
        await put(screen, night="2026-13-99")
        assert "not a day of the calendar" in beside(screen, "night")
        assert "calendar" not in beside(screen, "at")
        await put(screen, at="00:30")
        night = screen.app.desk.view.night
        assert night is not None
        await put(screen, night=str(night.local_date))
        assert "to come" in beside(screen, "at")
        await put(screen, at=f"{screen.app.desk.local(clock()):%H:%M}")
        assert "to come" not in beside(screen, "at")
