"""Frames become runs: every frame in exactly one, whatever their order."""

from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from logbook.frames.header import Frame
from logbook.frames.runs import LONGEST_PAUSE, Run, distinct, ends_utc, grouped
from logbook.sky.night.clock import night_date

NOON = datetime(2025, 10, 4, 12, 0, tzinfo=UTC)


def frame(minutes: float, **values: object) -> Frame:
    at = NOON + timedelta(minutes=minutes)
    plain = Frame(Path(f"{minutes:g}.fits"), f"{at.isoformat()}{values}", at, 180.0, "light", "M31")
    return replace(plain, **values)  # type: ignore[arg-type]


def runs(*frames: Frame) -> list[int]:
    return [len(run.frames) for run in grouped(frames, lambda at: night_date(at, UTC))]


FRAMES = st.lists(
    st.builds(
        frame,
        st.integers(0, 3000),
        filter_name=st.sampled_from(["Ha", "OIII", None]),
        exposure_s=st.sampled_from([60.0, 180.0, 0.01]),
        frame_type=st.sampled_from(["light", "dark", "flat", "bias"]),
        object_name=st.sampled_from(["M31", "m 33", ""]),
        gain=st.sampled_from([None, 100.0]),
    ),
    max_size=40,
)


@given(FRAMES, st.randoms())
def test_every_frame_is_in_exactly_one_run_whatever_the_order(
    frames: list[Frame], luck: object
) -> None:
    found = grouped(frames, lambda at: night_date(at, UTC))
    shuffled = list(frames)
    luck.shuffle(shuffled)  # type: ignore[attr-defined]
    assert grouped(shuffled, lambda at: night_date(at, UTC)) == found
    counts = Counter(each.identity for run in found for each in run.frames)
    assert counts == Counter({each.identity for each in frames})


@given(FRAMES)
def test_a_run_is_of_one_kind_one_night_and_without_a_long_pause(frames: list[Frame]) -> None:
    for run in grouped(frames, lambda at: night_date(at, UTC)):
        assert len({night_date(each.exposed_utc, UTC) for each in run.frames}) == 1
        assert len({(each.frame_type, each.exposure_s, each.gain) for each in run.frames}) == 1
        if run.first.frame_type == "light":
            assert len({(each.object_name, each.filter_name) for each in run.frames}) == 1
        for before, after in zip(run.frames, run.frames[1:], strict=False):
            assert after.exposed_utc - ends_utc(before) <= LONGEST_PAUSE


def test_filters_taken_in_turn_make_one_run_each() -> None:
    turn = ["L", "R", "G", "B"] * 3
    assert runs(*(frame(5 * n, filter_name=name) for n, name in enumerate(turn))) == [3, 3, 3, 3]


def test_a_long_pause_begins_another_run() -> None:
    assert runs(frame(0), frame(4), frame(4 + 3 + 46)) == [2, 1]
    assert runs(frame(0), frame(4), frame(4 + 3 + 44)) == [3]


def test_darks_do_not_see_object_or_filter() -> None:
    dark = frame(0, frame_type="dark", object_name="M31", filter_name="Ha")
    other = frame(4, frame_type="dark", object_name="", filter_name=None)
    assert runs(dark, other) == [2]


def test_exposures_that_differ_by_the_shutter_are_one_run() -> None:
    assert runs(frame(0, exposure_s=180.0), frame(4, exposure_s=180.04)) == [2]
    assert runs(frame(0, exposure_s=180.0), frame(4, exposure_s=170.0)) == [1, 1]


def test_a_run_does_not_go_across_noon() -> None:
    assert runs(frame(-4), frame(0)) == [1, 1]


def test_a_frame_that_is_there_twice_counts_once_and_is_told() -> None:
    one = frame(0)
    again = replace(one, path=Path("copy.fits"))
    kept, told = distinct([again, one])
    assert (len(kept), len(told)) == (1, 1)


def test_spans_and_spreads_are_read_off_the_frames() -> None:
    run = Run((frame(0, focus_position=100.0), frame(4, focus_position=106.0), frame(8)))
    assert run.ends_utc - run.begins_utc == timedelta(minutes=11)
    assert run.spread("focus_position") == (100.0, 103.0, 106.0)
    assert run.spread("sensor_temperature_c") is None
