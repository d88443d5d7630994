"""What is going on in a night, read off its timeline."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from logbook.records.entries import EntryRecord, Frames, NightRecord, NightSummary, TargetCopy


@dataclass(frozen=True, slots=True)
class Run:
    """One object from its start to its stop (None while it runs), with its light frames."""

    target: TargetCopy
    started_utc: datetime
    stopped_utc: datetime | None
    frames: int
    exposure_s: float


def runs(timeline: Sequence[EntryRecord]) -> tuple[Run, ...]:
    """The object runs of a timeline, in the order in which they began.

    A start ends the run before it. Frames that name an object which was never started are a run
    of their own, over with the last of them; what runs beside them goes on and stays the last.
    """
    found: list[Run] = []
    for record in timeline:
        entry = record.content
        if entry.kind == "object" and entry.action == "start" and entry.target is not None:
            _stop_last(found, entry.happened_utc)
            found.append(Run(entry.target, entry.happened_utc, None, 0, 0.0))
        elif entry.kind == "object" and entry.action == "stop":
            _stop_last(found, entry.happened_utc)
        elif entry.frames is not None and entry.frames.frame_type == "light":
            _count_frames(found, entry.frames, entry.target, entry.happened_utc)
    return tuple(found)


def running_object(timeline: Sequence[EntryRecord]) -> TargetCopy | None:
    """The object that is being worked on, if one was started and not stopped."""
    found = runs(timeline)
    return found[-1].target if found and found[-1].stopped_utc is None else None


def last_frames(timeline: Sequence[EntryRecord]) -> Frames | None:
    """The frames logged last."""
    return next((each.content.frames for each in reversed(timeline) if each.content.frames), None)


def light_sums(timeline: Sequence[EntryRecord]) -> tuple[int, float]:
    """How many frames of the sky were taken, with or without an object named, and seconds."""
    taken = [each.content.frames for each in timeline if each.content.frames]
    light = [each for each in taken if each.frame_type == "light"]
    return sum(each.count for each in light), sum(each.count * each.exposure_s for each in light)


def summary_of(night: NightRecord, timeline: Sequence[EntryRecord]) -> NightSummary:
    """The line of the list of nights for a night with this timeline; `night_sums` counts many."""
    frames, exposure_s = light_sums(timeline)
    seen: dict[str, datetime] = {}
    for each in timeline:
        if each.content.target is not None:
            seen.setdefault(each.content.target.name, each.content.happened_utc)
    return NightSummary(
        night=night,
        entries=len(timeline),
        frames=frames,
        exposure_s=float(exposure_s),
        objects=tuple(sorted(seen, key=lambda name: (seen[name], name))),
        turns=sum(each.content.kind == "turn" for each in timeline),
    )


def _stop_last(found: list[Run], at: datetime) -> None:
    if found and found[-1].stopped_utc is None:
        last = found[-1]
        found[-1] = Run(last.target, last.started_utc, at, last.frames, last.exposure_s)


def _count_frames(
    found: list[Run], frames: Frames, target: TargetCopy | None, at: datetime
) -> None:
    """Count frames to the newest run of their object; without one named, to what runs."""
    light_s = frames.count * frames.exposure_s
    for place in range(len(found) - 1, -1, -1):
        run = found[place]
        same = target is not None and run.target.catalogue_id == target.catalogue_id
        if same or (target is None and run.stopped_utc is None):
            found[place] = replace(
                run, frames=run.frames + frames.count, exposure_s=run.exposure_s + light_s
            )
            return
    if target is not None:
        is_running = bool(found) and found[-1].stopped_utc is None
        own = Run(target, at, at, frames.count, light_s)
        found.insert(len(found) - is_running, own)
