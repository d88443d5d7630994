"""What the user is advised to look at, and why."""

from dataclasses import fields, replace
from datetime import UTC, date, timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings

from logbook.errors import BadInput
from logbook.sky.altitude.visibility import spans_mjd
from logbook.sky.catalogue.objects import deep_sky
from logbook.sky.framing.framing import FieldOfView
from logbook.sky.limits.limits import Limits
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.earth import to_mjd
from logbook.sky.night.site import Site
from logbook.sky.ranking.book_facts import BookFacts
from logbook.sky.ranking.ranking import prepare, rank, reranked
from logbook.sky.ranking.suggestions import Suggestion, suggest, suggestion, suggestions
from tests.sky.limits.test_limits import some_limits
from tests.sky.tables import CAPE, EQUATOR, SITES, TROMS, WALES

LONG = FieldOfView("long", 1624.0, 0.478, (0.83, 0.55))
SHORT = FieldOfView("short", 400.0, 1.94, (3.36, 2.25))
NEW_MOON, FULL_MOON, MIDSUMMER = date(2026, 11, 8), date(2026, 11, 24), date(2026, 6, 21)


def names(found: list[Suggestion]) -> list[str]:
    return [each.object_id for each in found]


def words_of(found: Suggestion, factor: str) -> str:
    return next(each.words for each in found.factors if each.name == factor)


def one(
    thing: str, day: date = NEW_MOON, field: FieldOfView | None = LONG, site: Site = WALES
) -> Suggestion:
    """The reasons for one object, wherever it is in the order."""
    ranking = rank(prepare(site, day, deep_sky()), field, Limits())
    return suggestion(ranking, deep_sky().index_of(thing))


def test_a_long_focal_length_in_autumn_gets_galaxies_and_nebulae_that_fit() -> None:
    found = suggest(WALES, NEW_MOON, LONG, deep_sky(), most=20)
    best = names(found)
    # Well known, high all evening, and of the frame's size: common practice, no source.
    assert {"NGC 3031", "NGC 3034", "NGC 7380", "NGC 7023", "NGC 6888"} <= set(best)
    assert "NGC 7000" not in best  # 2° wide in half a degree
    assert "NGC 224" not in best
    assert all(each.frame_fill is not None and 0.1 < each.frame_fill < 1.2 for each in found)


def test_a_short_focal_length_the_same_night_gets_wide_ones() -> None:
    best = names(suggest(WALES, NEW_MOON, SHORT, deep_sky(), most=20))
    assert {"NGC 598", "IC 1805", "IC 1848", "NGC 7000", "NGC 6992"} <= set(best)
    assert "NGC 3034" not in best


def test_the_other_half_of_the_world_gets_its_own_sky() -> None:
    best = names(suggest(CAPE, date(2026, 6, 14), SHORT, deep_sky(), most=20))
    assert {"NGC 6523", "NGC 5139", "NGC 3372"} <= set(best)


def test_under_a_full_moon_clusters_come_before_faint_galaxies() -> None:
    found = suggest(WALES, FULL_MOON, LONG, deep_sky(), most=15)
    clusters = [each for each in found if "cluster" in each.kind]
    assert len(clusters) >= 13
    assert max(each.score for each in found) < 0.6
    moonlit = one("NGC 7331", FULL_MOON)
    dark = one("NGC 7331", NEW_MOON)
    assert moonlit.score < 0.3 * dark.score
    assert "Moon 100 % lit" in words_of(moonlit, "moonlight")
    assert "mag brighter there" in words_of(moonlit, "moonlight")
    assert words_of(dark, "moonlight") == "Moon below the horizon"


def test_an_anonymous_speck_is_no_suggestion() -> None:
    ranking = rank(prepare(WALES, NEW_MOON, deep_sky()), LONG, Limits())
    catalogue = deep_sky()
    speck = (catalogue.major_arcmin < 0.4) & (catalogue.magnitude > 15.5)
    assert np.count_nonzero(speck) > 100
    assert np.max(ranking.score[speck]) < 0.02


def test_the_score_is_the_product_of_its_factors_and_they_are_shares() -> None:
    for field in (LONG, SHORT, None):
        for each in suggest(EQUATOR, date(2026, 6, 15), field, deep_sky(), most=40):
            assert each.score == pytest.approx(np.prod([part.value for part in each.factors]))
            assert all(0.0 <= part.value <= 1.0 for part in each.factors)
            assert len(each.reasons) == len(each.factors)
            assert all(each.reasons)


def test_the_order_is_that_of_the_score() -> None:
    scores = [each.score for each in suggest(WALES, NEW_MOON, LONG, deep_sky(), most=500)]
    assert scores == sorted(scores, reverse=True)


@pytest.mark.parametrize("site", SITES, ids=lambda site: site.name)
def test_every_suggestion_keeps_the_limits_and_hangs_together(site: Site) -> None:
    limits = Limits(min_altitude_deg=35.0, min_moon_separation_deg=50.0, min_hours=1.5)
    for day in (NEW_MOON, date(2026, 11, 20), FULL_MOON):
        night, frame = night_and_frame(site, day)
        dark = spans_mjd(night.below_18)
        for each in suggest(site, day, LONG, deep_sky(), limits, most=60):
            assert each.hours >= 1.5
            assert each.max_altitude_deg >= 35.0
            assert each.moon_separation_min_deg >= 50.0 or each.moon_up_part < 1.0
            assert each.from_utc.tzinfo is UTC
            assert each.hours <= sum(b - a for a, b in dark) * 24.0 + 1e-6
            assert each.hours <= (each.to_utc - each.from_utc) / timedelta(hours=1) + 1e-6
            there = frame.places(np.array([each.ra_deg]), np.array([each.dec_deg]))
            ends = np.array([to_mjd(each.from_utc), to_mjd(each.to_utc)])
            assert np.min(frame.altitudes_deg(there, ends)) > 35.0 - 1e-4


def test_the_reasons_are_numbers_one_can_check() -> None:
    crab = one("NGC 1952")
    assert words_of(crab, "hours") == "7.4 of 10.9 dark hours above 30°"
    assert words_of(crab, "altitude") == "up to 60°, airmass 1.15"
    assert words_of(crab, "framing") == "fills 18 % of the short side"
    assert words_of(crab, "brightness") == "magnitude 8.4 V"
    assert words_of(crab, "appeal") == "supernova remnant, in Messier's list"


def test_what_is_not_known_is_said_and_not_dropped() -> None:
    catalogue = deep_sky()
    sizeless = np.flatnonzero(np.isnan(catalogue.major_arcmin) & (catalogue.dec_deg > 60.0))[0]
    dim = np.flatnonzero(np.isnan(catalogue.magnitude) & (catalogue.dec_deg > 60.0))[0]
    assert words_of(one(catalogue.ids[sizeless]), "framing") == "size unknown"
    assert one(catalogue.ids[sizeless]).frame_fill is None
    assert words_of(one(catalogue.ids[dim]), "brightness") == "magnitude unknown"


def test_too_large_and_too_small_are_said_plainly() -> None:
    assert words_of(one("NGC 7000"), "framing") == "does not fit: 3.6 × the short side"
    assert words_of(one("NGC 6720"), "framing").startswith("small: fills 4 % of the short side")
    andromeda = words_of(one("NGC 224", field=SHORT), "framing")
    assert andromeda == "1.3 × the short side: fits along the long side"


def test_an_object_that_dips_is_said_to_have_a_break() -> None:
    limits = Limits(min_altitude_deg=55.0)
    ranking = rank(prepare(TROMS, date(2026, 12, 21), deep_sky()), LONG, limits)
    breaks = [
        each for each in suggestions(ranking, 500) if "with a break" in words_of(each, "hours")
    ]
    assert breaks
    for each in breaks:
        assert each.hours < (each.to_utc - each.from_utc) / timedelta(hours=1)


def test_a_horizon_takes_hours_away_and_is_named() -> None:
    walled = replace(WALES, horizon=((0.0, 20.0), (90.0, 60.0), (180.0, 60.0), (270.0, 20.0)))
    behind = one("NGC 1952", site=walled)
    assert behind.hours < one("NGC 1952").hours - 1.0
    assert "above 30° and the horizon" in words_of(behind, "hours")


def test_limits_of_kind_size_and_brightness_filter() -> None:
    prepared = prepare(WALES, NEW_MOON, deep_sky())
    catalogue = deep_sky()
    planetaries = rank(prepared, LONG, Limits(kinds=("planetary nebula",)))
    assert set(catalogue.kinds[planetaries.rows]) == {"planetary nebula"}
    framed = rank(prepared, LONG, Limits(min_fill=0.2, max_fill=0.9, faintest_mag=10.0))
    fill = framed.fill[framed.rows]
    assert np.all(np.isnan(fill) | ((fill >= 0.2) & (fill <= 0.9)))
    magnitude = catalogue.magnitude[framed.rows]
    assert np.nanmax(magnitude) <= 10.9
    assert np.any(np.isnan(magnitude))


@settings(max_examples=20, deadline=None)
@given(some_limits())
def test_ranking_again_is_ranking_anew_whatever_the_limits(limits: Limits) -> None:
    begun = rank(prepare(WALES, date(2026, 11, 20), deep_sky()), LONG, Limits())
    again, anew = reranked(begun, limits), rank(begun.prepared, LONG, limits)
    assert again.rows.tolist() == anew.rows.tolist()
    assert np.array_equal(again.score, anew.score)


def test_every_new_limit_holds_and_what_is_unknown_passes() -> None:
    prepared, catalogue = prepare(WALES, date(2026, 11, 20), deep_sky()), deep_sky()
    targets = prepared.targets
    here = rank(prepared, LONG, Limits(constellations=("Cyg", "Cep")))
    assert {catalogue.constellations[row] for row in here.rows} == {"Cyg", "Cep"}
    for limits, values, least, most in (
        (Limits(brightest_mag=9.0, faintest_mag=11.0), targets.magnitude, 9.0, 11.0),
        (
            Limits(min_size_arcmin=3.0, max_size_arcmin=9.0),
            catalogue.major_arcmin,
            3.0,
            9.0,
        ),
        (
            Limits(faintest_surface_mag_arcsec2=22.0),
            targets.true_surface_mag_arcsec2,
            -np.inf,
            22.0,
        ),
    ):
        found = rank(prepared, LONG, limits)
        inside = values[found.rows]
        assert np.all(np.isnan(inside) | ((inside >= least) & (inside <= most)))
        assert np.any(np.isnan(inside))
        assert np.any(~np.isnan(inside))
    dim = rank(prepared, LONG, Limits(max_moonlight_mag=0.2))
    assert np.max(dim.sight.moonlight_mag[dim.rows]) <= 0.2
    assert 0 < len(dim.rows) < len(rank(prepared, LONG, Limits()).rows)


def test_what_is_unknown_is_said_of_each_suggestion() -> None:
    limits = Limits(kinds=("open cluster", "dark nebula"), min_size_arcmin=3.0, faintest_mag=9.0)
    found = suggest(WALES, NEW_MOON, LONG, deep_sky(), limits, most=600)
    for each in found:
        assert ("size unknown" in each.unknown) == (each.major_arcmin is None)
        assert ("magnitude unknown" in each.unknown) == (each.magnitude is None)
    without = suggest(WALES, NEW_MOON, None, deep_sky(), limits, most=600)
    assert all(set(each.unknown) <= set(each.all_words) for each in without)
    assert any("size unknown" in each.all_words for each in without)
    assert any("size unknown" in each.unknown for each in found)
    assert any("magnitude unknown" in each.unknown for each in found)


def test_a_narrow_band_loses_less_to_the_moon() -> None:
    prepared = prepare(WALES, FULL_MOON, deep_sky())
    row = deep_sky().index_of("NGC 6960")
    broad = rank(prepared, LONG, Limits())
    narrow = reranked(broad, Limits(sky_share=0.05))
    assert narrow.factors["moonlight"][row] > 1.5 * broad.factors["moonlight"][row]
    words = words_of(suggestion(narrow, row), "moonlight")
    assert words.endswith("mag brighter there, 5 % of it through the filter")


def test_hours_owed_come_first_and_what_was_just_seen_comes_later() -> None:
    prepared, catalogue = prepare(WALES, NEW_MOON, deep_sky()), deep_sky()
    crab, heart, m81 = (catalogue.index_of(name) for name in ("NGC 1952", "IC 1805", "NGC 3031"))
    facts = BookFacts(
        owed_hours={"NGC 1952": 6.0, "IC 1805": 0.0, "no such thing": 3.0},
        last_observed={"NGC 3031": date(2026, 11, 7), "NGC 1952": date(2026, 11, 1)},
    )
    plain, told = rank(prepared, LONG, Limits()), rank(prepared, LONG, Limits(), facts)
    assert "owed" not in plain.factors
    share = told.score / np.maximum(plain.score, 1e-12)
    assert share[crab] == pytest.approx(1.0)
    assert share[heart] < share[m81] < share[crab]
    said = {
        name: (
            words_of(suggestion(told, row), "owed"),
            words_of(suggestion(told, row), "last seen"),
        )
        for name, row in (("crab", crab), ("heart", heart), ("m81", m81))
    }
    assert said["crab"] == (
        "6.0 h still owed to its project",
        "observed 7 nights ago, but hours are owed",
    )
    assert said["heart"] == ("its project is done", "never observed")
    assert said["m81"] == ("no project", "observed last night")
    before = rank(prepare(WALES, date(2026, 11, 1), deep_sky()), LONG, Limits(), facts)
    assert words_of(suggestion(before, m81), "last seen") == "observed since"


def test_one_object_under_two_numbers_is_one_suggestion_that_names_both() -> None:
    # Two lists of such regions have RCW 6 and Sh2-301 within 3″ of each other.
    found = suggest(
        CAPE, date(2026, 12, 10), SHORT, deep_sky(), Limits(kinds=("HII region",)), most=300
    )
    region = next(each for each in found if each.object_id in ("RCW 6", "Sh2-301"))
    (other,) = set(region.same_place) & {"RCW 6", "Sh2-301"}
    assert other != region.object_id
    assert words_of(region, "appeal").endswith(
        f"with {', '.join(region.same_place)} in the same place"
    )
    assert other not in {each.object_id for each in found}


def test_a_catalogue_that_holds_everything_twice_suggests_it_once() -> None:
    once = deep_sky()
    columns: dict[str, Any] = {each.name: getattr(once, each.name) for each in fields(once)}
    doubled: dict[str, Any] = {
        name: np.concatenate([column, column]) if isinstance(column, np.ndarray) else column * 2
        for name, column in columns.items()
    }
    twice = replace(once, **doubled)
    single = suggest(WALES, NEW_MOON, LONG, once, most=20)
    double = suggest(WALES, NEW_MOON, LONG, twice, most=20)
    assert names(double) == names(single)
    assert all(each.object_id in each.same_place for each in double)


def test_nothing_is_suggested_near_the_sun() -> None:
    # In the twilight of high summer a low limit lets objects near the Sun rise before it.
    limits = Limits(min_altitude_deg=0.0, min_hours=0.0, min_moon_separation_deg=0.0)
    prepared = prepare(WALES, MIDSUMMER, deep_sky())
    ranking = rank(prepared, LONG, limits)
    sun = prepared.frame.sun_moon(np.array([prepared.frame.orientation.mjd]))[0][0]
    cosines = prepared.directions[ranking.rows] @ (sun / np.linalg.norm(sun))
    assert np.degrees(np.arccos(np.max(cosines))) >= 20.0
    with pytest.raises(BadInput, match="Sun separation cannot be 5°: 20 to 180°"):
        Limits(min_sun_separation_deg=5.0)


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        ({"min_altitude_deg": 95.0}, "least altitude cannot be 95°"),
        ({"min_altitude_deg": float("nan")}, "least altitude cannot be nan°"),
        ({"min_moon_separation_deg": -1.0}, "Moon separation cannot be -1°"),
        ({"min_hours": 25.0}, "least time cannot be 25 hours"),
        ({"max_fill": -0.1}, "largest fill cannot be -0.1"),
        ({"faintest_mag": 99.0}, "faintest magnitude cannot be 99"),
    ],
)
def test_impossible_limits_are_refused(limits: dict[str, float], words: str) -> None:
    with pytest.raises(BadInput, match=words):
        Limits(**limits)  # type: ignore[arg-type]


def test_a_kind_that_does_not_exist_is_refused() -> None:
    with pytest.raises(BadInput, match="there is no kind 'comet': galaxy,"):
        suggest(WALES, NEW_MOON, LONG, deep_sky(), Limits(kinds=("galaxy", "comet")))


def test_an_altitude_nothing_reaches_leaves_an_empty_list() -> None:
    assert suggest(WALES, NEW_MOON, LONG, deep_sky(), Limits(min_altitude_deg=90.0)) == []


def test_a_re_ranking_uses_the_night_again_and_gives_the_same() -> None:
    prepared = prepare(WALES, NEW_MOON, deep_sky())
    rank(prepared, LONG, Limits(min_altitude_deg=50.0))
    again = suggestions(rank(prepared, LONG, Limits()), 30)
    assert again == suggest(WALES, NEW_MOON, LONG, deep_sky(), most=30)
