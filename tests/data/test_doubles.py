"""The table of double stars: what it holds, and how its builder reads and sifts its sources."""

import csv
import math
import struct
from importlib import resources

import pytest

from logbook.data.building import doubles

STAR_COLUMNS = (
    "hip,name,bayer,flamsteed,constellation,ra_deg,dec_deg,pm_ra_mas_yr,pm_dec_mas_yr,"
    "magnitude,colour_bv,hd"
)


def shipped() -> dict[str, dict[str, str]]:
    text = resources.files("logbook").joinpath("data", "doubles.csv").read_text("utf-8")
    return {row["id"]: row for row in csv.DictReader(text.splitlines())}


# Source: separations as the Washington Double Star Catalog gives them of late, from memory; these
# pairs hardly move, or move slowly. 3 % as the eye would.
@pytest.mark.parametrize(
    ("identifier", "star", "separation_arcsec"),
    [
        ("HIP 65378", "Mizar", 14.4),
        ("HIP 95947", "Albireo", 34.6),
        ("HIP 8832", "Mesarthim", 7.4),
        ("HIP 102532", "γ2 Del", 8.9),
        ("HIP 72105", "Izar", 2.9),
        ("HIP 91919", "ε1 Lyr", 2.3),
        ("HIP 91926", "ε2 Lyr", 2.4),
        ("HIP 63125", "Cor Caroli", 19.3),
    ],
)
def test_well_known_pairs_have_the_known_separation(
    identifier: str, star: str, separation_arcsec: float
) -> None:
    row = shipped()[identifier]
    assert row["star"] == star
    assert float(row["separation_arcsec"]) == pytest.approx(separation_arcsec, rel=0.03)


# Source: periods of the Sixth Catalog of Orbits of Visual Binary Stars (USNO), from memory. The
# rough period sees the separation foreshortened and guesses the mass: a factor of two.
@pytest.mark.parametrize(
    ("identifier", "period_years"),
    [("HIP 72659", 152.0), ("HIP 88601", 88.0), ("HIP 61941", 169.0), ("HIP 3821", 480.0)],
)
def test_pairs_known_to_go_round_are_told_from_the_others(
    identifier: str, period_years: float
) -> None:
    rough = float(shipped()[identifier]["period_years"])
    assert period_years / 2.0 <= rough <= period_years * 2.0


def test_pairs_the_sources_have_wrong_are_left_out() -> None:
    # alpha Cen: an orbit of 80 years, old place; Castor, Polaris: brighter star filled in from
    # another epoch.
    for identifier in ("HIP 71683", "HIP 36850", "HIP 11767"):
        assert shipped()[identifier]["source"] == "by hand"
    assert "HIP 71681" not in shipped()
    old = [row for row in shipped().values() if row["source"] == "Hipparcos"]
    assert all(float(row["period_years"] or "9999") >= 300.0 for row in old)


def test_values_are_possible_and_say_their_epoch() -> None:
    kinds = {("Gaia", "2016", "G"), ("Hipparcos", "1991.25", "Hp")}
    assert len(shipped()) > 150
    for row in shipped().values():
        assert 0.6 <= float(row["separation_arcsec"]) <= 60.0, row
        assert 0.0 <= float(row["position_angle_deg"]) < 360.0, row
        assert float(row["magnitude"]) <= float(row["companion_magnitude"]) <= 9.1, row
        known = (row["source"], row["epoch"], row["band"])
        assert known in kinds or (row["source"], row["band"]) == ("by hand", "V"), row


def test_every_pair_by_hand_names_its_source_and_is_shipped() -> None:
    text = resources.files("logbook").joinpath("data", "doubles_by_hand.csv").read_text("utf-8")
    for entered in csv.DictReader(text.splitlines()):
        assert "memory" in entered["source"]
        row = shipped()[f"HIP {entered['hip']}"]
        assert float(row["separation_arcsec"]) == float(entered["separation_arcsec"])


def test_separation_and_angle_of_the_worked_example() -> None:
    # Source: Meeus 1998, example 17.a, Arcturus to Spica: 32.7930 degrees.
    arcturus, spica = (213.9154, 19.1825), (201.2983, -11.1614)
    separation_arcsec, angle_deg = doubles.offset(*arcturus, *spica)
    assert separation_arcsec / 3600.0 == pytest.approx(32.7930, abs=1e-4)
    assert 180.0 < angle_deg < 270.0  # Spica is south and west of Arcturus


@pytest.mark.parametrize(("east", "north", "angle_deg"), [(0, 5, 0), (5, 0, 90), (-3, -3, 225)])
def test_position_angles_go_from_north_through_east(
    east: float, north: float, angle_deg: float
) -> None:
    dec = 60.0
    other = 10.0 + east / 3600.0 / math.cos(math.radians(dec)), dec + north / 3600.0
    separation_arcsec, found_deg = doubles.offset(10.0, dec, *other)
    assert found_deg == pytest.approx(angle_deg, abs=0.01)
    assert separation_arcsec == pytest.approx(math.hypot(east, north), rel=1e-4)


def hip_line(number: int, ra_deg: float, dec_deg: float, parallax_mas: float, hp: float) -> str:
    """A line of the catalogue, the columns that are read in their places."""
    places = f"{number:6d}   5 0 1 {math.radians(ra_deg):13.10f} {math.radians(dec_deg):13.10f}"
    return (places + f"{parallax_mas:8.2f}").ljust(129) + f"{hp:7.4f} rest\n"


def gaia_file(*stars: tuple[int, float, float, float]) -> bytes:
    head = b"GDR3" + struct.pack("<IQ", 1, len(stars))
    return head + b"".join(struct.pack("<qddfff", *star, 4.0, 3.0) for star in stars)


def stars_csv(*rows: str) -> str:
    return "\n".join((STAR_COLUMNS, *rows)) + "\n"


def made(gaia: bytes, hip2: str, stars: str) -> list[dict[str, str]]:
    return list(csv.DictReader(doubles.read(gaia, hip2.encode(), stars, {}).splitlines()))


STAR = "10,Someone,α,1,Ori,80.000000,10.000000,0,0,4.00,0.1,1"
ARCSEC = 1.0 / 3600.0


def test_a_pair_of_gaia_is_compared_with_the_one_of_hipparcos() -> None:
    gaia = gaia_file((1, 80.0, 10.0, 4.0), (2, 80.0, 10.0 + 12.0 * ARCSEC, 6.0))
    hip2 = hip_line(10, 80.0, 10.0, 1.0, 4.0) + hip_line(11, 80.0, 10.0 + 11.5 * ARCSEC, 1.0, 6.0)
    (row,) = made(gaia, hip2, stars_csv(STAR))
    assert (row["star"], row["source"], row["separation_arcsec"]) == ("Someone", "Gaia", "12")
    assert float(row["drift_arcsec_yr"]) == pytest.approx(0.5 / 24.75, abs=0.001)


def test_a_pair_that_gaia_lacks_comes_from_hipparcos_unless_it_turns_fast() -> None:
    pair = hip_line(11, 80.0, 10.0 + 11.5 * ARCSEC, 1.0, 6.0)
    (row,) = made(gaia_file(), hip_line(10, 80.0, 10.0, 1.0, 4.0) + pair, stars_csv(STAR))
    assert (row["source"], row["epoch"], row["band"]) == ("Hipparcos", "1991.25", "Hp")
    near = hip_line(10, 80.0, 10.0, 700.0, 4.0)
    assert made(gaia_file(), near + pair, stars_csv(STAR)) == []


def test_rows_filled_in_from_another_epoch_are_not_taken() -> None:
    gaia = gaia_file((-10, 80.0, 10.0, 4.0), (2, 80.0, 10.0 + 12.0 * ARCSEC, 6.0))
    assert made(gaia, hip_line(10, 80.0, 10.0, 1.0, 4.0), stars_csv(STAR)) == []


def test_a_star_is_followed_along_its_motion_to_gaia() -> None:
    # 3" a year for 16 years; without it there would be no star where the table has it.
    moving = STAR.replace(",0,0,4.00", ",0,3000,4.00")
    dec = 10.0 + 48.0 * ARCSEC
    gaia = gaia_file((1, 80.0, dec, 4.0), (2, 80.0, dec + 5.0 * ARCSEC, 6.0))
    (row,) = made(gaia, hip_line(10, 80.0, 10.0, 1.0, 4.0), stars_csv(moving))
    assert row["separation_arcsec"] == "5"
    assert row["motion_arcsec_yr"] == "3"


def test_a_pair_by_hand_wins_and_needs_its_star() -> None:
    entered = {
        "magnitude": "3",
        "companion_magnitude": "5",
        "separation_arcsec": "9.7",
        "position_angle_deg": "63",
        "epoch": "2016",
        "period_years": "",
    }
    gaia = gaia_file((1, 80.0, 10.0, 4.0), (2, 80.0, 10.0 + 12.0 * ARCSEC, 6.0))
    hip2 = hip_line(10, 80.0, 10.0, 1.0, 4.0).encode()
    text = doubles.read(gaia, hip2, stars_csv(STAR), {"10": entered})
    (row,) = csv.DictReader(text.splitlines())
    assert (row["source"], row["band"], row["separation_arcsec"]) == ("by hand", "V", "9.7")
    with pytest.raises(ValueError, match="HIP 11"):
        doubles.read(gaia, hip2, stars_csv(STAR), {"11": entered})


def test_another_file_is_not_taken_for_gaia() -> None:
    with pytest.raises(ValueError, match="Gaia"):
        doubles.read(b"XXXX" + bytes(12), b"", stars_csv(), {})
