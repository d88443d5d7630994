"""Framings: an object's outline and a train's frame, as they lie on the sky."""

import math
import re

import astropy.units as u
import pytest
from astropy.coordinates import SkyCoord

from logbook.kit.parts.part import Part, Train
from logbook.records.entries import TargetCopy, TrainRecord
from logbook.report.render.document import FramingSketch
from logbook.report.render.sketches import framing_of
from logbook.report.render.svg_sketches import framing_svg
from tests.clock import EVENING

SIZE = r'cx="([\d.]+)" cy="([\d.]+)" rx="([\d.]+)" ry="([\d.]+)"'
TURN = r"rotate\((-?[\d.]+) "


def long_train() -> TrainRecord:
    tube = Part("Tube", "telescope").with_number("aperture_mm", 200)
    tube = tube.with_number("focal_length_mm", 1600)
    chip = Part("Chip", "camera").with_number("pixel_um", 3.76)
    chip = chip.with_number("width_px", 6248).with_number("height_px", 4176)
    train = Train("Long", "camera", (tube, chip))
    return TrainRecord(1, "", 1, 1, train, (1, 2), EVENING)


def target(
    major: float | None, minor: float | None = None, angle: float | None = None
) -> TargetCopy:
    return TargetCopy(
        "X 1",
        "Spindle",
        "galaxy",
        30.0,
        35.0,
        major_arcmin=major,
        minor_arcmin=minor,
        position_angle_deg=angle,
    )


def sketch(found: FramingSketch | None) -> tuple[FramingSketch, str]:
    assert found is not None
    return found, framing_svg(found, "f")


def turned(svg: str, tag: str) -> float:
    """By how many degrees a shape is turned with the clock."""
    found = re.search(rf"<{tag}[^>]*{TURN}", svg)
    return float(found[1]) if found else 0.0


@pytest.mark.parametrize("angle", [10.0, 62.0, 118.0, 170.0])
def test_the_long_axis_points_where_astropy_finds_it_on_the_sky(angle: float) -> None:
    """Position angles run from north through east; the reference is astropy's own offset."""
    _, svg = sketch(framing_of(target(20.0, 5.0, angle), long_train()))
    middle = SkyCoord(30.0 * u.deg, 35.0 * u.deg)
    east, north = middle.spherical_offsets_to(
        middle.directional_offset_by(angle * u.deg, 1.0 * u.arcmin)
    )
    # On the sketch north is up and east left; SVG turns the upright axis with the clock.
    toward_right, toward_top = -east.arcmin, north.arcmin
    drawn = math.radians(turned(svg, "ellipse"))
    assert math.sin(drawn) == pytest.approx(toward_right, abs=1e-3)
    assert math.cos(drawn) == pytest.approx(toward_top, abs=1e-3)


def test_object_frame_and_bar_are_drawn_to_one_scale() -> None:
    found, svg = sketch(framing_of(target(20.0, 5.0, 90.0), long_train()))
    *_, rx, ry = (float(each) for each in re.search(SIZE, svg).groups())  # type: ignore[union-attr]
    frame = re.search(r'<rect class="frame"[^>]* width="([\d.]+)" height="([\d.]+)"', svg)
    bar = re.search(r"v8M14.0 [\d.]+H([\d.]+)M[^>]*/><text[^>]*>(\d+)′", svg)
    assert frame is not None
    assert bar is not None
    px_deg = float(frame[1]) / found.field_deg[0]
    assert float(frame[2]) / found.field_deg[1] == pytest.approx(px_deg, rel=2e-3)
    assert 2 * ry / (20.0 / 60.0) == pytest.approx(px_deg, rel=5e-3)
    assert rx / ry == pytest.approx(0.25, rel=1e-2)
    assert (float(bar[1]) - 14.0) / (float(bar[2]) / 60.0) == pytest.approx(px_deg, rel=5e-3)


@pytest.mark.parametrize("angle", [10.0, 62.0, 118.0, 170.0])
def test_the_frame_is_laid_along_the_object_and_said_to_be_laid(angle: float) -> None:
    """Its long side is square to its up, so up lies a quarter turn from the long axis."""
    found, svg = sketch(framing_of(target(20.0, 5.0, angle), long_train()))
    assert abs((found.frame_angle_deg - angle) % 180.0) == pytest.approx(90.0)
    assert -90.0 <= found.frame_angle_deg <= 90.0
    assert turned(svg, "g") == pytest.approx(-found.frame_angle_deg)
    assert "camera's own angle not being in the book" in found.told
    assert f"long axis at {angle:.0f}°" in found.told


def test_what_is_not_known_is_drawn_plainly_and_said() -> None:
    round_one, round_svg = sketch(framing_of(target(20.0, 5.0), long_train()))
    assert "its direction not known: drawn round" in round_one.told
    *_, rx, ry = (float(each) for each in re.search(SIZE, round_svg).groups())  # type: ignore[union-attr]
    assert rx == ry
    nothing, cross = sketch(framing_of(target(None), long_train()))
    assert "its size is not known" in nothing.told
    assert "<ellipse" not in cross
    assert framing_of(target(20.0), None) is None


def test_an_object_many_times_the_field_leaves_the_frame_to_be_seen() -> None:
    _, svg = sketch(framing_of(target(1200.0, 900.0, 30.0), long_train()))
    frame = re.search(r'<rect class="frame"[^>]* width="([\d.]+)"', svg)
    assert frame is not None
    assert float(frame[1]) > 40.0
