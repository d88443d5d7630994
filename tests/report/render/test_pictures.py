"""Pictures in a page: whole ones are shrunk into it, all others are harmless and named."""

import base64
import io
import os
from pathlib import Path

import numpy as np
import pytest
from astropy.io import fits
from numpy.typing import NDArray
from PIL import Image

from logbook.report.render.document import StarPicture
from logbook.report.render.pictures import Embedded, NoPicture, photograph, star_picture
from logbook.startest.result import Circle

ORIENTATION = 0x0112  # Exif 2.3, table 4: tag 274; 6 is shown turned a quarter with the clock
DISC, SHADOW = Circle(210.0, 145.0, 60.0), Circle(222.0, 151.0, 20.0)


def seen(shown: Embedded) -> Image.Image:
    head, _, held = shown.address.partition(",")
    assert head in ("data:image/png;base64", "data:image/jpeg;base64")
    image = Image.open(io.BytesIO(base64.b64decode(held)))
    assert image.size == (shown.width_px, shown.height_px)
    return image


def star() -> NDArray[np.uint16]:
    y, x = np.mgrid[0:300, 0:400]
    disc = np.hypot(x - DISC.x_px, y - DISC.y_px) <= DISC.radius_px
    shadow = np.hypot(x - SHADOW.x_px, y - SHADOW.y_px) <= SHADOW.radius_px
    brightness: NDArray[np.uint16] = (300 + 20000 * (disc & ~shadow)).astype(np.uint16)
    return brightness


@pytest.mark.parametrize("name", ["star.fits", "star.png", "star.tif"])
def test_the_star_is_shown_as_stored_with_its_circles_on_it(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    if path.suffix == ".fits":
        fits.writeto(path, star())
    else:
        Image.fromarray(star()).save(path)
    shown = star_picture(StarPicture(str(path), DISC, SHADOW, (400, 300)), None)
    pixels = np.asarray(seen(shown).convert("L"))
    assert max(pixels.shape) == 320
    assert shown.disc is not None
    assert shown.shadow is not None
    rows, columns = np.nonzero(pixels > 128)
    assert rows.max() - rows.min() == pytest.approx(2 * shown.disc.radius_px, abs=3)
    assert (columns.max() + columns.min()) / 2 == pytest.approx(shown.disc.x_px, abs=2)
    assert pixels[round(shown.shadow.y_px), round(shown.shadow.x_px)] < 50


def test_a_picture_that_was_never_measured_is_shown_whole_without_circles(tmp_path: Path) -> None:
    Image.fromarray(star()).save(tmp_path / "star.png")
    shown = star_picture(StarPicture("star.png"), tmp_path)
    assert (shown.width_px, shown.height_px) == (320, 240)
    assert shown.disc is None


def test_another_picture_of_the_same_name_is_not_taken_for_the_measured_one(
    tmp_path: Path,
) -> None:
    Image.fromarray(star()).save(tmp_path / "star.png")
    with pytest.raises(NoPicture, match=r"another picture lies where star\.png"):
        star_picture(StarPicture("star.png", DISC, SHADOW, (640, 480)), tmp_path)


def test_a_photograph_is_small_upright_and_says_nothing_of_its_place(tmp_path: Path) -> None:
    notes = Image.Exif()
    notes[ORIENTATION] = 6
    notes.get_ifd(0x8825)[2] = (50.0, 3.0, 12.0)  # latitude
    large = Image.new("RGB", (3000, 2000), (200, 30, 30))
    large.paste((30, 30, 200), (0, 0, 3000, 300))  # what is stored on top
    large.save(tmp_path / "felt.jpg", exif=notes)
    shown = photograph("felt.jpg", tmp_path)
    image = seen(shown).convert("RGB")
    assert (shown.width_px, shown.height_px) == (667, 1000)
    red, _, blue = image.getpixel((660, 500))  # type: ignore[misc]
    assert blue > red, "what was stored on top stands right"
    assert not image.getexif()
    assert len(shown.address) < 100_000


def hostile_files(folder: Path) -> dict[str, str]:
    """Paths as a book may hold them, and a word of what is shown for each."""
    (folder / "letter.jpg").write_text("dear all", encoding="utf-8")
    (folder / "empty.png").write_bytes(b"")
    (folder / "drawing.svg").write_text("<svg onload='alert(1)'/>", encoding="utf-8")
    whole = io.BytesIO()
    Image.new("RGB", (900, 700), (9, 99, 9)).save(whole, "JPEG")
    (folder / "cut.jpg").write_bytes(whole.getvalue()[:700])
    bomb = io.BytesIO()
    Image.new("1", (20_000, 20_000)).save(bomb, "PNG")
    (folder / "bomb.png").write_bytes(bomb.getvalue())
    os.mkfifo(folder / "pipe.jpg")
    return {
        "letter.jpg": "no whole JPEG or PNG",
        "empty.png": "no whole JPEG or PNG",
        "drawing.svg": "no whole JPEG or PNG",
        "cut.jpg": "no whole JPEG or PNG",
        "bomb.png": "64 million pixels",
        "pipe.jpg": "no ordinary file",
        "/dev/zero": "no ordinary file",
        ".": "no ordinary file",
        "gone.jpg": "not there any more",
        "a\0b.jpg": "not there any more",
        "x" * 900: "not there any more",
        "https://example.org/x.png": "not there any more",
        "//server/share/x.png": "another machine",
        "\\\\server\\share\\x.png": "another machine",
        "~nobody-of-that-name/x.png": "not known here",
    }


def test_what_is_gone_or_no_photograph_is_harmless_and_said(tmp_path: Path) -> None:
    for path, words in hostile_files(tmp_path).items():
        with pytest.raises(NoPicture, match=words):
            photograph(path, tmp_path)


def test_what_is_gone_or_no_star_is_harmless_and_said(tmp_path: Path) -> None:
    for path in hostile_files(tmp_path):
        with pytest.raises(NoPicture):
            star_picture(StarPicture(path, DISC, SHADOW), tmp_path)


def test_a_path_cannot_put_its_marks_into_what_is_said(tmp_path: Path) -> None:
    with pytest.raises(NoPicture) as said:
        photograph("x\x1b[2J\u202egnp.exe", tmp_path)
    assert "\x1b" not in str(said.value)
    assert "\u202e" not in str(said.value)
