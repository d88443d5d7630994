"""What frames on disk would add: to which night, of which object, and what disagrees."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from logbook.kit.parts.part import Part
from logbook.records.entries import Frames, NewEntry, NightRecord, SiteRecord, TargetCopy
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.frames.plan import Wish
from logbook.store.frames.targets import match
from tests.clock import EVENING, Clock
from tests.store.frames.frames_around import add_all, frame, plan_of, some


@pytest.fixture(autouse=True)
def _frames_are_past(clock: Clock) -> None:
    """Set before the night begins; the night itself begins at the evening whatever the clock."""
    clock.forward(days=40)


@pytest.fixture
def where(book: Book, night: NightRecord) -> SiteRecord:
    return next(each for each in book.sites.all() if each.id == night.site_id)


# --- nights ---


def test_frames_go_to_the_night_of_their_time_though_it_ended(
    book: Book, night: NightRecord
) -> None:
    book.nights.end(night.id, EVENING + timedelta(hours=1))
    (planned,) = plan_of(book, some(3, 120)).to_add
    assert planned.night is not None
    assert planned.night.id == night.id


@pytest.mark.usefixtures("night")
def test_frames_after_midnight_are_of_the_same_night(book: Book) -> None:
    plan = plan_of(book, some(3, 6 * 60))
    assert [each.local_date for each in plan.to_add] == [date(2025, 10, 4)]


def test_frames_of_no_night_are_told_and_left_out(book: Book, where: SiteRecord) -> None:
    other_day = some(3, 3 * 24 * 60)
    plan = plan_of(book, [*some(2), *other_day], Wish(where))
    assert plan.new == 2
    assert [each.local_date for each in plan.without_night] == [date(2025, 10, 7)]
    assert len(add_all(book, [*some(2), *other_day], Wish(where))) == 1


def test_a_past_night_is_begun_only_when_asked_and_the_one_in_progress_goes_on(
    book: Book, night: NightRecord, where: SiteRecord
) -> None:
    assert night.train is not None
    old = [*some(2, -10 * 24 * 60), *some(2, -10 * 24 * 60 + 200, filter_name="OIII")]
    added = add_all(book, old, Wish(where, night.train, begin_nights=True))
    assert len(added) == 2
    begun = book.nights.on(date(2025, 9, 24))
    assert begun.train is not None
    assert (begun.site_id, begun.train.train.name) == (where.id, "Planet train")
    assert begun.started_utc == EVENING - timedelta(days=10)
    assert begun.ended_utc == EVENING - timedelta(days=10) + timedelta(minutes=207)
    in_progress = book.nights.in_progress()
    assert in_progress is not None
    assert in_progress.id == night.id


def test_of_two_nights_of_one_evening_the_wished_site_is_taken(
    book: Book, night: NightRecord, site: Site
) -> None:
    other = book.sites.add(replace(site, name="Far Moor"))
    second = book.nights.start(other.id, None, "", EVENING)
    (planned,) = plan_of(book, some(1)).to_add
    assert planned.night is not None
    assert planned.night.id == second.id
    assert "nights at Far Moor and Mill Hill" in " ".join(planned.warnings)
    (planned,) = plan_of(book, some(1), Wish(book.sites.named("Mill Hill"))).to_add
    assert planned.night is not None
    assert planned.night.id == night.id


@pytest.mark.usefixtures("night")
def test_a_clock_that_is_ahead_is_told_and_its_frames_are_left_out(
    book: Book, clock: Clock
) -> None:
    clock.now = EVENING + timedelta(hours=1)
    plan = plan_of(book, [*some(1), frame(90)])
    assert plan.new == 1
    assert "still to come" in plan.without_night[0].left_out


def test_an_hour_that_comes_twice_is_one_night(book: Book, site: Site, clock: Clock) -> None:
    """Clocks went back in Europe on 2025-10-26 at 01:00 UTC (EU directive 2000/84/EC)."""
    evening = datetime(2025, 10, 25, 18, 0, tzinfo=UTC)
    clock.now = evening
    night = book.nights.start(book.sites.add(site).id, None, "", evening)
    clock.forward(days=2)
    before = (evening - EVENING).total_seconds() / 60
    plan = plan_of(book, [frame(before + minutes) for minutes in range(60, 660, 20)])
    assert {each.night.id for each in plan.to_add if each.night} == {night.id}
    assert plan.new == 30


# --- objects ---


@pytest.mark.parametrize(
    "name", ["M31", "m 31", "NGC224", "NGC 224", "Andromeda Galaxy", "M31_panel-2"]
)
def test_an_object_is_known_by_any_usual_name(name: str) -> None:
    matched = match(frame(0, object_name=name), 0.5)
    assert matched.target is not None
    assert (matched.target.name, matched.how) == ("Andromeda Galaxy", "by name")


def test_the_moon_has_no_place_to_compare() -> None:
    matched = match(frame(0, object_name="Moon", ra_deg=10.0, dec_deg=20.0), 0.5)
    assert matched.target is not None
    assert (matched.target.name, matched.warning) == ("Moon", "")


def test_without_a_name_the_place_tells_and_how_far_is_said() -> None:
    matched = match(frame(0, object_name="", ra_deg=10.68, dec_deg=41.20), 0.5)
    assert matched.target is not None
    assert matched.target.name == "Andromeda Galaxy"
    assert matched.how == "by place, 4′ from the middle"


def test_an_unknown_name_is_told_and_the_place_taken() -> None:
    matched = match(frame(0, object_name="my field 3", ra_deg=10.68, dec_deg=41.20), 0.5)
    assert matched.target is not None
    assert "no object is called 'my field 3'" in matched.warning
    assert match(frame(0, object_name="my field 3"), 0.5).target is None


def test_a_name_and_a_place_that_cannot_both_be_are_told() -> None:
    matched = match(frame(0, object_name="M31", ra_deg=23.46, dec_deg=30.66), 0.5)
    assert matched.target is not None
    assert matched.target.name == "Andromeda Galaxy"
    # M 31 to M 33: 14.8 degrees, by the cosine rule from their coordinates
    assert "called M31, but points 14.8° away, at Triangulum Galaxy" in matched.warning
    assert match(frame(0, object_name="M31", ra_deg=10.9, dec_deg=41.5), 0.5).warning == ""


def test_darks_and_flats_are_of_no_object() -> None:
    assert match(frame(0, frame_type="flat", object_name="M31"), 0.5).target is None


# --- what the user logged ---


def test_frames_logged_by_hand_at_that_time_are_told(book: Book, night: NightRecord) -> None:
    at = EVENING + timedelta(minutes=45)
    book.timeline.keep(night.id, NewEntry("frames", at, "", frames=Frames(10, 180.0, "Ha")))
    (planned,) = plan_of(book, some(10)).to_add
    assert "10 × 180 s Ha (30 min) logged by hand at 21:45" in planned.warnings[0]
    assert plan_of(book, some(10, filter_name="OIII")).to_add[0].warnings == ()
    assert plan_of(book, some(10, 120)).to_add[0].warnings == ()


def test_frames_that_name_no_object_are_of_the_one_that_ran(book: Book, night: NightRecord) -> None:
    veil = TargetCopy("NGC 6960", "Veil Nebula", "supernova remnant", 312.75, 30.7)
    for minutes, action in ((20, "start"), (80, "stop")):
        at = EVENING + timedelta(minutes=minutes)
        book.timeline.keep(night.id, NewEntry("object", at, "", action=action, target=veil))
    nameless = [frame(minutes, object_name="") for minutes in (0, 60, 120)]
    planned = plan_of(book, nameless).to_add
    found = [each.matched.target and each.matched.target.name for each in planned]
    assert found == [None, "Veil Nebula", None]


# --- the train ---


@pytest.fixture
def _measured(book: Book, site: Site) -> None:
    """A night with a train of 1624 mm and a sensor of 4144 x 2822 px of 3.76 um: 0.478 arcsec."""
    tube = Part("Long Tube", "telescope").with_number("aperture_mm", 203)
    chip = Part("Small Chip", "camera").with_number("pixel_um", 3.76)
    chip = chip.with_number("width_px", 4144).with_number("height_px", 2822)
    parts = (tube.with_number("focal_length_mm", 1624), chip)
    ids = tuple(book.kit.add_part(part).id for part in parts)
    train = book.kit.add_train("Long train", "camera", ids)
    book.nights.start(book.sites.add(site).id, train.id, "", EVENING)


GOOD = {"width_px": 4144, "height_px": 2822, "pixel_um": 3.76, "focal_length_mm": 1624.0}


def warnings_of(book: Book, **values: object) -> str:
    (planned,) = plan_of(book, [frame(0, **(GOOD | values))]).to_add
    return "; ".join(planned.warnings)


@pytest.mark.usefixtures("_measured")
def test_frames_of_the_train_in_use_raise_no_flag(book: Book) -> None:
    assert warnings_of(book) == ""
    assert warnings_of(book, scale_arcsec_px=0.478) == ""
    binned = {"binning": 2, "width_px": 2072, "height_px": 1411}
    assert warnings_of(book, **binned, pixel_um=3.76) == ""
    assert warnings_of(book, **binned, pixel_um=7.52, scale_arcsec_px=0.955) == ""


@pytest.mark.usefixtures("_measured")
@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"focal_length_mm": 1088.0}, "focal length: 1088 mm in the frames, 1624 mm by the train"),
        ({"scale_arcsec_px": 0.71}, "image scale: 0.71″/px in the frames, 0.478″/px by the train"),
        ({"pixel_um": 4.63}, "pixel: 4.63 µm in the frames, 3.76 µm by the train's camera"),
        ({"width_px": 6248, "height_px": 4176}, "6248 x 4176 px in the frames, more than"),
        ({"binning": 2}, "4144 x 2822 px binned 2 in the frames, more than"),
    ],
)
def test_what_disagrees_with_the_train_is_flagged(
    book: Book, values: dict[str, object], words: str
) -> None:
    assert words in warnings_of(book, **values)


@pytest.mark.usefixtures("_measured")
def test_darks_say_nothing_of_the_telescope(book: Book) -> None:
    assert warnings_of(book, frame_type="dark", focal_length_mm=1000.0) == ""


@pytest.mark.usefixtures("_measured")
def test_a_part_of_the_sensor_is_a_region(book: Book) -> None:
    (planned,) = plan_of(book, [frame(0, **(GOOD | {"width_px": 640, "height_px": 480}))]).to_add
    entry = planned.entry_of(planned.new)
    assert entry.frames is not None
    assert entry.frames.region == "640x480"
