"""A correction changes what its changed words speak of, and nothing besides."""

from dataclasses import replace
from datetime import timedelta

from logbook.entryline.correct import before_entry, corrected, retimed
from logbook.entryline.understand import timed_again, understand
from logbook.records.entries import EntryRecord, Frames, LookDetail, NewEntry, StarLook, Turn
from tests.entryline.lines import AROUND, M31, M81, NOW

ZONE = AROUND.time_zone
THEN = NOW - timedelta(hours=2, seconds=5.5)
FROM_DISK = NewEntry(
    "frames",
    THEN,
    "20 x 180s filter Ha gain 100; Andromeda Galaxy, from disk 21:39 to 22:43 UTC",
    target=M31,
    readings=(("sensor_temperature_c", -10.0), ("focus_position", 12340.0)),
    frames=Frames(20, 180.0, "Ha", gain=100.0),
)


def after(own: NewEntry, old: str, new: str) -> NewEntry:
    """`own` after `old` in its line was changed to `new`; M 81 runs now."""
    line = timed_again(own.text, own.happened_utc, ZONE)
    assert old in line
    changed = understand(line.replace(old, new, 1), AROUND)
    assert changed.entry is not None, changed.problem
    return corrected(own, understand(line, AROUND).entry, changed.entry)


def test_frames_from_disk_keep_their_object_their_time_and_their_readings() -> None:
    made = after(FROM_DISK, "20 x", "19 x")
    assert made.frames == Frames(19, 180.0, "Ha", gain=100.0)
    assert (made.target, made.happened_utc) == (M31, THEN)
    assert made.readings == FROM_DISK.readings
    assert made.text.startswith("at 21:39:54 19 x 180s")


def test_a_changed_time_moves_it_and_leaves_the_object() -> None:
    made = after(FROM_DISK, "at 21:39:54", "at 21:10")
    assert made.happened_utc == NOW.replace(hour=21, minute=10)
    assert (made.target, made.frames) == (M31, FROM_DISK.frames)


def test_an_object_that_is_named_anew_is_taken() -> None:
    begun = NewEntry("object", THEN, "start m31", action="start", target=M31)
    assert after(begun, "m31", "m81").target == M81


def test_a_look_from_a_picture_keeps_what_the_picture_gave() -> None:
    look = StarLook(0.1234, 41.7, 0.004, 88.0, way="picture", detail=LookDetail(disc_x_px=512.5))
    own = NewEntry("star", THEN, "shadow 0.12 toward 4 o'clock", look=look)
    made = after(own, "4 o'clock", "4 o'clock on Vega")
    assert made.look == replace(look, star="Vega")


def test_a_turn_keeps_which_turn_it_put_back() -> None:
    own = NewEntry("turn", THEN, "turn A loosen 1/8", turn=Turn("A", -0.125, None, 7))
    assert after(own, "1/8", "1/4").turn == Turn("A", -0.25, None, 7)


def test_a_reading_is_changed_taken_out_or_put_in() -> None:
    own = NewEntry(
        "reading",
        THEN,
        "air 4.2 mirror 7.9",
        readings=(("air_temperature_c", 4.2), ("mirror_temperature_c", 7.9)),
    )
    assert dict(after(own, "7.9", "8.1").readings)["mirror_temperature_c"] == 8.1
    assert after(own, " mirror 7.9", "").readings == (("air_temperature_c", 4.2),)
    assert ("humidity_percent", 81.0) in after(own, "7.9", "7.9 humidity 81").readings


def test_another_kind_of_line_is_that_kind_at_the_old_time() -> None:
    made = after(NewEntry("note", THEN, "note cloud"), "note cloud", "cloud 30%")
    assert (made.kind, made.readings) == ("conditions", (("cloud_percent", 30.0),))
    assert made.happened_utc == THEN


def test_what_happened_later_is_not_around_when_a_line_is_read_again() -> None:
    notes = [NewEntry("note", NOW + timedelta(minutes=n), f"note {n}") for n in range(4)]
    line = tuple(EntryRecord(n, str(n), 1, NOW, note) for n, note in enumerate(notes))
    assert before_entry(line, line[2]) == line[:2]


def test_a_line_that_no_reader_reads_may_still_be_moved_or_remarked_on() -> None:
    look = StarLook(0.12, 41.0, way="picture")
    own = NewEntry("star", THEN, "star measured in vega-01.fits", look=look)
    line = timed_again(own.text, THEN, ZONE)
    moved = retimed(own, line, line.replace("21:39:54", "21:20") + "; hazy", AROUND)
    assert moved is not None
    assert (moved.look, moved.happened_utc.minute) == (look, 20)
    remarked = retimed(own, line, f"{line}; hazy", AROUND)
    assert remarked is not None
    assert remarked.happened_utc == THEN
    assert retimed(own, line, line.replace("vega", "deneb"), AROUND) is None
