"""Frames put together into runs: what was exposed the same way, without a long pause."""

import statistics
from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from logbook.frames.header import Frame
from logbook.text import fold

# Long enough for the other filters of a round to come between, and for a meridian flip.
LONGEST_PAUSE = timedelta(minutes=45)


@dataclass(frozen=True, slots=True)
class Run:
    """Frames of one kind, in the order in which they were begun; never empty."""

    frames: tuple[Frame, ...]

    @property
    def first(self) -> Frame:
        """The frame that began first."""
        return self.frames[0]

    @property
    def begins_utc(self) -> datetime:
        """When the first exposure began."""
        return self.first.exposed_utc

    @property
    def ends_utc(self) -> datetime:
        """When the last exposure ended."""
        return max(ends_utc(frame) for frame in self.frames)

    @property
    def exposure_s(self) -> float:
        """The exposure of one frame: the median, of two the lower."""
        return statistics.median_low([frame.exposure_s for frame in self.frames])

    def spread(self, name: str) -> tuple[float, float, float] | None:
        """Least, middle and greatest of a number of the frames; None if none has it."""
        numbers = [n for frame in self.frames if (n := getattr(frame, name)) is not None]
        if not numbers:
            return None
        return min(numbers), statistics.median(numbers), max(numbers)

    def middle(self, name: str) -> float | None:
        """The median of a number over the frames; None where no frame has it."""
        found = self.spread(name)
        return found[1] if found else None


def ends_utc(frame: Frame) -> datetime:
    """When a frame's exposure ended."""
    return frame.exposed_utc + timedelta(seconds=frame.exposure_s)


def distinct(frames: Iterable[Frame]) -> tuple[list[Frame], list[Frame]]:
    """Each exposure once, in order of time, and the files that show one of them again."""
    kept: dict[str, Frame] = {}
    again: list[Frame] = []
    for frame in sorted(frames, key=lambda each: (each.exposed_utc, each.identity, each.path)):
        if frame.identity in kept:
            again.append(frame)
        else:
            kept[frame.identity] = frame
    return list(kept.values()), again


def grouped(frames: Iterable[Frame], night_of: Callable[[datetime], Hashable]) -> tuple[Run, ...]:
    """Runs in order of time; every distinct frame is in exactly one, whatever their order.

    night_of -- which night an instant belongs to; no run goes across two.
    """
    alike: dict[Hashable, list[Frame]] = defaultdict(list)
    for frame in distinct(frames)[0]:
        alike[(night_of(frame.exposed_utc), _likeness(frame))].append(frame)
    runs = [run for found in alike.values() for run in _without_pauses(found)]
    return tuple(sorted(runs, key=lambda run: (run.begins_utc, run.first.identity)))


def _likeness(frame: Frame) -> Hashable:
    """What is the same in all frames of a run; darks and bias see neither object nor filter."""
    of_sky = frame.frame_type == "light"
    lit = of_sky or frame.frame_type == "flat"
    return (
        frame.frame_type,
        fold(frame.object_name) if of_sky else "",
        fold(frame.filter_name or "") if lit else "",
        f"{frame.exposure_s:.3g}",
        frame.gain,
        frame.binning,
        frame.width_px,
        frame.height_px,
        frame.focal_length_mm,
    )


def _without_pauses(frames: Sequence[Frame]) -> list[Run]:
    runs: list[list[Frame]] = []
    for frame in frames:
        if runs and frame.exposed_utc - ends_utc(runs[-1][-1]) <= LONGEST_PAUSE:
            runs[-1].append(frame)
        else:
            runs.append([frame])
    return [Run(tuple(run)) for run in runs]
