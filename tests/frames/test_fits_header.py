"""Headers are read as astropy reads them, within bounds, and nothing hostile does harm."""

import contextlib
import gzip
import os
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from astropy.io import fits
from astropy.utils.data import get_pkg_data_filename
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import BadInput
from logbook.frames.fits_header import BLOCK_BYTES, MOST_BLOCKS, Header, read_header
from tests.frames.made_frames import header_of, write_frame

ASCII = st.text(st.characters(min_codepoint=32, max_codepoint=126), max_size=60)
NUMBERS = st.integers(-(10**12), 10**12) | st.floats(allow_nan=False, allow_infinity=False)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("headers")


def block(*cards: str, end: bool = True) -> bytes:
    """A header as the standard lays it out: cards of 80, blocks of 2880."""
    text = "".join(f"{card:80.80}" for card in (*cards, *(["END"] if end else [])))
    return text.ljust(-(-len(text) // BLOCK_BYTES) * BLOCK_BYTES).encode("latin-1")


NEEDED = (
    "SIMPLE  =                    T",
    "BITPIX  =                    8",
    "NAXIS   =                    2",
    "NAXIS1  =                    6",
    "NAXIS2  =                    4",
)


def read_bytes(folder: Path, content: bytes) -> Header:
    path = folder / "given.fits"
    path.write_bytes(content)
    return read_header(path)


# --- against astropy ---


@given(ASCII, NUMBERS, st.booleans())
def test_what_astropy_writes_is_read_as_it_was_meant(
    folder: Path, words: str, number: float, flag: bool
) -> None:
    header = fits.Header([("WORDS", words, "a / comment"), ("NUMBER", number), ("FLAG", flag)])
    path = folder / "written.fits"
    fits.PrimaryHDU(np.zeros((2, 2)), header).writeto(path, overwrite=True)
    ours, theirs = read_header(path), fits.getheader(path)
    assert ours["WORDS"].value == words.rstrip()
    if theirs["WORDS"] == words.rstrip():  # astropy 8.0 takes a / after a doubled quote for an end
        assert ours["WORDS"].comment.strip() == theirs.comments["WORDS"]
    assert ours["NUMBER"].number == pytest.approx(theirs["NUMBER"], rel=1e-15)
    assert ours["FLAG"].value is theirs["FLAG"]


# Real files that travel with astropy (BSD-3): a small camera's frame, an old date, a mosaic camera
# with several pictures, a compressed picture.
REAL = (
    ("tests/data/sip-wcs.fits", "astropy.nddata", 0),
    ("tests/data/test0.fits", "astropy.io.fits", 1),
    ("tests/data/j94f05bgq_flt.fits", "astropy.wcs", 1),
    ("tests/data/comp.fits", "astropy.io.fits", 1),
)


@pytest.mark.parametrize(("name", "package", "extension"), REAL)
def test_real_headers_are_read_as_astropy_reads_them(
    name: str, package: str, extension: int
) -> None:
    path = Path(get_pkg_data_filename(name, package=package))
    ours = read_header(path)
    theirs = fits.getheader(path, 0)
    if extension:
        with fits.open(path, disable_image_compression=True) as opened:
            theirs.update(opened[extension].header)
    told_once = [each for each in theirs if list(theirs).count(each) == 1 and len(each) <= 8]
    compared = [each for each in told_once if each not in ("", "COMMENT", "HISTORY", "EXTEND")]
    assert len(compared) > 8
    for keyword in compared:
        value = theirs[keyword]
        if isinstance(value, str | bool | int | float):
            assert ours[keyword].value == value, keyword


def test_long_text_goes_on_in_the_next_cards(folder: Path) -> None:
    words = "a mosaic of the veil, " * 12
    path = write_frame(folder / "long.fits", OBJECT=words)
    assert read_header(path)["OBJECT"].value == words.rstrip()


def test_a_compressed_picture_has_the_size_it_had_before(folder: Path) -> None:
    path = folder / "packed.fits.fz"
    picture = np.arange(12000, dtype=np.uint16).reshape(100, 120)
    fits.CompImageHDU(picture, header_of(None)).writeto(path, overwrite=True)
    header = read_header(path)
    assert (header["ZNAXIS1"].value, header["ZNAXIS2"].value) == (120.0, 100.0)
    assert header["OBJECT"].text == "M31"


def test_a_file_packed_by_gzip_is_read(folder: Path) -> None:
    plain = write_frame(folder / "plain.fits")
    packed = folder / "plain.fits.gz"
    packed.write_bytes(gzip.compress(plain.read_bytes()))
    assert dict(read_header(packed)) == dict(read_header(plain))


def test_the_first_picture_counts_and_the_first_header_speaks_beside_it(folder: Path) -> None:
    first = fits.PrimaryHDU(header=fits.Header({"OBJECT": "M31", "FILTER": "L"}))
    table = fits.BinTableHDU.from_columns([fits.Column("x", "E", array=np.zeros(1000))])
    one = fits.ImageHDU(np.zeros((4, 6)), fits.Header({"FILTER": "Ha"}))
    two = fits.ImageHDU(np.zeros((9, 9)), fits.Header({"FILTER": "OIII"}))
    path = folder / "many.fits"
    fits.HDUList([first, table, one, two]).writeto(path, overwrite=True)
    header = read_header(path)
    assert (header["OBJECT"].text, header["FILTER"].text) == ("M31", "Ha")
    assert header["NAXIS1"].number == 6


# --- what is not as it should be ---

GOOD = block(*NEEDED) + bytes(24)
ENDLESS = block(*NEEDED, *["HISTORY x"] * 31, end=False) * 3600  # 10 MB
BAD = {
    "empty": (b"", "not a FITS file"),
    "words": (b"not a picture at all" * 400, "not a FITS file"),
    "escape sequences": (b"\x1b]0;owned\x07\x1b[2J" * 999, "not a FITS file"),
    "random bytes": (np.random.default_rng(5).bytes(9000), "not a FITS file"),
    "random after the first word": (
        b"SIMPLE  =" + np.random.default_rng(6).bytes(99_999),
        "cut off",
    ),
    "cut off in the header": (block(*NEEDED)[:2000], "cut off"),
    "cut off in the picture": (GOOD[:-5], "cut off"),
    "no end": (block(*NEEDED, end=False), "cut off"),
    "10 MB of header": (ENDLESS, "goes on for more than 1.2 MB"),
    "no picture": (block(NEEDED[0], NEEDED[1], "NAXIS   =                    0"), "no picture"),
    "picture of nothing": (block(*NEEDED[:3], "NAXIS1  = 0", "NAXIS2  = 4"), "no picture"),
    "picture of a number that is none": (block(*NEEDED[:3], "NAXIS1  = '<b>'"), "no picture"),
    "picture larger than all disks": (block(*NEEDED[:3], *["NAXIS1  = 1E300"] * 2), "no picture"),
    "axes beyond counting": (block(*NEEDED[:2], "NAXIS   = 999999999999"), "no picture"),
    "data less than nothing": (
        block(*NEEDED[:3], "NAXIS1  = 0", "PCOUNT  = -9"),
        "less than nothing",
    ),
    "gzip of zeros": (gzip.compress(bytes(50_000_000)), "not a FITS file"),
    "damaged gzip": (b"\x1f\x8b" + bytes(500), "compression is damaged"),
}


@pytest.mark.parametrize("case", BAD)
def test_a_file_that_is_no_frame_is_refused_with_the_reason(tmp_path: Path, case: str) -> None:
    content, reason = BAD[case]
    with pytest.raises(BadInput, match=reason):
        read_bytes(tmp_path, content)


@pytest.mark.parametrize("case", ["10 MB of header", "gzip of zeros"])
def test_memory_is_bounded_whatever_the_file_holds(tmp_path: Path, case: str) -> None:
    path = tmp_path / "large.fits"
    path.write_bytes(BAD[case][0])
    tracemalloc.start()
    try:
        with pytest.raises(BadInput):
            read_header(path)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 4 * MOST_BLOCKS * BLOCK_BYTES


@given(st.binary(max_size=400))
def test_any_bytes_among_the_cards_do_no_harm(folder: Path, junk: bytes) -> None:
    content = (block(*NEEDED, end=False)[:400] + junk).ljust(BLOCK_BYTES)
    header: Header = {}
    with contextlib.suppress(BadInput):  # a card among them may say that there is no picture
        header = read_bytes(folder, content[:BLOCK_BYTES] + block() + bytes(24))
    for card in header.values():
        assert card.text.isprintable()


def test_text_comes_out_clean(folder: Path) -> None:
    cards = (
        "OBJECT  = '\x1b[31mM31\x07 [bold]'",
        "FILTER  = 'H\xe4'",  # Latin-1, beside the standard
        "OBSERVER= 'not closed",
        "BAD     = 1_000",
        "INFINITE= 1E999",
    )
    header = read_bytes(folder, block(*NEEDED, *cards) + bytes(24))
    assert header["OBJECT"].text == "[31mM31 [bold]"
    assert header["FILTER"].text == "Hä"
    assert header["OBSERVER"].text == "not closed"
    assert header["BAD"].number is None
    assert header["INFINITE"].number is None


def test_of_two_cards_with_one_keyword_the_first_counts(folder: Path) -> None:
    header = read_bytes(folder, block(*NEEDED, "GAIN    = 1", "GAIN    = 2") + bytes(24))
    assert header["GAIN"].number == 1


# --- files that are none ---


def test_a_pipe_a_device_and_a_folder_are_not_opened(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.fits"
    os.mkfifo(pipe)
    (tmp_path / "folder.fits").mkdir()
    (tmp_path / "device.fits").symlink_to("/dev/zero")
    for path in (pipe, tmp_path / "folder.fits", tmp_path / "device.fits"):
        with pytest.raises(BadInput, match="not a plain file"):
            read_header(path)


def test_a_link_that_leads_to_itself_is_an_error_of_the_system(tmp_path: Path) -> None:
    (tmp_path / "a.fits").symlink_to(tmp_path / "b.fits")
    (tmp_path / "b.fits").symlink_to(tmp_path / "a.fits")
    with pytest.raises(OSError, match=r".+"):
        read_header(tmp_path / "a.fits")


def test_the_file_is_closed_at_once_and_not_changed(tmp_path: Path) -> None:
    path = write_frame(tmp_path / "kept.fits")
    path.chmod(0o400)
    before, content = path.stat(), path.read_bytes()
    read_header(path)
    after = path.stat()
    assert (before.st_mtime_ns, before.st_size, before.st_mode) == (
        after.st_mtime_ns,
        after.st_size,
        after.st_mode,
    )
    assert path.read_bytes() == content
    if Path("/proc/self/fd").exists():
        open_files = [
            os.readlink(each) for each in Path("/proc/self/fd").iterdir() if each.exists()
        ]
        assert str(path) not in open_files
