"""The shipped tables: what they say they are, and facts known from outside."""

import csv
import hashlib
import tomllib
from importlib import resources
from typing import Any

import pytest

from logbook.data import build
from logbook.data.building import corrections, sources
from logbook.sky.catalogue.kinds import KINDS
from logbook.sky.catalogue.objects import moon_features
from logbook.text import clean

DATA = resources.files("logbook").joinpath("data")
TABLES = ("dso.csv", "stars.csv", "doubles.csv", "moon.csv")


def text_of(name: str) -> str:
    return DATA.joinpath(name).read_text(encoding="utf-8")


def rows_of(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(text_of(name).splitlines()))


def manifest() -> dict[str, Any]:
    return tomllib.loads(text_of("manifest.toml"))


@pytest.mark.parametrize("name", TABLES)
def test_a_table_is_the_one_the_manifest_tells_of(name: str) -> None:
    told = manifest()["tables"][name]
    assert hashlib.sha256(text_of(name).encode()).hexdigest() == told["sha256"]
    assert len(rows_of(name)) == told["rows"]


@pytest.mark.parametrize("name", build.BY_HAND)
def test_the_tables_were_built_after_the_last_change_by_hand(name: str) -> None:
    assert build.checksum(text_of(name)) == manifest()["by_hand"][name]["sha256"]


def test_the_manifest_names_the_pinned_sources_with_their_licences() -> None:
    told = manifest()["sources"]
    assert list(told) == list(sources.pinned())
    for key, source in sources.pinned().items():
        assert told[key]["sha256"] == source.sha256
        assert told[key]["version"] == source.version
        assert told[key]["licence"]


def test_the_notices_honour_each_licence() -> None:
    notices = text_of("NOTICES.md")
    for words in (
        "CC-BY-SA-4.0",
        "Mattia Verga",
        "It was\nmodified",
        "BSD-3-Clause",
        "Redistributions of source code must retain the above copyright",
        "van Leeuwen 2007",
        "CC-BY-3.0",
        "International Astronomical Union",
        "Barnard 1927",
        "Sharpless 1959",
        "Lynds 1962",
        "van den Bergh 1966",
        "ESA/Gaia/DPAC",
        "CC BY-SA 3.0 IGO",
    ):
        assert words in notices


def test_the_tables_stay_small_enough_to_ship() -> None:
    assert sum(len(text_of(name).encode()) for name in TABLES) < 1_300_000


@pytest.mark.parametrize("name", [*TABLES, "corrections.csv", "constellations.csv"])
def test_every_cell_is_clean_text(name: str) -> None:
    cells = {cell for row in rows_of(name) for cell in row.values()}
    assert [cell for cell in cells if clean(cell) != cell] == []


@pytest.mark.parametrize("name", TABLES)
def test_no_cell_could_be_a_formula_in_a_spreadsheet(name: str) -> None:
    firsts = {cell[0] for row in rows_of(name) for cell in row.values() if cell}
    numbers = {"-"}  # declinations and longitudes
    assert firsts & set("=+@\t") == set()
    texts = ("id", "name", "aliases", "kind")
    words = [row[column] for row in rows_of(name) for column in texts if row.get(column)]
    assert [word for word in words if word[0] in numbers] == []


def test_deep_sky_values_are_possible() -> None:
    for row in rows_of("dso.csv"):
        assert row["kind"] in KINDS, row
        assert len(row["constellation"]) == 3, row
        assert 0.0 <= float(row["ra_deg"]) < 360.0, row
        assert -90.0 <= float(row["dec_deg"]) <= 90.0, row
        assert 0.0 < float(row["major_arcmin"] or 1.0) <= 1200.0, row
        assert float(row["minor_arcmin"] or 0.0) <= float(row["major_arcmin"] or 0.0), row
        assert 0.0 <= float(row["position_angle_deg"] or 0.0) <= 180.0, row
        assert -1.0 < float(row["magnitude"] or 0.0) < 25.0, row


def test_a_position_angle_comes_with_two_different_axes() -> None:
    for row in rows_of("dso.csv"):
        if row["position_angle_deg"]:
            assert row["minor_arcmin"] not in ("", row["major_arcmin"]), row


def test_no_two_objects_share_a_number() -> None:
    owners: dict[str, set[str]] = {}
    for row in rows_of("dso.csv"):
        for name in (row["id"], *row["aliases"].split("|")):
            if any(sign.isdigit() for sign in name):
                owners.setdefault(name, set()).add(row["id"])
    assert {name: ids for name, ids in owners.items() if len(ids) > 1} == {}


def test_numbers_of_large_surveys_are_left_out() -> None:
    kept = {
        name.split()[0] for row in rows_of("dso.csv") for name in row["aliases"].split("|") if name
    }
    assert (
        kept & {"2MASX", "2MASS", "SDSS", "MCG", "IRAS", "LEDA", "ESO-LV", "TYC", "UCAC"} == set()
    )


def test_every_correction_names_its_source() -> None:
    made = corrections.read(text_of("corrections.csv"))
    assert len(made) >= 120
    assert all(len(row["source"]) > 8 for row in made)


def test_no_correction_mends_an_object_twice() -> None:
    ids = [row["id"] for row in corrections.read(text_of("corrections.csv"))]
    assert sorted(ids) == sorted(set(ids))


# Source: IAU/USGS Gazetteer of Planetary Nomenclature of today, from memory, rounded to 0.1 degree
# and 1 km. The shipped diameters are those of an older edition: Tycho has 102 km there.
@pytest.mark.parametrize(
    ("name", "kind", "latitude_deg", "longitude_deg", "diameter_km"),
    [
        ("Tycho", "crater", -43.3, -11.2, 85),
        ("Copernicus", "crater", 9.6, -20.1, 96),
        ("Plato", "crater", 51.6, -9.4, 101),
        ("Clavius", "crater", -58.6, -14.7, 231),
        ("Theophilus", "crater", -11.5, 26.3, 99),
        ("Grimaldi", "crater", -5.4, -68.4, 173),
        ("Aristarchus", "crater", 23.7, -47.5, 40),
        ("Langrenus", "crater", -8.9, 61.0, 132),
    ],
)
def test_craters_lie_where_the_gazetteer_says(
    name: str, kind: str, latitude_deg: float, longitude_deg: float, diameter_km: float
) -> None:
    feature = next(feature for feature in moon_features() if feature.name == name)
    assert feature.kind == kind
    assert feature.latitude_deg == pytest.approx(latitude_deg, abs=0.6)
    assert feature.longitude_deg == pytest.approx(longitude_deg, abs=0.6)
    assert feature.diameter_km == pytest.approx(diameter_km, rel=0.21)


def test_moon_features_are_those_that_can_show() -> None:
    for feature in moon_features():
        assert -90.0 <= feature.latitude_deg <= 90.0
        assert -98.0 <= feature.longitude_deg <= 98.0
        assert feature.diameter_km is None or feature.diameter_km > 0.0
        assert "[" not in feature.name
    kinds = {feature.kind for feature in moon_features()}
    assert {"crater", "sea", "mountains", "rille", "cape"} <= kinds
