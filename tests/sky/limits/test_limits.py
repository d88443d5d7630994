"""What the user may ask for, typed in one line or saved in the book."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.errors import BadInput
from logbook.sky.catalogue.constellations import constellation_names
from logbook.sky.catalogue.kinds import GROUPS, KINDS, kind_words, plural
from logbook.sky.limits.limits import Limits
from logbook.sky.limits.limits_parser import (
    LIMITS_HELP,
    limits_from_json,
    limits_text,
    limits_to_json,
    read_limits,
)
from logbook.sky.limits.presets import PRESETS


@pytest.mark.parametrize(
    ("typed", "limits"),
    [
        ("", Limits()),
        (
            "galaxies, 3 h, above 35, moon 40, fill 20-100 %",
            Limits(35.0, 40.0, 3.0, kinds=("galaxy",), min_fill=0.2, max_fill=1.0),
        ),
        ("Galaxies 3h ABOVE 35° moon 40", Limits(35.0, 40.0, 3.0, kinds=("galaxy",))),
        ("90 min", Limits(min_hours=1.5)),
        ("40 min", Limits(min_hours=2.0 / 3.0)),
        ("at least 2.5 hours", Limits(min_hours=2.5)),
        ("clusters", Limits(kinds=GROUPS["clusters"])),
        ("planetary nebulae; globulars", Limits(kinds=("planetary nebula", "globular cluster"))),
        ("HII regions", Limits(kinds=("HII region",))),
        ("in Cyg, Lyr", Limits(constellations=("Cyg", "Lyr"))),
        ("cygnus", Limits(constellations=("Cyg",))),
        ("in and", Limits(constellations=("And",))),
        ("in Canis Major and Bootes, 1 h", Limits(min_hours=1.0, constellations=("CMa", "Boo"))),
        ("mag 12", Limits(faintest_mag=12.0)),
        ("magnitude 6 to 12.5", Limits(brightest_mag=6.0, faintest_mag=12.5)),
        ("surface brightness 23", Limits(faintest_surface_mag_arcsec2=23.0)),
        ("size 5-60'", Limits(min_size_arcmin=5.0, max_size_arcmin=60.0)),
        ("size over 1 deg", Limits(min_size_arcmin=60.0)),
        ('size under 30"', Limits(max_size_arcmin=0.5)),
        ("size over 30″", Limits(min_size_arcmin=0.5)),
        ("size 2 to 5′", Limits(min_size_arcmin=2.0, max_size_arcmin=5.0)),
        ("alt > 35, moon from 40", Limits(35.0, 40.0)),
        ("fill 20%", Limits(min_fill=0.2)),
        ("fill under 80", Limits(max_fill=0.8)),
        ("moonlight 0.5 mag", Limits(max_moonlight_mag=0.5)),
        ("narrowband", Limits(sky_share=0.05)),
        ("sky 10 %", Limits(sky_share=0.1)),
        ("sun 30", Limits(min_sun_separation_deg=30.0)),
    ],
)
def test_a_typed_line_is_read(typed: str, limits: Limits) -> None:
    assert read_limits(typed) == limits


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("3", "'3' is a number without a meaning: write 3 h, above 3, mag 3"),
        ("2,5 h", "'2' is a number without a meaning"),
        ("abov 35", "'abov 35' is not understood: is it 'above'?"),
        ("galaxis", "is it 'galaxies'?"),
        ("in cygnas", "'cygnas' is not understood: is it 'cygnus'?"),
        ("galaxies, above", "'above' cannot be read: write it like above 35"),
        ("3 h, 4 h", "the time is written twice: keep one"),
        ("mag 5-6, mag under 12", "the magnitude is written twice"),
        ("above 95", "the least altitude cannot be 95°: 0 to 90°"),
        ("size 9-3", "the size cannot be over 9 and under 3"),
        ("sun 5", "the least Sun separation cannot be 5°: 20 to 180°"),
        ("comets", "is not understood"),
        ("\x1b[2Jx", "is not understood"),
        ("fill 1e9 %", "'fill 1e9 %' cannot be read: write it like fill 20-100 %"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_what_would_do(typed: str, words: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_limits(typed)
    assert words in str(refused.value)


def test_the_help_is_itself_a_line_that_reads() -> None:
    for part in LIMITS_HELP.split(" · "):
        assert read_limits(part) != Limits() or part == "above 30"


def test_every_kind_and_constellation_has_its_words() -> None:
    for kind in KINDS:
        assert kind_words()[plural(kind).casefold()] == (kind,)
        assert read_limits(plural(kind)).kinds == (kind,)
    for short, name in constellation_names().items():
        assert read_limits(f"in {short}").constellations == (short,)
        assert read_limits(f"in {name}").constellations == (short,)


def unique(values: tuple[str, ...]) -> st.SearchStrategy[tuple[str, ...]]:
    return st.lists(st.sampled_from(values), unique=True, max_size=4).map(tuple)


def number(low: float, high: float) -> st.SearchStrategy[float]:
    """What people write, and any other."""
    tidy = st.integers(int(low * 100), int(high * 100)).map(lambda hundredths: hundredths / 100.0)
    return tidy | st.floats(low, high, allow_subnormal=False)


def ends(low: float, high: float) -> st.SearchStrategy[tuple[float | None, float | None]]:
    """A lower and an upper end, either missing, in order."""
    values = st.lists(number(low, high), min_size=2, max_size=2).map(sorted)
    return st.tuples(values, st.booleans(), st.booleans()).map(
        lambda drawn: (drawn[0][0] if drawn[1] else None, drawn[0][1] if drawn[2] else None)
    )


@st.composite
def some_limits(draw: st.DrawFn) -> Limits:
    magnitude, size, fill = draw(ends(-5, 20)), draw(ends(0, 300)), draw(ends(0, 9))
    return Limits(
        min_altitude_deg=draw(number(0, 90)),
        min_moon_separation_deg=draw(number(0, 180)),
        min_hours=draw(number(0, 24)),
        min_sun_separation_deg=draw(number(20, 180)),
        kinds=draw(unique(KINDS)),
        constellations=draw(unique(tuple(constellation_names()))),
        brightest_mag=magnitude[0],
        faintest_mag=magnitude[1],
        faintest_surface_mag_arcsec2=draw(st.none() | number(10, 30)),
        min_size_arcmin=size[0],
        max_size_arcmin=size[1],
        min_fill=fill[0],
        max_fill=fill[1],
        max_moonlight_mag=draw(st.none() | number(0, 9)),
        sky_share=draw(number(0.01, 1)),
    )


@settings(deadline=None)
@given(some_limits())
def test_limits_survive_being_written_and_read(limits: Limits) -> None:
    assert read_limits(limits_text(limits)) == limits
    assert limits_from_json(limits_to_json(limits)) == limits


@settings(deadline=None)
@given(st.text(max_size=40))
def test_any_line_is_read_or_refused(typed: str) -> None:
    try:
        read = read_limits(typed)
    except BadInput:
        return
    assert read_limits(limits_text(read)) == read


@pytest.mark.parametrize(
    "line",
    [
        "40 min",
        "1.5 h",
        "fill 7 to 29 %",
        "sky 7 %",
        "mag -1.5 to 6",
        "size under 0.5'",
        "in Cygnus",
    ],
)
def test_a_line_is_written_as_people_write_it(line: str) -> None:
    assert limits_text(read_limits(line)) == line


def test_the_presets_have_names_of_their_own_and_can_be_kept() -> None:
    assert len({each.name for each in PRESETS}) == len(PRESETS)
    for each in PRESETS:
        assert each.words
        assert read_limits(limits_text(each.limits)) == each.limits
        assert limits_from_json(limits_to_json(each.limits)) == each.limits


@pytest.mark.parametrize(
    ("kept", "words"),
    [
        ("{", "are no JSON"),
        ("[]", "not a set of named values"),
        ('{"min_speed": 3}', "name 'min_speed': a newer program?"),
        ('{"kinds": "galaxy"}', "kinds are not a list of words"),
        ('{"min_hours": "3"}', "min_hours is no number: '3'"),
        ('{"min_hours": null}', "min_hours is no number"),
        ('{"min_hours": true}', "min_hours is no number"),
        ('{"min_hours": 99}', "the least time cannot be 99 hours"),
        ('{"min_hours": NaN}', "the least time cannot be nan hours"),
        ('{"kinds": ["comet"]}', "there is no kind 'comet'"),
        ('{"constellations": ["Xyz"]}', "there is no constellation 'Xyz'"),
    ],
)
def test_damaged_kept_limits_are_refused(kept: str, words: str) -> None:
    with pytest.raises(BadInput) as refused:
        limits_from_json(kept)
    assert words in str(refused.value)


def test_older_kept_limits_without_a_newer_limit_still_read() -> None:
    assert limits_from_json('{"min_hours": 2}') == replace(Limits(), min_hours=2.0)
