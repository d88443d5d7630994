"""What is going on just now in a night, in numbers: frames still to come, readings, the dew."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from logbook.records.entries import EntryRecord, Frames
from logbook.records.runs import runs


@dataclass(frozen=True, slots=True)
class FramesRun:
    """A run of frames that is not through: `done` of `wanted` were, at `as_of_utc`.

    The camera needs some seconds between frames, so it ends a little later than stated here.
    """

    entry_id: int
    frames: Frames
    as_of_utc: datetime

    @property
    def wanted(self) -> int:
        return self.frames.wanted_count or self.frames.count

    @property
    def frame_s(self) -> float:
        """From one frame to the next, where the rate is known; else the exposure alone."""
        rate = self.frames.frames_per_second
        return 1.0 / rate if rate else self.frames.exposure_s

    @property
    def end_utc(self) -> datetime:
        left = self.wanted - self.frames.count
        return self.as_of_utc + timedelta(seconds=left * self.frame_s)

    def done_by(self, now: datetime) -> int:
        """How many frames are through by then if nothing came between; never more than wanted."""
        seconds = max(0.0, (now - self.as_of_utc).total_seconds())
        more = int(seconds / self.frame_s) if self.frame_s > 0 else 0
        return min(self.wanted, self.frames.count + more)

    def left_at(self, now: datetime) -> int:
        return self.wanted - self.done_by(now)


def frames_run(timeline: Sequence[EntryRecord]) -> FramesRun | None:
    """The light frames that are being taken of the object that runs: logged as `4/30 x 180s`."""
    found = runs(timeline)
    if not found or found[-1].stopped_utc is not None:
        return None
    since = [each for each in timeline if each.content.happened_utc >= found[-1].started_utc]
    last = next((each for each in reversed(since) if each.content.frames), None)
    if last is None or last.content.frames is None:
        return None
    frames = last.content.frames
    if frames.frame_type != "light" or (frames.wanted_count or 0) <= frames.count:
        return None
    counted_again = last.cause == "correct"  # the count is that of the correction
    happened = last.content.happened_utc
    as_of = max(happened, last.recorded_utc) if counted_again else happened
    return FramesRun(last.id, frames, as_of)


def has_conditions(timeline: Sequence[EntryRecord]) -> bool:
    """Whether anything was logged of the sky or the air."""
    return any(each.content.kind in ("conditions", "reading") for each in timeline)


def is_paused(timeline: Sequence[EntryRecord]) -> bool:
    """Whether a break was begun and has not ended."""
    breaks = [each.content.action for each in timeline if each.content.kind == "break"]
    return bool(breaks) and breaks[-1] == "start"
