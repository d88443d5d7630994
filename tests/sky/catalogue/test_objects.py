"""The catalogue as the program sees it, held against positions and lists from outside."""

import math
import re
import subprocess
import sys

import numpy as np
import pytest
from skyfield.api import load_constellation_map, position_of_radec
from skyfield.named_stars import named_star_dict

from logbook.errors import NotFound
from logbook.sky.catalogue.kinds import KINDS
from logbook.sky.catalogue.objects import Catalogue, SkyObject, bright_stars, deep_sky


def angle_deg(hours_or_degrees: str, per_unit: float = 1.0) -> float:
    """Return degrees of "00 42 44.3" (15 per hour) or "+41 16 09"."""
    first, minutes, seconds = hours_or_degrees.lstrip("+-").split()
    size = (float(first) + float(minutes) / 60.0 + float(seconds) / 3600.0) * per_unit
    return -size if hours_or_degrees.startswith("-") else size


def separation_arcsec(thing: SkyObject, ra: str, dec: str) -> float:
    """Return the angle between an object and a published place (haversine)."""
    ra_a, dec_a = math.radians(thing.ra_deg), math.radians(thing.dec_deg)
    ra_b, dec_b = math.radians(angle_deg(ra, 15.0)), math.radians(angle_deg(dec))
    half = (
        math.sin((dec_a - dec_b) / 2.0) ** 2
        + math.cos(dec_a) * math.cos(dec_b) * math.sin((ra_a - ra_b) / 2.0) ** 2
    )
    return math.degrees(2.0 * math.asin(math.sqrt(half))) * 3600.0


def by_name(name: str) -> SkyObject:
    for catalogue in (deep_sky(), bright_stars()):
        for thing in catalogue:
            if name in (thing.id, thing.name, *thing.aliases):
                return thing
    raise AssertionError(f"no {name}")


def numbers(prefix: str) -> list[int]:
    names = [name for thing in deep_sky() for name in (thing.id, *thing.aliases)]
    pattern = re.compile(rf"{prefix} (\d+)")
    return sorted(int(match[1]) for name in names if (match := pattern.fullmatch(name)))


def test_the_messier_list_is_whole_and_single() -> None:
    assert numbers("M") == list(range(1, 111))


def test_the_caldwell_list_is_whole_and_single() -> None:
    assert numbers("C") == list(range(1, 110))


# Source: the usual cross identifications of the two lists, from memory.
@pytest.mark.parametrize(
    ("number", "identifier"),
    [
        ("M 1", "NGC 1952"),
        ("M 13", "NGC 6205"),
        ("M 24", "IC 4715"),
        ("M 31", "NGC 224"),
        ("M 42", "NGC 1976"),
        ("M 45", "Mel 22"),
        ("M 57", "NGC 6720"),
        ("M 73", "NGC 6994"),
        ("M 101", "NGC 5457"),
        ("M 102", "NGC 5866"),
        ("M 110", "NGC 205"),
        ("C 9", "Sh2-155"),
        ("C 14", "C 14"),
        ("C 20", "NGC 7000"),
        ("C 33", "NGC 6992"),
        ("C 41", "Mel 25"),
        ("C 49", "NGC 2237"),
        ("C 80", "NGC 5139"),
        ("C 99", "C 99"),
        ("C 109", "NGC 3195"),
    ],
)
def test_list_numbers_belong_to_the_usual_objects(number: str, identifier: str) -> None:
    assert by_name(number).id == identifier


# Source: NASA/IPAC Extragalactic Database and SIMBAD, J2000.0, from memory.
@pytest.mark.parametrize(
    ("name", "ra", "dec", "within_arcsec"),
    [
        ("M 31", "00 42 44.3", "+41 16 09", 5.0),
        ("M 33", "01 33 50.9", "+30 39 37", 5.0),
        ("M 51", "13 29 52.7", "+47 11 43", 5.0),
        ("M 104", "12 39 59.4", "-11 37 23", 5.0),
        ("M 13", "16 41 41.2", "+36 27 36", 10.0),
        ("NGC 104", "00 24 05.4", "-72 04 53", 10.0),
        ("M 57", "18 53 35.1", "+33 01 45", 5.0),
        ("M 1", "05 34 31.9", "+22 00 52", 30.0),
        ("NGC 7293", "22 29 38.6", "-20 50 14", 10.0),
        ("B 33", "05 40 59.0", "-02 27 30", 120.0),
    ],
)
def test_deep_sky_objects_lie_where_the_databases_say(
    name: str, ra: str, dec: str, within_arcsec: float
) -> None:
    assert separation_arcsec(by_name(name), ra, dec) < within_arcsec


# Source: SIMBAD, ICRS at J2000.0, from memory.
@pytest.mark.parametrize(
    ("name", "ra", "dec"),
    [
        ("Sirius", "06 45 08.917", "-16 42 58.02"),
        ("Vega", "18 36 56.336", "+38 47 01.28"),
        ("Arcturus", "14 15 39.672", "+19 10 56.67"),
        ("Polaris", "02 31 49.095", "+89 15 50.79"),
        ("Betelgeuse", "05 55 10.305", "+07 24 25.43"),
        ("Canopus", "06 23 57.110", "-52 41 44.38"),
        ("Antares", "16 29 24.460", "-26 25 55.21"),
    ],
)
def test_bright_stars_lie_where_simbad_says_in_2000(name: str, ra: str, dec: str) -> None:
    assert separation_arcsec(by_name(name), ra, dec) < 0.3


def test_star_motions_are_those_of_hipparcos() -> None:
    # Source: van Leeuwen 2007 for Arcturus (HIP 69673): -1093.39 and -2000.06 mas a year.
    stars = bright_stars()
    row = stars.index_of("HIP 69673")
    assert stars.pm_ra_mas_yr[row] == pytest.approx(-1093.39, abs=0.05)
    assert stars.pm_dec_mas_yr[row] == pytest.approx(-2000.06, abs=0.05)


def test_every_object_lies_in_its_constellation_by_another_library() -> None:
    # Skyfield carries its own table of the boundaries (Roman 1987). Two objects lie within 12"
    # of one: FK4 B1875 puts NGC 1751 at -70 00 06 (edge -70 00 00) and NGC 7438 at 22h52m00.8s
    # (edge 22h52m). Astropy's function differs for seven, since it adds aberration first.
    at_an_edge = {"NGC 1751", "NGC 7438"}
    sky = deep_sky()
    places = position_of_radec(sky.ra_deg / 15.0, sky.dec_deg)
    found = load_constellation_map()(places)
    differing = [
        (identifier, ours, theirs)
        for identifier, ours, theirs in zip(sky.ids, sky.constellations, found, strict=True)
        if ours != theirs and identifier not in at_an_edge
    ]
    assert differing == []


def test_star_names_agree_with_another_library_where_both_know_them() -> None:
    # Skyfield names a few stars otherwise than the IAU's list does.
    known = dict(named_star_dict.items())
    other_use = {"Algenib", "Gienah", "Markab", "Toliman"}
    ours = {thing.name: int(thing.id.removeprefix("HIP ")) for thing in bright_stars()}
    shared = (set(known) & set(ours)) - other_use
    assert len(shared) > 80
    assert {name for name in shared if known[name] != ours[name]} == set()


# Common names as the trade uses them: common practice, no source.
@pytest.mark.parametrize(
    ("name", "identifier", "kind"),
    [
        ("Flame Nebula", "NGC 2024", "HII region"),
        ("Heart Nebula", "IC 1805", "cluster with nebula"),
        ("Soul Nebula", "IC 1848", "cluster with nebula"),
        ("Cat's Paw Nebula", "NGC 6334", "HII region"),
        ("Tulip Nebula", "Sh2-101", "HII region"),
        ("Witch Head Nebula", "IC 2118", "reflection nebula"),
        ("Rosette Nebula", "NGC 2237", "HII region"),
        ("Dark Shark Nebula", "LDN 1235", "dark nebula"),
        ("Medusa Nebula", "Sh2-274", "planetary nebula"),
        ("Jellyfish Nebula", "IC 443", "supernova remnant"),
    ],
)
def test_names_people_use_sit_on_the_right_object(name: str, identifier: str, kind: str) -> None:
    thing = by_name(name)
    assert (thing.id, thing.kind) == (identifier, kind)


# Source: visual magnitudes in observers' lists (RC3, Harris 1996), from memory, to 0.2 mag.
@pytest.mark.parametrize(
    ("name", "magnitude"),
    [
        ("M 31", 3.4),
        ("M 104", 8.3),
        ("NGC 253", 7.2),
        ("NGC 4565", 9.6),
        ("M 10", 6.6),
        ("M 13", 5.8),
        ("M 71", 8.2),
        ("NGC 5139", 3.7),
        ("M 45", 1.2),
    ],
)
def test_magnitudes_are_those_of_observers_lists(name: str, magnitude: float) -> None:
    assert by_name(name).magnitude == pytest.approx(magnitude, abs=0.31)


def test_globular_and_open_clusters_are_as_large_as_observers_see_them() -> None:
    # Source: Sky Catalogue 2000.0 diameters in arcmin, from memory; survey radii are half that.
    expected = {"M 7": 80.0, "M 44": 95.0, "M 35": 28.0, "M 22": 32.0, "NGC 5139": 55.0}
    assert {name: by_name(name).major_arcmin for name in expected} == pytest.approx(expected)


def test_the_title_is_what_people_write() -> None:
    assert by_name("M 31").title == "Andromeda Galaxy (M 31)"
    assert by_name("M 3").title == "M 3"
    assert by_name("NGC 7331").title == "NGC 7331"
    assert by_name("Mizar").title == "Mizar (ζ UMa)"
    assert by_name("45 Tau").title == "45 Tau"


def test_unknown_values_are_none_in_an_object_and_nan_in_a_column() -> None:
    sky = deep_sky()
    row = sky.index_of("Sh2-101")
    thing = sky.at(row)
    assert thing.magnitude is None
    assert thing.magnitude_band is None
    assert thing.position_angle_deg is None
    assert math.isnan(sky.magnitude[row])


@pytest.mark.parametrize("catalogue", [deep_sky(), bright_stars()], ids=["deep sky", "stars"])
def test_columns_have_one_length_and_objects_plain_values(catalogue: Catalogue) -> None:
    count = len(catalogue)
    columns = (
        catalogue.ra_deg,
        catalogue.dec_deg,
        catalogue.pm_ra_mas_yr,
        catalogue.major_arcmin,
        catalogue.minor_arcmin,
        catalogue.position_angle_deg,
        catalogue.magnitude,
        catalogue.surface_brightness_mag_arcsec2,
    )
    assert {len(column) for column in columns} == {count}
    assert {column.dtype for column in columns} == {np.dtype(np.float64)}
    assert set(catalogue.kinds) <= set(KINDS)
    for thing in catalogue:
        assert type(thing.ra_deg) is float
        assert type(thing.kind) is str
        assert thing.name


def test_unit_vectors_point_where_the_positions_say() -> None:
    sky = deep_sky()
    assert sky.unit_icrs.shape == (len(sky), 3)
    assert np.linalg.norm(sky.unit_icrs, axis=1) == pytest.approx(np.ones(len(sky)), abs=1e-14)
    x, y, z = sky.unit_icrs.T
    assert np.degrees(np.arcsin(z)) == pytest.approx(sky.dec_deg, abs=1e-9)
    assert np.degrees(np.arctan2(y, x)) % 360.0 == pytest.approx(sky.ra_deg, abs=1e-9)
    assert sky.unit_icrs is sky.unit_icrs


def test_an_id_that_is_not_there_is_said_so() -> None:
    with pytest.raises(NotFound, match="NGC 9999"):
        deep_sky().index_of("NGC 9999")


def test_enough_stars_for_a_star_test_wherever_one_points() -> None:
    # The middle of every 2 hours by 30 degrees of sky has a star of V 1.5 to 3.5 within 25 degrees.
    stars = bright_stars()
    useful = (stars.magnitude > 1.5) & (stars.magnitude < 3.5)
    directions = stars.unit_icrs[useful]
    ra, dec = np.radians(np.meshgrid(np.arange(15.0, 360.0, 30.0), np.arange(-75.0, 90.0, 30.0)))
    points = np.stack([np.cos(dec) * np.cos(ra), np.cos(dec) * np.sin(ra), np.sin(dec)], axis=-1)
    nearest = np.degrees(np.arccos((points.reshape(-1, 3) @ directions.T).max(axis=1)))
    assert nearest.max() < 25.0


def test_reading_the_catalogue_needs_no_astropy() -> None:
    program = (
        "import sys; from logbook.sky.catalogue import name_search, objects; objects.deep_sky();"
        "assert not {'astropy', 'sqlalchemy', 'textual'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", program], check=True)
