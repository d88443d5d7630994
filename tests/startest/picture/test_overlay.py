"""The drawn circles lie on the edges of the drawn disc."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from logbook.startest.picture.overlay import overlay, write_overlay_file, write_overlay_png
from logbook.startest.picture.picture import Picture
from logbook.startest.result import Circle, Facts, StarMeasure

DISC, SHADOW = Circle(310.0, 205.0, 80.0), Circle(316.0, 200.0, 30.0)


def ring() -> Picture:
    y, x = np.indices((420, 640))
    inside = np.hypot(x - DISC.x_px, y - DISC.y_px) < DISC.radius_px
    inside &= np.hypot(x - SHADOW.x_px, y - SHADOW.y_px) > SHADOW.radius_px
    return Picture((100.0 + 1000.0 * inside).astype(np.float32), Facts(640, 420, ""))


def star() -> StarMeasure:
    return StarMeasure("ring.png", ok=True, disc=DISC, shadow=SHADOW, offset_fraction=0.1)


@pytest.mark.parametrize(("columns", "rows"), [(60, 40), (40, 40), (200, 120), (20, 60)])
def test_the_circles_follow_the_edges_at_every_size(columns: int, rows: int) -> None:
    shown = overlay(ring(), star(), columns, rows)
    assert shown.grey.shape[1] <= columns
    assert shown.grey.shape[0] <= rows
    assert max(shown.grey.shape[1] / columns, shown.grey.shape[0] / rows) > 0.9
    assert shown.disc is not None
    assert shown.shadow is not None
    places = np.indices(shown.grey.shape)
    y, x = places[0], places[1]
    inside = np.hypot(x - shown.disc.x_px, y - shown.disc.y_px) < shown.disc.radius_px
    inside &= np.hypot(x - shown.shadow.x_px, y - shown.shadow.y_px) > shown.shadow.radius_px
    bright = shown.grey > 127
    edge_pixels = 2 * np.pi * (shown.disc.radius_px + shown.shadow.radius_px)
    assert (bright != inside).sum() <= 0.5 * edge_pixels
    assert abs(x[bright].mean() - x[inside].mean()) < 0.25
    assert abs(y[bright].mean() - y[inside].mean()) < 0.25


def test_a_refused_picture_is_shown_whole_without_circles() -> None:
    shown = overlay(ring(), StarMeasure("ring.png", ok=False), 64, 42)
    assert shown.grey.shape == (42, 64)
    assert shown.disc is None
    assert shown.shadow is None


def test_a_star_at_the_corner_is_still_shown() -> None:
    corner = StarMeasure("a", ok=True, disc=Circle(10, 10, 80), shadow=Circle(10, 10, 30))
    assert overlay(ring(), corner, 50, 50).grey.size > 0


def test_the_drawing_is_a_colour_png(tmp_path: Path) -> None:
    write_overlay_png(ring(), star(), tmp_path / "o.png")
    with Image.open(tmp_path / "o.png") as drawn:
        colours = np.asarray(drawn.convert("RGB"))
    assert (colours[..., 0] != colours[..., 2]).sum() > 1000


def test_the_drawing_of_a_file_is_named_after_it_and_lies_in_the_folder(tmp_path: Path) -> None:
    Image.fromarray(ring().pixels.astype(np.uint16)).save(tmp_path / "ring.png")
    target = write_overlay_file(tmp_path / "ring.png", star(), tmp_path)
    assert target == tmp_path / "ring.png-measured.png"
    assert target.is_file()
    assert write_overlay_file(tmp_path / "none.png", star(), tmp_path) is None
