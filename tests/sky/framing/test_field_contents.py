"""What lies in the frame around an object, held against places in published catalogues."""

import numpy as np
import pytest

from logbook.sky.catalogue.objects import SkyObject, bright_stars, deep_sky
from logbook.sky.framing.field_contents import FrameView, Placed, frame_view
from logbook.sky.framing.framing import FieldOfView
from logbook.sky.framing.instrument import Instrument

FIELD = FieldOfView("wide", 500.0, 1.5, (1.5, 1.2))
STRAIGHT = Instrument(203.0, FIELD)
MIRRORED = Instrument(203.0, FIELD, mirrored=True)


def at(object_id: str) -> SkyObject:
    catalogue = deep_sky()
    return catalogue.at(catalogue.index_of(object_id))


def view(object_id: str, instrument: Instrument = STRAIGHT, angle_deg: float = 0.0) -> FrameView:
    found = frame_view(at(object_id), instrument, angle_deg=angle_deg)
    assert found is not None
    return found


def named(found: FrameView, object_id: str) -> Placed:
    return next(each for each in found.others if each.id == object_id)


def test_the_leo_trio_lies_as_on_every_chart() -> None:
    # Source: J2000 places, M 65 11h18m56s +13d05', M 66 11h20m15s +12d59', NGC 3628 11h20m17s
    # +13d35' (NED): from M 65, M 66 is 19.2' east and 6' south, NGC 3628 19.7' east and 30' north.
    found = view("NGC 3623")
    for other, east, north in (("NGC 3627", 19.2, -6.0), ("NGC 3628", 19.7, 30.0)):
        placed = named(found, other)
        assert (0.5 - placed.x) * 90.0 == pytest.approx(east, abs=0.5)
        assert (placed.y - 0.5) * 72.0 == pytest.approx(north, abs=0.5)
    assert (found.object.x, found.object.y) == (0.5, 0.5)
    assert found.object.id not in {each.id for each in found.others}


@pytest.mark.parametrize(
    ("mirrored", "angle_deg", "north_deg", "east_deg"),
    [
        (False, 0.0, 0.0, 270.0),  # north up, east left
        (True, 0.0, 0.0, 90.0),  # north up, east right
        (False, 90.0, 90.0, 0.0),  # east up, north right
        (True, 90.0, 270.0, 0.0),  # east up, north left
        (False, 30.0, 30.0, 300.0),
    ],
)
def test_north_and_east_are_shown_as_the_train_shows_them(
    mirrored: bool, angle_deg: float, north_deg: float, east_deg: float
) -> None:
    found = view("NGC 3623", MIRRORED if mirrored else STRAIGHT, angle_deg)
    assert (found.north_deg, found.east_deg) == pytest.approx((north_deg, east_deg))
    # And the neighbour in the north-east really lies that way.
    placed = named(found, "NGC 3628")
    right, up = (placed.x - 0.5) * 90.0, (placed.y - 0.5) * 72.0
    steps = np.radians([found.north_deg, found.east_deg])
    expected = 30.0 * np.array([np.sin(steps[0]), np.cos(steps[0])])
    expected += 19.7 * np.array([np.sin(steps[1]), np.cos(steps[1])])
    assert (right, up) == pytest.approx(tuple(expected), abs=0.6)


def test_a_mirrored_picture_is_the_other_one_seen_in_a_mirror() -> None:
    plain, mirrored = view("NGC 3623"), view("NGC 3623", MIRRORED)
    others = {each.id: each for each in mirrored.others}
    assert set(others) == {each.id for each in plain.others}
    for each in plain.others:
        assert others[each.id].x == pytest.approx(1.0 - each.x)
        assert others[each.id].y == pytest.approx(each.y)
        turn = others[each.id].turn_deg
        if each.turn_deg is not None and turn is not None:
            assert (turn + each.turn_deg) % 180.0 == pytest.approx(0.0, abs=1e-9)
    assert any("Mirrored" in words for words in mirrored.words)


def test_the_long_axis_turns_with_the_camera() -> None:
    # M 65 lies at position angle 173 (OpenNGC): a little clockwise of north, east being left.
    assert view("NGC 3623").object.turn_deg == pytest.approx(7.0)
    assert view("NGC 3623", angle_deg=83.0).object.turn_deg == pytest.approx(90.0)
    assert view("NGC 3623", MIRRORED).object.turn_deg == pytest.approx(173.0)


def test_bright_stars_in_the_frame_are_named() -> None:
    # Mu Andromedae is in no frame of 1 degree on M 31, nu is (1.1 degrees west of the core).
    found = frame_view(at("NGC 224"), Instrument(203.0, FieldOfView("w", 200.0, 3.0, (3.0, 2.0))))
    assert found is not None
    names = {each.name for each in found.others}
    assert "ν And" in names
    assert "μ And" not in names
    assert {"M 32", "M 110"} <= {name.split(" (")[-1].rstrip(")") for name in names}


def test_every_object_of_the_catalogue_inside_is_there() -> None:
    # A count with plain angles in Virgo, where right ascension hardly bends the frame.
    galaxy = at("NGC 4374")
    found = frame_view(galaxy, STRAIGHT, most=1000)
    assert found is not None
    wanted = set()
    for catalogue in (deep_sky(), bright_stars()):
        east = (catalogue.ra_deg - galaxy.ra_deg) * np.cos(np.radians(catalogue.dec_deg))
        north = catalogue.dec_deg - galaxy.dec_deg
        inside = (np.abs(east) < 0.745) & (np.abs(north) < 0.595)
        wanted |= {catalogue.ids[row] for row in np.flatnonzero(inside)}
    ids = {each.id for each in found.others}
    assert len(wanted) > 20
    assert wanted - {galaxy.id} <= ids
    assert len(ids) <= len(wanted) + 5
    assert all(each.inside for each in found.others)


def test_a_moved_frame_keeps_the_object_off_the_middle() -> None:
    found = frame_view(at("NGC 3623"), STRAIGHT, shift_deg=(0.3, -0.2))
    assert found is not None
    assert (found.object.x, found.object.y) == pytest.approx((0.5 + 0.2, 0.5 - 1.0 / 6.0), abs=1e-3)
    outside = frame_view(at("NGC 3623"), STRAIGHT, shift_deg=(2.0, 0.0))
    assert outside is not None
    assert not outside.object.inside


def test_faint_ones_are_left_out_when_asked_and_too_many_are_counted() -> None:
    all_of_it = frame_view(at("NGC 4374"), STRAIGHT)
    bright = frame_view(at("NGC 4374"), STRAIGHT, faintest_mag=11.0)
    few = frame_view(at("NGC 4374"), STRAIGHT, most=3)
    assert all_of_it is not None
    assert bright is not None
    assert few is not None
    assert len(bright.others) < len(all_of_it.others)
    assert all((each.magnitude or 0.0) <= 11.0 for each in bright.others)
    assert [each.id for each in few.others] == [each.id for each in all_of_it.others[:3]]
    assert any("3 most striking are shown" in words for words in few.words)


def test_what_is_not_known_is_said() -> None:
    assert frame_view(at("NGC 3623"), Instrument(203.0, None)) is None
    unknown = view("NGC 7000")
    assert any("Position angle unknown" in words for words in unknown.words)
    assert unknown.object.turn_deg is None
    assert any("Position angle unknown" in words for words in view("NGC 6720").words)  # one axis
    assert any("does not fit" in words for words in unknown.words)
