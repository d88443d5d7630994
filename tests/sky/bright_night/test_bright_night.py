"""What a bright night is good for, in one list."""

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from logbook.sky.bright_night.bright_night import Instead, instead_tonight, text_lines
from logbook.sky.framing.framing import FieldOfView
from logbook.sky.framing.instrument import Instrument
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.site import Site
from tests.sky import tables

LONG = Instrument(203.0, FieldOfView("long focus", 1624.0, 0.4776, (0.829, 0.553)))
DUE = ("clean the mirror", "grease the focuser")


def tonight(
    day: date, site: Site = tables.WALES, instrument: Instrument = LONG
) -> tuple[Instead, ...]:
    night, frame = night_and_frame(site, day)
    return instead_tonight(frame, night, instrument, upkeep=DUE)


def test_one_list_holds_every_kind_best_first() -> None:
    found = tonight(date(2026, 11, 21))
    kinds = {each.kind for each in found}
    assert kinds == {"Moon", "Moon feature", "planet", "double star", "star test", "upkeep"}
    scores = [each.score for each in found]
    assert scores == sorted(scores, reverse=True)
    assert all(0.0 < score <= 1.0 for score in scores)
    assert all(each.reasons for each in found)
    assert found[0].kind == "Moon"  # 90 % lit, terminator well inside, up till three


def test_everything_but_upkeep_has_its_time_in_the_night() -> None:
    night, _ = night_and_frame(tables.WALES, date(2026, 11, 21))
    for each in tonight(date(2026, 11, 21)):
        if each.kind == "upkeep":
            assert each.from_utc is None
            assert each.to_utc is None
        else:
            assert each.from_utc is not None
            assert each.to_utc is not None
            assert night.noon_utc <= each.from_utc < each.to_utc <= night.next_noon_utc


def test_the_full_moon_counts_less_than_one_with_shadows() -> None:
    def moon(day: date) -> float:
        return next(each.score for each in tonight(day) if each.kind == "Moon")

    assert moon(date(2026, 11, 24)) < 0.7 * moon(date(2026, 11, 21))


def test_without_the_moon_there_is_no_moon_in_it() -> None:
    # New Moon 2026-11-09 07:02 UT.
    kinds = {each.kind for each in tonight(date(2026, 11, 9))}
    assert "Moon" not in kinds
    assert "double star" in kinds


def test_a_night_that_does_not_darken_leaves_upkeep() -> None:
    found = tonight(date(2026, 6, 20), site=tables.TROMS)
    assert [(each.kind, each.title) for each in found] == [("upkeep", words) for words in DUE]


def test_a_train_that_is_hardly_known_does_for_the_list() -> None:
    found = tonight(date(2026, 11, 21), instrument=Instrument(None, None))
    assert {each.kind for each in found} >= {"Moon", "planet", "double star", "star test"}


@pytest.mark.parametrize("site", tables.SITES)
@pytest.mark.parametrize("month", [1, 6, 9])
def test_no_site_and_season_breaks_it(site: Site, month: int) -> None:
    lines = text_lines(tonight(date(2026, month, 21), site=site), ZoneInfo(site.time_zone))
    assert any("clean the mirror" in line for line in lines)
    assert all("nan" not in line and "\n" not in line for line in lines)


def test_words_of_upkeep_are_data() -> None:
    night, frame = night_and_frame(tables.WALES, date(2026, 11, 21))
    found = instead_tonight(frame, night, LONG, upkeep=["oil\x1b[31m the [bold]hinge"])
    (due,) = (each for each in found if each.kind == "upkeep")
    assert "\x1b" not in due.title
    assert "[bold]hinge" in due.title


def test_text_has_one_line_each_with_local_times() -> None:
    found = tonight(date(2026, 11, 21))
    lines = text_lines(found, ZoneInfo("Europe/London"))
    assert len(lines) == len(found)
    moon = next(line for line in lines if "Moon: the Moon" in line)
    assert "16:54–03:07" in moon
