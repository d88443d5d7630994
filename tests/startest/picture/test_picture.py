"""Reading pictures: every form of one picture gives the same light; what is harmful is refused.

Limits of the formats: FITS standard 3.0 (Pence et al. 2010), PNG (ISO/IEC 15948), TIFF 6.0.
"""

import gzip
import os
import resource
import struct
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest
from astropy.io import fits
from numpy.typing import NDArray
from PIL import Image

from logbook.startest.picture.measure import measure_file
from logbook.startest.picture.picture import Picture, PictureRefused, is_picture_name
from logbook.startest.picture.read import read_picture

SHAPE = (60, 90)


def ramp() -> NDArray[np.uint16]:
    """Each pixel its own value, so that a turned or shifted reading shows."""
    return np.arange(SHAPE[0] * SHAPE[1], dtype=np.uint16).reshape(SHAPE) * 7


def bytes_ramp() -> NDArray[np.uint8]:
    return (ramp() // 256).astype(np.uint8)


def refusal(path: Path) -> str:
    with pytest.raises(PictureRefused) as caught:
        read_picture(path)
    return str(caught.value)


@pytest.mark.parametrize("kind", ["u1", "i2", "u2", "i4", "f4", "f8"])
def test_fits_of_every_depth(tmp_path: Path, kind: str) -> None:
    values = bytes_ramp().astype(kind) if kind == "u1" else ramp().astype(kind)
    fits.writeto(tmp_path / "a.fits", values)
    read = read_picture(tmp_path / "a.fits")
    np.testing.assert_array_equal(read.pixels, values.astype(np.float32))
    assert read.facts.form.startswith("FITS")
    assert (read.facts.width_px, read.facts.height_px) == (90, 60)


def test_fits_compressed_gzipped_and_in_an_extension(tmp_path: Path) -> None:
    image = fits.CompImageHDU(ramp().astype(np.int32), compression_type="RICE_1")
    fits.HDUList([fits.PrimaryHDU(), image]).writeto(tmp_path / "c.fits.fz")
    fits.HDUList([fits.PrimaryHDU(), fits.ImageHDU(ramp())]).writeto(tmp_path / "e.fits")
    fits.writeto(tmp_path / "g.fits.gz", ramp())
    for name in ("c.fits.fz", "e.fits", "g.fits.gz"):
        np.testing.assert_array_equal(read_picture(tmp_path / name).pixels, ramp())


def test_fits_in_three_colours_is_averaged(tmp_path: Path) -> None:
    planes = np.stack([ramp(), ramp() + 30, ramp() + 60]).astype(np.float32)
    fits.writeto(tmp_path / "c.fits", planes)
    read = read_picture(tmp_path / "c.fits")
    np.testing.assert_allclose(read.pixels, ramp() + 30.0)
    assert "colour" in read.facts.form


def test_fits_header_forms_of_real_cameras(tmp_path: Path) -> None:
    """Header forms as in astropy's sip-wcs.fits and ccdproc's a8280271.fits (both BSD-3): sensor
    temperature apart, 0.0 for what is not known, date and time in one or two cards."""
    frame = fits.PrimaryHDU(ramp())
    frame.header.update(
        {"OBJECT": " Vega\x7f".replace("\x7f", ""), "EXPTIME": 2.5, "FOCALLEN": 0.0}
    )
    frame.header.update({"DATE-OBS": "2013-07-13", "UT": "23:43:27.6", "APTDIA": 200.0})
    frame.header["XPIXSZ"] = 3.76
    frame.writeto(tmp_path / "h.fits")
    facts = read_picture(tmp_path / "h.fits").facts
    assert facts.object_name == "Vega"
    assert facts.exposure_s == 2.5
    assert facts.focal_length_mm is None
    assert facts.aperture_mm == 200.0
    assert facts.pixel_um == 3.76
    assert facts.taken_at is not None
    assert facts.taken_at.isoformat() == "2013-07-13T23:43:27.600000+00:00"


def test_old_style_dates_are_left_out_rather_than_guessed(tmp_path: Path) -> None:
    frame = fits.PrimaryHDU(ramp())
    frame.header["DATE-OBS"] = "19/05/94"
    frame.writeto(tmp_path / "o.fits")
    assert read_picture(tmp_path / "o.fits").facts.taken_at is None


@pytest.mark.parametrize("name", ["a.png", "a.tif"])
def test_sixteen_bit_grey(tmp_path: Path, name: str) -> None:
    Image.fromarray(ramp()).save(tmp_path / name)
    read = read_picture(tmp_path / name)
    np.testing.assert_array_equal(read.pixels, ramp())
    assert "16 bit" in read.facts.form


def test_tiff_of_floats(tmp_path: Path) -> None:
    Image.fromarray(ramp().astype(np.float32) / 65535).save(tmp_path / "f.tif")
    np.testing.assert_allclose(read_picture(tmp_path / "f.tif").pixels, ramp() / 65535, rtol=1e-6)


@pytest.mark.parametrize("mode", ["L", "RGB", "RGBA", "LA", "P"])
def test_eight_bit_grey_colour_alpha_and_palette(tmp_path: Path, mode: str) -> None:
    Image.fromarray(bytes_ramp()).convert(mode).save(tmp_path / "a.png")
    np.testing.assert_allclose(read_picture(tmp_path / "a.png").pixels, bytes_ramp(), atol=1)


def test_jpeg_in_colour_marks_what_is_clipped_in_one_of_them(tmp_path: Path) -> None:
    colour = np.zeros((64, 64, 3), dtype=np.uint8)
    colour[16:48, 16:48] = (255, 60, 60)
    Image.fromarray(colour).save(tmp_path / "a.jpg", quality=95)
    read = read_picture(tmp_path / "a.jpg")
    assert read.clipped is not None
    assert read.clipped[20:44, 20:44].mean() > 0.9
    assert not read.clipped[:10].any()


def test_a_phone_that_asks_to_turn_its_picture_is_told_and_not_followed(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    Image.fromarray(bytes_ramp()).save(tmp_path / "p.jpg", exif=exif, quality=95)
    read = read_picture(tmp_path / "p.jpg")
    assert read.pixels.shape == SHAPE
    assert any("as the sensor saw it" in note for note in read.notes)


def test_a_few_values_that_are_no_numbers_are_mended_and_told(tmp_path: Path) -> None:
    values = ramp().astype(np.float32)
    values[5, 5], values[20, 70] = np.nan, np.inf
    fits.writeto(tmp_path / "n.fits", values)
    read = read_picture(tmp_path / "n.fits")
    assert np.isfinite(read.pixels).all()
    assert read.pixels[5, 6] == values[5, 6]
    assert any("2 pixels" in note for note in read.notes)


def test_a_picture_of_no_numbers_is_refused(tmp_path: Path) -> None:
    fits.writeto(tmp_path / "n.fits", np.full(SHAPE, np.nan, dtype=np.float32))
    assert "not numbers" in refusal(tmp_path / "n.fits")


def png_header(width: int, height: int) -> bytes:
    """The start of a grey 8-bit PNG of that size, and no pixels."""
    header = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    chunk = struct.pack(">I", 13) + header + struct.pack(">I", zlib.crc32(header))
    body = b"IDAT" + zlib.compress(b"\0" * 10)
    data = struct.pack(">I", len(body) - 4) + body + struct.pack(">I", zlib.crc32(body))
    return b"\x89PNG\r\n\x1a\n" + chunk + data


def fits_header(*cards: str, end: bool = True) -> bytes:
    text = "".join(f"{card:80}" for card in (*cards, *(["END"] if end else [])))
    return text.encode("ascii").ljust(2880 * (1 + len(text) // 2880))


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("huge.png", png_header(12_500, 8_000), "100.0|crop"),
        ("bomb.png", png_header(200_000, 200_000), "crop"),
        ("tiny.png", png_header(5, 5), "only 5 × 5"),
        (
            "huge.fits",
            fits_header(
                "SIMPLE  =                    T", "BITPIX  =                   16",
                "NAXIS   =                    2", "NAXIS1  =                12500",
                "NAXIS2  =                 8000",
            ),
            "crop",
        ),
        (
            "cut.fits",
            fits_header(
                "SIMPLE  =                    T", "BITPIX  =                   16",
                "NAXIS   =                    2", "NAXIS1  =                  900",
                "NAXIS2  =                  800",
            ),
            "take it again",
        ),
        (
            "negative.fits",
            fits_header(
                "SIMPLE  =                    T", "BITPIX  =                   16",
                "NAXIS   =                    2", "NAXIS1  =                 -900",
                "NAXIS2  =                  800",
            ),
            "",
        ),
        ("endless.fits", fits_header("SIMPLE  =                    T", end=False), "without end"),
        ("text.fits", b"dear diary, tonight was cloudy\n" * 10, "FITS, PNG, JPEG or TIFF"),
        ("text.png", b"\x1b[31mdear diary\x1b[0m", "FITS, PNG, JPEG or TIFF"),
        ("empty.jpg", b"", "empty"),
        ("gzip.fits.gz", gzip.compress(b"no frame in here", mtime=0), "FITS, PNG, JPEG or TIFF"),
        ("broken.fits.gz", gzip.compress(b"SIMPLE  =" * 999, mtime=0)[:40], "take it again"),
    ],
)  # fmt: skip
def test_hostile_files_are_refused_with_what_to_do(
    tmp_path: Path, name: str, content: bytes, words: str
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    said = refusal(path)
    assert any(word in said for word in words.split("|"))
    assert "\x1b" not in said
    star = measure_file(path)
    assert (star.ok, star.refusal, star.file) == (False, "unreadable", name)


@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.tif", "a.fits"])
def test_a_picture_cut_off_in_the_middle_is_refused(tmp_path: Path, name: str) -> None:
    noise = np.random.default_rng(1).integers(0, 255, (300, 300), dtype=np.uint8)
    whole = tmp_path / name
    if name.endswith("fits"):
        fits.writeto(whole, noise)
    else:
        Image.fromarray(noise).save(whole)
    whole.write_bytes(whole.read_bytes()[: whole.stat().st_size // 2])
    assert "again" in refusal(whole)


def test_fits_without_an_image_and_a_stack_of_frames(tmp_path: Path) -> None:
    table = fits.BinTableHDU.from_columns([fits.Column("x", "E", array=np.zeros(3))])
    fits.HDUList([fits.PrimaryHDU(), table]).writeto(tmp_path / "t.fits")
    assert "without an image" in refusal(tmp_path / "t.fits")
    fits.writeto(tmp_path / "s.fits", np.zeros((7, 60, 90), dtype=np.uint8))
    assert "single frame" in refusal(tmp_path / "s.fits")


def test_a_gzipped_frame_that_unpacks_without_bound_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from logbook.startest.picture import fits_file

    monkeypatch.setattr(fits_file, "_MOST_UNPACKED", 1_000_000)
    start = fits_header("SIMPLE  =                    T")
    (tmp_path / "b.fits.gz").write_bytes(gzip.compress(start + b"\0" * 5_000_000))
    assert "unpacks to more than" in refusal(tmp_path / "b.fits.gz")


def test_folders_pipes_devices_and_what_is_not_there(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.png")
    assert "folder" in refusal(tmp_path)
    assert "no ordinary file" in refusal(tmp_path / "pipe.png")
    assert "no ordinary file" in refusal(Path("/dev/zero"))
    assert "not there" in refusal(tmp_path / "none.png")
    assert "not there" in refusal(tmp_path / "none.png" / "below.png")
    assert "cannot be read" in refusal(Path("zero\0byte.png"))
    assert "cannot be read" in refusal(Path("a" * 5000))


def test_a_hostile_name_is_shown_harmless(tmp_path: Path) -> None:
    star = measure_file(tmp_path / "\x1b[31m[red]x\n‮gnp.png")
    assert "\x1b" not in star.file + star.reason
    assert "\n" not in star.file + star.reason
    assert "‮" not in star.file + star.reason


def test_a_picture_of_a_hundred_megapixels_is_refused_before_its_pixels_are_read(
    tmp_path: Path,
) -> None:
    path = tmp_path / "real.png"
    Image.new("1", (12_500, 8_000)).save(path)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    said = refusal(path)
    grown_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    assert "crop" in said
    assert sys.platform != "linux" or grown_kb < 30_000


def test_which_names_are_pictures() -> None:
    names = ("a.FITS", "b.fit", "c.fits.fz", "d.png", "e.JPG", "f.jpeg", "g.tiff")
    assert all(is_picture_name(name) for name in names)
    assert not any(is_picture_name(name) for name in ("a.txt", "b", "c.fits.tmp", ".png.part"))


def test_a_picture_is_what_measuring_takes(tmp_path: Path) -> None:
    Image.fromarray(ramp()).save(tmp_path / "a.png")
    assert isinstance(read_picture(tmp_path / "a.png"), Picture)
