"""What is going on in a night, read off its entries."""

from dataclasses import replace
from datetime import timedelta

import pytest

from logbook.entryline.seeing_scales import ANTONIADI, OF_FIVE, PICKERING, scale_words
from logbook.records.entries import EntryRecord, Frames, NewEntry, TargetCopy
from logbook.records.runs import runs
from logbook.store.history.tonight import frames_run, has_conditions, is_paused
from tests.clock import EVENING

M31 = TargetCopy("NGC 224", "Andromeda Galaxy", "galaxy", 10.7, 41.3)
MOON = TargetCopy("Moon", "Moon", "moon", None, None)
START = NewEntry("object", EVENING, "start m31", action="start", target=M31)


def night(*entries: tuple[float, NewEntry]) -> list[EntryRecord]:
    """A timeline: minutes after the evening began, and what happened."""
    records = []
    for place, (minutes, entry) in enumerate(entries, 1):
        at = EVENING + timedelta(minutes=minutes)
        content = replace(entry, happened_utc=at)
        records.append(EntryRecord(place, f"entry {place}", 1, at, content))
    return records


def frames(count: int, wanted: int | None, kind: str = "light") -> NewEntry:
    return NewEntry(
        "frames",
        EVENING,
        "frames",
        target=M31,
        frames=Frames(count, 180.0, frame_type=kind, wanted_count=wanted),
    )


def air(value: float) -> NewEntry:
    return NewEntry("reading", EVENING, "air", readings=(("air_temperature_c", value),))


def test_a_run_of_frames_goes_on_until_all_are_through() -> None:
    run = frames_run(night((0, START), (10, frames(4, 30))))
    assert run is not None
    at = EVENING + timedelta(minutes=10)
    assert run.end_utc == at + timedelta(minutes=78)
    assert [run.done_by(at + timedelta(minutes=each)) for each in (-5, 0, 2, 3, 78, 500)] == [
        4, 4, 4, 5, 30, 30,
    ]  # fmt: skip
    assert run.left_at(at + timedelta(minutes=3)) == 25


def test_a_film_ends_by_its_rate() -> None:
    film = NewEntry("frames", EVENING, "film")
    film = replace(film, frames=Frames(0, 0.008, frames_per_second=50.0, wanted_count=3000))
    run = frames_run(night((0, START), (10, film)))
    assert run is not None
    assert run.end_utc == EVENING + timedelta(minutes=11)


@pytest.mark.parametrize(
    "entries",
    [
        ((0, START),),
        ((0, START), (1, frames(30, 30))),
        ((0, START), (1, frames(20, None))),
        ((0, START), (1, frames(0, 30, "dark"))),
        ((0, START), (1, frames(4, 30)), (9, NewEntry("object", EVENING, "stop", action="stop"))),
        ((1, frames(4, 30)), (9, START)),
        ((1, frames(4, 30)),),
    ],
)
def test_what_is_through_stopped_or_of_another_object_is_no_run(
    entries: tuple[tuple[float, NewEntry], ...],
) -> None:
    assert frames_run(night(*entries)) is None


def test_pauses_and_conditions() -> None:
    pause, back = (NewEntry("break", EVENING, "", action=each) for each in ("start", "stop"))
    timeline = night((0, air(8.0)), (5, air(7.0)), (6, pause))
    assert has_conditions(timeline)
    assert not has_conditions(night((0, START)))
    assert is_paused(timeline)
    assert not is_paused(night((0, pause), (1, back)))


def test_frames_count_for_the_object_that_they_are_of() -> None:
    moon = NewEntry("object", EVENING, "start moon", action="start", target=MOON)
    found = runs(night((0, START), (10, moon), (20, frames(5, None))))
    assert [(run.target.name, run.frames) for run in found] == [
        ("Andromeda Galaxy", 5),
        ("Moon", 0),
    ]


def test_every_step_of_the_scales_has_words_of_its_own() -> None:
    assert [sorted(each) for each in (ANTONIADI, PICKERING, OF_FIVE)] == [
        [1, 2, 3, 4, 5],
        list(range(1, 11)),
        [1, 2, 3, 4, 5],
    ]
    for scale in (ANTONIADI, PICKERING, OF_FIVE):
        assert len(set(scale.values())) == len(scale)
    assert scale_words("seeing_antoniadi", 1.0) != scale_words("seeing_pickering", 1.0)
    assert scale_words("humidity_percent", 3.0) == ""
