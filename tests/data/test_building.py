"""The script that builds the tables, on small input of our own and, at wish, on the real one."""

import io
import json
import lzma
import math
import os
import sqlite3
import struct
import tarfile
from pathlib import Path
from typing import Any

import pytest

from logbook.data import build
from logbook.data.building import corrections, moon, nebulae, openngc, sources, stars
from logbook.data.building.designations import openngc_identifier, openngc_name, supplement_name
from logbook.data.building.rows import Row, number, sort_key

OBJECTS = """
NGC0224|G|10.6848|41.2691|And|177.83|69.66|35|4.29|3.44|23.63|031|||UGC 00454,PGC 0|Andromeda Galaxy
NGC0206|*Ass|10.14|40.74|And|4.2||||||||||
NGC1909|RfN|76.23|-7.27|Eri|180|60||||||||LBN 959|the Witch Head Nebula
IC2118|Dup|76.23|-7.27|Eri||||||||1909|||
NGC6605|OCl|274.0|-15.0|Se2|15|15|90||6.0||||||
NGC1990|*|84.0|-1.2|Ori||||||||||HIP 26311|Alnilam
IC1064|NonEx||||||||||||||
C009|HII|344.475|62.5183|Cep|50|30||||||||SH 2-155,LBN 529|Cave Nebula
M040|**|185.55|58.08|UMa|||||8.0|||||WDS J12222+5805AB|
"""

SUPPLEMENT = [
    ("Sh2 101", "bn", "20x15", "999", -60.02, 35.28),
    ("B 150", "dn", "60", "2", -47.23, 60.18),
    ("LDN 1235", "dn", "6.513", "6", -26.27, 73.42),
    ("LDN 1251", "dn", "14.952", "5", -20.98, 75.27),
    ("PK 047+42.1", "pn", "2.9x2.9", "15.6", -113.11, 27.91),
    ("PGC 1", "s", "1x1", "15", 1.0, 1.0),
    ("NGC 224", "s", "190x60", "3.4", 10.68, 41.27),
]

CORRECTIONS = [
    {"do": "change", "id": "NGC 1909", "becomes": "IC 2118", "source": "the number in use"},
    {"do": "change", "id": "C 9", "becomes": "Sh2-155", "source": "Sharpless 1959"},
    {
        "do": "new",
        "id": "Sh2-308",
        "kind": "HII region",
        "name": "Dolphin Head Nebula",
        "ra_deg": "103.554",
        "dec_deg": "-23.928",
        "major_arcmin": "35",
        "source": "from memory",
    },
    {"do": "drop", "id": "NGC 206", "source": "a part of M 31"},
    {"do": "change", "id": "NGC 224", "magnitude": "-", "band": "-", "source": "to test clearing"},
]

EXPECTED = """\
id,kind,constellation,ra_deg,dec_deg,major_arcmin,minor_arcmin,position_angle_deg,magnitude,band,\
surface_brightness,name,aliases,from
Abell 39 number,planetary nebula,Her,246.89000,27.91000,2.9,2.9,,,,,,PK 047+42.1,S
B 150,dark nebula,Cep,312.77000,60.18000,60,,,,,,,,S
IC 2118,reflection nebula,Eri,76.23000,-7.27000,180,60,,,,,Witch Head Nebula,LBN 959|NGC 1909,O
LDN 1251,dark nebula,Cep,339.02000,75.27000,15,,,,,,,,S
M 40,double star,UMa,185.55000,58.08000,,,,8,V,,,,O
NGC 224,galaxy,And,10.68480,41.26910,177.83,69.66,35,,,23.63,Andromeda Galaxy,M 31|UGC 454,O
NGC 6605,open cluster,Ser,274.00000,-15.00000,15,15,,6,V,,,,O
Sh2-101,HII region,Cyg,299.98000,35.28000,20,15,,,,,,,S
Sh2-155,HII region,Cep,344.47500,62.51830,50,30,,,,,Cave Nebula,LBN 529|C 9,O
Sh2-308,HII region,CMa,103.55400,-23.92800,35,,,,,,Dolphin Head Nebula,,H
"""

FIRST = ("name", "type", "ra", "dec", "const", "majax", "minax", "pa", "bmag", "vmag", "sbrightn")
COLUMNS = (*FIRST, "messier", "ngc", "ic", "identifiers", "commonnames")


def database() -> bytes:
    """Return a small OpenNGC: the columns the script reads, right ascensions in radians."""
    connection = sqlite3.connect(":memory:")
    connection.execute(f"CREATE TABLE objects ({', '.join(COLUMNS)})")
    for line in OBJECTS.strip().splitlines():
        cells: list[Any] = [cell or None for cell in line.split("|")]
        for at in (2, 3):
            cells[at] = None if cells[at] is None else math.radians(float(cells[at]))
        for at in range(5, 11):
            cells[at] = None if cells[at] is None else float(cells[at])
        marks = ", ".join("?" * len(COLUMNS))
        connection.execute(
            f"INSERT INTO objects VALUES ({marks})", cells + [None] * (16 - len(cells))
        )
    connection.commit()
    try:
        return connection.serialize()
    finally:
        connection.close()


def geojson() -> bytes:
    features = [
        {
            "id": name,
            "properties": {"type": kind, "dim": size, "mag": magnitude},
            "geometry": {"coordinates": [longitude, latitude]},
        }
        for name, kind, size, magnitude, longitude, latitude in SUPPLEMENT
    ]
    return json.dumps({"features": features}).encode()


def corrected(*extra: dict[str, str]) -> str:
    rows = (*CORRECTIONS, *extra)
    cells = ([row.get(column, "") for column in corrections.COLUMNS] for row in rows)
    return "".join(f"{','.join(line)}\n" for line in (corrections.COLUMNS, *cells))


ABELL = {
    "do": "change",
    "id": "PK 047+42.1",
    "becomes": "Abell 39 number",
    "source": "to test an id",
}


def test_a_small_catalogue_is_built_as_expected_and_the_same_each_time() -> None:
    first = build.deep_sky(database(), geojson(), corrected(ABELL))
    assert first == EXPECTED
    assert build.deep_sky(database(), geojson(), corrected(ABELL)) == first


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ({"do": "change", "id": "NGC 9999", "source": "from memory"}, "no NGC 9999"),
        ({"do": "new", "id": "NGC 224", "source": "from memory"}, "in the sources"),
        ({"do": "new", "id": "X 1", "kind": "galaxy", "source": "from memory"}, "a position"),
        ({"do": "change", "id": "B 150", "name": "Seahorse"}, "does not say its source"),
    ],
)
def test_a_correction_that_cannot_be_right_stops_the_build(row: dict[str, str], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        build.deep_sky(database(), geojson(), corrected(row))


def test_a_correction_can_take_an_alias_away_and_add_one() -> None:
    row = Row(id="NGC 1", kind="galaxy", ra_deg=1.0, dec_deg=1.0, aliases=["Wrong", "UGC 57"])
    change = dict.fromkeys(corrections.COLUMNS, "") | {
        "do": "change",
        "id": "NGC 1",
        "aliases": "Right",
        "not_aliases": "Wrong",
    }
    (made,) = corrections.apply([row], [change])
    assert made.aliases == ["UGC 57", "Right"]


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("NGC0224", "NGC 224"),
        ("NGC4656 NED02", "NGC 4656 NED02"),
        ("IC0186A", "IC 186A"),
        ("Mel022", "Mel 22"),
        ("Cl399", "Cr 399"),
        ("B033", "B 33"),
        ("H05", "Harvard 5"),
    ],
)
def test_record_names_take_one_form(written: str, name: str) -> None:
    assert openngc_name(written) == name


def test_a_record_name_of_no_known_kind_stops_the_build() -> None:
    with pytest.raises(ValueError, match="unknown kind"):
        openngc_name("XYZ001")


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("UGC 00454", "UGC 454"),
        ("C 033", "C 33"),
        ("Cl 050", "Cr 50"),
        ("SH 2-155", "Sh2-155"),
        ("PK 138+02 1", "PK 138+02.1"),
        ("PGC 002557", ""),
        ("2MASX J00424433+4116074", ""),
    ],
)
def test_cross_names_in_use_are_kept_and_surveys_are_not(written: str, name: str) -> None:
    assert openngc_identifier(written) == name


def test_supplement_names_take_the_same_form() -> None:
    assert [supplement_name(name) for name in ("Sh2 101", "VdB 152", "VdBH 1")] == [
        "Sh2-101",
        "vdB 152",
        "vdBH 1",
    ]


def test_what_the_supplement_has_twice_is_taken_from_openngc() -> None:
    taken = {row.id for row in openngc.read(database())} | {"B 150"}
    assert [row.id for row in nebulae.read(geojson(), taken)] == [
        "Sh2-101",
        "LDN 1251",
        "PK 047+42.1",
    ]


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [(5.0, 2, "5"), (5.25, 1, "5.2"), (-0.001, 2, "0"), (None, 2, ""), (100.0, 0, "100")],
)
def test_numbers_are_written_short(value: float | None, decimals: int, text: str) -> None:
    assert number(value, decimals) == text


def test_ids_are_sorted_as_a_person_would() -> None:
    ids = ["NGC 10", "IC 5", "NGC 9", "NGC 9A", "Sh2-9", "Sh2-101"]
    assert sorted(ids, key=sort_key) == ["IC 5", "NGC 9", "NGC 9A", "NGC 10", "Sh2-9", "Sh2-101"]


def test_stars_move_to_the_year_2000() -> None:
    # The line of 61 Cygni A (van Leeuwen 2007, catalogue I/311). The star moves 46" in 8.75 years.
    line = "104214   5 0 1  5.5276638884  0.6761666472  286.82  4168.31  3269.20   4.49\n"
    feature = {
        "id": 104214,
        "properties": {"mag": 5.2, "bv": "1.069"},
        "geometry": {"coordinates": [316.7, 38.7]},
    }
    letters = {"104214": {"bayer": "", "flam": "61", "c": "Cyg", "hd": "HD 201091"}}
    made = stars.read(
        line.encode(),
        json.dumps({"features": [feature]}).encode(),
        json.dumps(letters).encode(),
        {},
    )
    cells = dict(zip(stars.COLUMNS, made.splitlines()[1].split(","), strict=True))
    # Source: SIMBAD, ICRS at J2000.0: 21 06 53.940 +38 44 57.90, from memory; its companion
    # bends the path, so 0.2" is what straight motion can give.
    allowed_deg = 0.2 / 3600.0
    ra_deg, dec_deg = 15.0 * (21 + 6 / 60 + 53.940 / 3600), 38 + 44 / 60 + 57.90 / 3600
    assert float(cells["ra_deg"]) == pytest.approx(ra_deg, abs=allowed_deg)
    assert float(cells["dec_deg"]) == pytest.approx(dec_deg, abs=allowed_deg)
    assert cells["flamsteed"] == "61"
    assert cells["hd"] == "201091"


def test_a_star_named_by_hand_must_be_in_the_source() -> None:
    with pytest.raises(ValueError, match="HIP 1"):
        stars.read(b"", b'{"features": []}', b"{}", {"1": {"name": "Nowhere"}})


def moon_stream(*features: tuple[str, float, float, str, int]) -> bytes:
    """Write the data stream as Qt would: big-endian, texts as UTF-16 with a length in bytes."""

    def text(value: str) -> bytes:
        return struct.pack(">i", 2 * len(value)) + value.encode("utf-16-be")

    out = struct.pack(">Ii", moon.MAGIC, 13)
    for name, latitude, longitude, role, diameter_m in features:
        out += text(name) + struct.pack(">ddd", math.radians(longitude), math.radians(latitude), 0)
        out += text(role) + text("origin of the name") + struct.pack(">ii", -1, -1)
        out += struct.pack(">dqhb", -1.0, diameter_m, 0, 0)
    return out


def test_moon_features_are_read_sorted_and_sifted() -> None:
    stream = moon_stream(
        ("Tycho", -43.3, -11.2, "c", 85_000),
        ("Small", 1.0, 1.0, "c", 5_000),
        ("Behind", 1.0, 175.0, "c", 90_000),
        ("Rima Hadley", 25.0, 3.0, "o", 80_000),
        ("Camelot", 20.2, 30.8, "o", 600),
        ("[Mons Euler]", 23.3, -29.2, "m", 0),
        ("Montes Jura", 47.1, -34.0, "m", 0),
    )
    assert moon.read(stream) == (
        "name,kind,latitude_deg,longitude_deg,diameter_km\n"
        "Montes Jura,mountains,47.10,-34.00,\n"
        "Rima Hadley,rille,25.00,3.00,80\n"
        "Tycho,crater,-43.30,-11.20,85\n"
    )


def test_another_stream_is_not_taken_for_the_moon() -> None:
    with pytest.raises(ValueError, match="Moon"):
        moon.read(struct.pack(">Ii", 1, 13))


def ar_member(name: str, body: bytes) -> bytes:
    header = f"{name:<16}{0:<12}{0:<6}{0:<6}{'100644':<8}{len(body):<10}`\n".encode("ascii")
    return header + body + b"\n" * (len(body) % 2)


def test_a_file_is_read_out_of_a_debian_package(tmp_path: Path) -> None:
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode="w") as archive:
        entry = tarfile.TarInfo("./usr/share/file")
        entry.size = 5
        archive.addfile(entry, io.BytesIO(b"hello"))
    package = b"!<arch>\n" + ar_member("debian-binary", b"2.0\nx")
    package += ar_member("data.tar.xz", lzma.compress(out.getvalue()))
    path = tmp_path / "one.deb"
    path.write_bytes(package)
    assert sources.from_deb(path, "./usr/share/file") == b"hello"


def test_a_source_that_is_not_the_pinned_one_is_refused(tmp_path: Path) -> None:
    source = sources.pinned()["pyongc"]
    with pytest.raises(ValueError, match="--fetch"):
        sources.checked(source, tmp_path)
    (tmp_path / source.file).write_bytes(b"something else")
    with pytest.raises(ValueError, match="not the pinned file"):
        sources.checked(source, tmp_path)


if "LOGBOOK_DATA_SOURCES" in os.environ:

    def test_the_whole_build_gives_the_shipped_tables_byte_for_byte() -> None:
        tables = build.build(Path(os.environ["LOGBOOK_DATA_SOURCES"]))
        for name, text in {**tables, "manifest.toml": build.manifest(tables)}.items():
            assert (build.HERE / name).read_bytes() == text.encode(), name
