"""Entries by form come to the same as entries by line; a night is begun in two keys."""

from pathlib import Path

import pytest
from textual.widgets import Input, OptionList

from logbook.records.entries import UpkeepDone
from logbook.screen.pages.night.entry_form import SHEETS, EntryForm, KindForm
from logbook.screen.pages.night.night_form import EndNight, StartNight
from logbook.sky.night.site import Site
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened


@pytest.fixture
def clock() -> Clock:
    return Clock(EVENING)


@pytest.fixture
def book_path(tmp_path: Path, clock: Clock) -> Path:
    return build_book(tmp_path / "logbook.db", clock)


# What is typed into each form, and what the timeline must then say.
FILLED: dict[str, tuple[dict[str, str], str]] = {
    "Conditions": ({"seeing": "3", "cloud": "20"}, "conditions"),
    "Readings": ({"air": "39F", "mirror": "7.9"}, "reading"),
    "Object starts": ({"object": "m31"}, "object"),
    "Object stops": ({"object": "m31"}, "object"),
    "Frames": ({"count": "20", "exposure": "180s", "filter": "Ha", "binning": "2"}, "frames"),
    "Frames begin": ({"count": "30", "exposure": "180s"}, "frames"),
    "Film of the Moon or a planet": (
        {"rate": "60", "lasting": "90 s", "exposure": "8 ms", "region": "640x480"},
        "frames",
    ),
    "Guiding or drift": ({"drift": '3"/min'}, "guiding"),
    "Meridian crossed": ({}, "meridian"),
    "Break begins": ({"why": "tea"}, "break"),
    "Back from a break": ({}, "break"),
    "Setting up": ({"words": "polar alignment"}, "setup"),
    "Focus": ({"position": "12345", "air": "4.2"}, "focus"),
    "Star test by eye": ({"offset": "0.12", "toward": "4"}, "star"),
    "Screw turn": ({"screw": "A", "way": "tighten", "amount": "1/8", "result": "better"}, "turn"),
    "Train changed": ({"train": "Short train"}, "kit"),
    "Upkeep": (
        {
            "part": "Small Chip",
            "action": "dusted",
            "minutes": "15",
            "cost": "4,50",
            "before": "two specks",
            "after": "one, near the edge",
            "photo": "not there.jpg",
        },
        "upkeep",
    ),
    "Note": ({"words": "[/x] a fox came by"}, "note"),
    "Trouble": ({"words": "cable snagged"}, "trouble"),
    "Moved or knocked": ({"words": "carried down the hill"}, "transport"),
}


async def fill(screen: OnScreen, label: str, values: dict[str, str]) -> None:
    """Open the form of one kind of entry, type its values and keep it."""
    await screen.press("f9")
    assert isinstance(screen.app.screen, EntryForm)
    choices = screen.app.screen.query_one(OptionList)
    choices.highlighted = [each.label for each in SHEETS].index(label)
    await screen.press("enter")
    assert isinstance(screen.app.screen, KindForm)
    for name, value in values.items():
        screen.app.screen.query_one(f"#field-{name}", Input).value = value
    await screen.press("ctrl+o")


def test_every_form_is_tried_below() -> None:
    assert list(FILLED) == [each.label for each in SHEETS]


@pytest.mark.parametrize("label", FILLED)
async def test_a_form_keeps_an_entry_of_its_kind(label: str, book_path: Path, clock: Clock) -> None:
    begin_night(book_path, clock)
    values, kind = FILLED[label]
    async with opened(book_path, clock, "night") as screen:
        await fill(screen, label, values)
        assert len(screen.app.screen_stack) == 1, screen.words("#form-foot")
        assert [each.content.kind for each in screen.timeline] == [kind]
        assert screen.said.startswith("Kept")


async def test_the_form_of_upkeep_keeps_every_field(book_path: Path, clock: Clock) -> None:
    begin_night(book_path, clock)
    async with opened(book_path, clock, "night") as screen:
        await fill(screen, "Upkeep", FILLED["Upkeep"][0])
        (entry,) = screen.timeline
        assert entry.content.upkeep == UpkeepDone(
            "dusted", "Small Chip", 4.5, 15, "two specks", "one, near the edge", "not there.jpg"
        )
        assert "no such photo there now" in " ".join(screen.said.split())


async def test_a_form_can_log_late(book_path: Path, clock: Clock) -> None:
    begin_night(book_path, clock)
    clock.forward(hours=2)
    async with opened(book_path, clock, "night") as screen:
        await fill(screen, "Note", {"words": "moonrise", "at": "21:15"})
        (entry,) = screen.timeline
        assert f"{entry.content.happened_utc:%H:%M}" == "19:15"  # 21:15 in Vienna in October


async def test_an_empty_or_wrong_form_stays_open_and_says_why(
    book_path: Path, clock: Clock
) -> None:
    begin_night(book_path, clock)
    async with opened(book_path, clock, "night") as screen:
        await fill(screen, "Conditions", {})
        assert isinstance(screen.app.screen, KindForm)
        assert "fill in one field" in screen.words("#form-foot")
        await screen.press("escape", "escape")
        await fill(screen, "Readings", {"humidity": "140"})
        assert "not possible" in screen.words("#form-foot")
        assert screen.app.screen.query_one("#field-humidity", Input).value == "140"
        assert screen.timeline == ()


async def test_two_keys_begin_the_night_with_what_was_used_last(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "choose") as screen:
        await screen.press("f10")
        assert isinstance(screen.app.screen, StartNight)
        await screen.press("enter")
        night = screen.app.desk.view.night
        assert night is not None
        assert night.site.name == "Mill Hill"
        assert night.train is not None
        assert night.train.train.name == "Long train"
        assert screen.app.focused is not None
        assert screen.app.focused.id == "line", "the owner types at once"


async def test_a_site_is_known_without_its_accents(book_path: Path, clock: Clock) -> None:
    """As a part is: every name is looked up in one way."""
    with open_book(book_path, clock=clock) as book:
        book.sites.add(Site("Haute Vallée", 45.0, 6.0, 1800.0, "Europe/Paris"))
    async with opened(book_path, clock, "choose") as screen:
        await screen.press("f10")
        screen.app.screen.query_one("#field-site", Input).value = "haute  vallee"
        await screen.press("ctrl+o")
        night = screen.app.desk.view.night
        assert night is not None
        assert night.site.name == "Haute Vallée"


async def test_ending_the_night_keeps_a_last_word(book_path: Path, clock: Clock) -> None:
    begin_night(book_path, clock)
    clock.forward(hours=3)
    async with opened(book_path, clock, "night") as screen:
        night = screen.app.desk.view.night
        assert night is not None
        await screen.press("f10")
        assert isinstance(screen.app.screen, EndNight)
        screen.app.screen.query_one("#field-word", Input).value = "frost on everything"
        await screen.press("ctrl+o")
        assert screen.app.desk.view.night is None
        (entry,) = screen.book.timeline.of_night(night.id)
        assert entry.content.text == "frost on everything"
        assert screen.book.nights.get(night.id).ended_utc == clock()


async def test_an_entry_is_corrected_by_form_and_its_old_text_kept(
    book_path: Path, clock: Clock
) -> None:
    begin_night(book_path, clock)
    async with opened(book_path, clock, "night") as screen:
        await screen.enter("air 4.2")
        await screen.press("escape", "e")
        line = screen.app.screen.query_one(Input)
        assert line.value.endswith("air 4.2")
        line.value = line.value.replace("4.2", "2.4")
        await screen.press("enter")
        (entry,) = screen.timeline
        assert entry.content.readings == (("air_temperature_c", 2.4),)
        assert len(screen.book.timeline.history(entry.id)) == 2
        await screen.press("f8")
        (entry,) = screen.timeline
        assert entry.content.readings == (("air_temperature_c", 4.2),)
