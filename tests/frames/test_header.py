"""What a frame says of itself: the forms of the standard, of observatories and of small cameras."""

import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from astropy.coordinates import Angle
from astropy.io import fits
from astropy.utils.data import get_pkg_data_filename

from logbook.errors import BadInput
from logbook.frames.fits_header import Card
from logbook.frames.header import Frame, angle_deg, frame_of, frame_type, read_frame
from tests.frames.made_frames import FIRST, write_frame


def frame_with(**cards: str | float | bool) -> Frame:
    """The frame of a header: a usual one with these cards besides."""
    usual: dict[str, str | float | bool] = {
        "DATE-OBS": "2025-10-04T20:03:00.000",
        "EXPTIME": 180.0,
        "NAXIS1": 6.0,
        "NAXIS2": 4.0,
    }
    given = usual | {name.replace("_", "-"): value for name, value in cards.items()}
    header = {
        name: Card(value if isinstance(value, str | bool) else float(value))
        for name, value in given.items()
    }
    return frame_of(header, Path("x.fits"))


def test_a_usual_frame_is_read_whole(tmp_path: Path) -> None:
    frame = read_frame(write_frame(tmp_path / "a.fits", FOCALLEN=1624.0, EGAIN=0.8))
    assert frame.exposed_utc == FIRST
    assert (frame.exposure_s, frame.frame_type, frame.object_name) == (180.0, "light", "M31")
    assert (frame.filter_name, frame.gain, frame.binning) == ("Ha", 100.0, 1)
    assert (frame.width_px, frame.height_px, frame.pixel_um) == (6, 4, 3.76)
    assert (frame.focal_length_mm, frame.electrons_per_adu) == (1624.0, 0.8)
    assert (frame.sensor_temperature_c, frame.focus_position) == (-10.0, 12340.0)


def test_a_real_frame_of_a_small_camera() -> None:
    """astropy's sip-wcs.fits (BSD-3): no OBJECT, FOCALLEN 0 for unknown, solved by hand later."""
    frame = read_frame(Path(get_pkg_data_filename("tests/data/sip-wcs.fits", "astropy.nddata")))
    assert frame.exposed_utc == datetime(2011, 9, 1, 2, 9, 5, tzinfo=UTC)
    assert (frame.exposure_s, frame.filter_name, frame.frame_type) == (120.0, "B", "light")
    assert (frame.object_name, frame.focal_length_mm, frame.pixel_um) == ("", None, 9.0)
    assert frame.sensor_temperature_c == pytest.approx(-19.0, abs=0.1)


def test_the_forms_of_a_one_metre_telescope() -> None:
    """As the frame of a southern observatory has them that ccdproc (BSD-3) tests with: a date
    without time beside UT, kelvin, blanks before the coordinates, electrons as GAIN."""
    header = {
        "DATE-OBS": Card("2013-07-13"),
        "UT": Card("20:15:30"),
        "EXPTIME": Card(150.04),
        "CCD-TEMP": Card(180.2),
        "RA": Card(" 17:47:28"),
        "DEC": Card(" -30:05:12"),
        "GAIN": Card(1.9, "CCD gain, e-/ADU"),
        "OBSTYPE": Card("object"),
        "NAXIS1": Card(520.0),
        "NAXIS2": Card(536.0),
    }
    frame = frame_of(header, Path("a.fits"))
    assert frame.exposed_utc == datetime(2013, 7, 13, 20, 15, 30, tzinfo=UTC)
    assert frame.sensor_temperature_c == pytest.approx(180.2 - 273.15, abs=0.01)
    assert frame.ra_deg == pytest.approx(Angle("17:47:28 hours").deg)
    assert frame.dec_deg == pytest.approx(Angle("-30:05:12 degrees").deg)
    assert (frame.gain, frame.electrons_per_adu) == (None, 1.9)


@pytest.mark.parametrize("keyword", ["EXPTIME", "EXPOSURE", "XPOSURE", "ONTIME"])
def test_exposure_under_each_of_its_names(keyword: str) -> None:
    header = {"DATE-OBS": Card("2025-10-04T20:03:00"), keyword: Card("60.0")}
    assert frame_of(header, Path("a.fits")).exposure_s == 60.0


TYPES = (
    ("LIGHT", "light"), ("Light Frame", "light"), ("object", "light"), ("science", "light"),
    ("Dark Frame", "dark"), ("DARK", "dark"), ("Dark Flat", "dark"), ("FlatDark", "dark"),
    ("Flat Field", "flat"), ("SKYFLAT", "flat"), ("Bias Frame", "bias"), ("zero", "bias"),
    ("", "light"),
)  # fmt: skip


@pytest.mark.parametrize(("words", "kind"), TYPES)
def test_the_type_is_free_text(words: str, kind: str) -> None:
    assert frame_type({"IMAGETYP": Card(words)}) == kind
    assert frame_type({"OBSTYPE": Card(words)}) == kind


def test_a_bias_frame_needs_no_exposure_and_a_light_frame_does() -> None:
    header = {"DATE-OBS": Card("2025-10-04T20:03:00"), "IMAGETYP": Card("BIAS")}
    assert frame_of(header, Path("a.fits")).exposure_s == 0.0
    with pytest.raises(BadInput, match="how long"):
        frame_of({"DATE-OBS": Card("2025-10-04T20:03:00")}, Path("a.fits"))


@pytest.mark.parametrize("card", [("IMAGETYP", "Master Dark"), ("STACKCNT", 20), ("NCOMBINE", 3)])
def test_a_stack_is_no_frame(card: tuple[str, str | float]) -> None:
    with pytest.raises(BadInput, match="several frames"):
        frame_with(**{card[0]: card[1]})


@pytest.mark.parametrize("name", ["", "None", "no filter", "N/A"])
def test_no_filter_has_no_name(name: str) -> None:
    assert frame_with(FILTER=name).filter_name is None


def test_gain_may_be_a_setting_or_electrons() -> None:
    setting = frame_with(GAIN=100, EGAIN=0.8)
    assert (setting.gain, setting.electrons_per_adu) == (100, 0.8)


@pytest.mark.parametrize(
    ("card", "binning"), [(("XBINNING", 2), 2), (("CCDSUM", "2 2"), 2), (("BINNING", "3x3"), 3)]
)
def test_binning_in_three_forms(card: tuple[str, str | int], binning: int) -> None:
    assert frame_with(**{card[0]: card[1]}).binning == binning


@pytest.mark.parametrize(
    "cards",
    [{"FOCALLEN": 0.0}, {"XPIXSZ": 0.0}, {"CCD_TEMP": 9999.0}, {"XBINNING": 0}, {"FOCUSPOS": "?"}],
)
def test_what_cannot_be_is_not_known(cards: dict[str, str | float]) -> None:
    frame = frame_with(**cards)
    assert frame.focal_length_mm is None
    assert frame.pixel_um is None
    assert frame.sensor_temperature_c is None
    assert frame.binning is None
    assert frame.focus_position is None


ANGLES = (
    ("00 42 44.3", "00:42:44.3", True),
    ("  0:42:44.33", "00:42:44.33", True),
    ("17h47m28s", "17:47:28", True),
    ("+41 16 09", "+41:16:09", False),
    ("-00:30:00", "-00:30:00", False),
    ("-89 59 59.9", "-89:59:59.9", False),
)


@pytest.mark.parametrize(("text", "same", "hours"), ANGLES)
def test_angles_are_what_astropy_reads(text: str, same: str, hours: bool) -> None:
    expected = Angle(same, unit="hourangle" if hours else "deg").deg
    assert angle_deg(Card(text), hours=hours) == pytest.approx(expected, abs=1e-9)


def test_plain_numbers_are_degrees() -> None:
    frame = frame_with(RA="10.6847", DEC=41.2688)
    assert (frame.ra_deg, frame.dec_deg) == (10.6847, 41.2688)


@pytest.mark.parametrize(
    "cards",
    [
        {"RA": "here", "DEC": "there"},
        {"RA": 10.0, "DEC": 95.0},
        {"OBJCTRA": "00 72 44", "OBJCTDEC": "+41 16 09"},
    ],
)
def test_a_place_that_cannot_be_is_not_known(cards: dict[str, str | float]) -> None:
    frame = frame_with(**cards)
    assert (frame.ra_deg, frame.dec_deg) == (None, None)


def test_the_solved_scale_is_astropys(tmp_path: Path) -> None:
    from astropy.wcs import WCS
    from astropy.wcs.utils import proj_plane_pixel_scales

    solved = {"CTYPE1": "RA---TAN", "CTYPE2": "DEC--TAN", "CRVAL1": 10.7, "CRVAL2": 41.3}
    solved |= {"CD1_1": -1.1e-4, "CD1_2": 0.7e-4, "CD2_1": 0.7e-4, "CD2_2": 1.1e-4}
    path = write_frame(tmp_path / "a.fits", FIRST, **solved)
    expected = proj_plane_pixel_scales(WCS(fits.getheader(path), fix=False))[0] * 3600.0
    frame = read_frame(path)
    assert frame.scale_arcsec_px == pytest.approx(expected)
    assert (frame.ra_deg, frame.dec_deg) == (10.7, 41.3)


# --- identity ---


def test_a_moved_renamed_or_packed_frame_is_the_same(tmp_path: Path) -> None:
    first = write_frame(tmp_path / "a.fits")
    frame = read_frame(first)
    other = tmp_path / "elsewhere" / "b.fit"
    other.parent.mkdir()
    shutil.copyfile(first, other)
    with fits.open(first) as opened:
        fits.CompImageHDU(opened[0].data, opened[0].header).writeto(tmp_path / "c.fits.fz")
    assert read_frame(other).identity == frame.identity
    assert read_frame(tmp_path / "c.fits.fz").identity == frame.identity


def test_a_calibrated_and_solved_copy_is_the_same_exposure(tmp_path: Path) -> None:
    first = write_frame(tmp_path / "a.fits")
    with fits.open(first) as opened:
        opened[0].header["HISTORY"] = "dark subtracted"
        opened[0].header["CRVAL1"] = 10.7
        opened[0].data = opened[0].data.astype("float32")
        opened.writeto(tmp_path / "b.fits")
    assert read_frame(tmp_path / "b.fits").identity == read_frame(first).identity


def test_the_next_frame_is_another(tmp_path: Path) -> None:
    one = read_frame(write_frame(tmp_path / "a.fits"))
    others = [
        read_frame(write_frame(tmp_path / "b.fits", FIRST + timedelta(seconds=180))),
        read_frame(write_frame(tmp_path / "c.fits", FILTER="OIII")),
        read_frame(write_frame(tmp_path / "d.fits", INSTRUME="guide camera")),
        read_frame(write_frame(tmp_path / "e.fits", IMAGETYP="DARK")),
    ]
    assert len({frame.identity for frame in (one, *others)}) == 5


def test_short_frames_of_one_second_are_told_apart_by_all_they_say(tmp_path: Path) -> None:
    one = read_frame(write_frame(tmp_path / "a.fits", EXPTIME=0.008, CCD_TEMP=-10.0))
    other = read_frame(write_frame(tmp_path / "b.fits", EXPTIME=0.008, CCD_TEMP=-10.1))
    assert one.identity != other.identity
