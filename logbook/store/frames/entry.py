"""A run of frames from disk as an entry of the timeline."""

from dataclasses import replace

from logbook.frames.runs import Run
from logbook.records.entries import READING_RANGES, Frames, NewEntry, TargetCopy

FROM_DISK = "from disk"  # in the words of every entry that was made from files
_PLURALS = {"light": "", "dark": " darks", "flat": " flats", "bias": " bias"}
# The number of a frame, the reading it becomes, and how its spread is shown.
_READ = (
    ("sensor_temperature_c", "sensor_temperature_c", "sensor", " °C"),
    ("air_temperature_c", "air_temperature_c", "air", " °C"),
    ("tube_temperature_c", "tube_temperature_c", "tube", " °C"),
    ("focus_position", "focus_position", "focus", ""),
)


def frames_entry(run: Run, target: TargetCopy | None, region: str | None = None) -> NewEntry:
    """The entry of a run: when it began, what was exposed, middle readings, and words to read."""
    first = run.first
    frames = Frames(
        count=len(run.frames),
        exposure_s=run.exposure_s,
        filter_name=first.filter_name if first.frame_type in ("light", "flat") else None,
        gain=first.gain,
        binning=first.binning,
        region=region,
        frame_type=first.frame_type,
    )
    return NewEntry(
        kind="frames",
        happened_utc=run.begins_utc,
        text=f"{as_typed(frames)}; {_remark(run, target)}",
        target=target,
        readings=_readings(run),
        frames=frames,
    )


def grown(old: NewEntry, run: Run, more: int) -> NewEntry:
    """An entry from disk with `more` frames; what the user corrected in it stays.

    run -- the frames that are on disk now, old and new.
    """
    assert old.frames is not None
    frames = replace(old.frames, count=old.frames.count + more)
    words, _, remark = old.text.partition(";")
    if words.strip() == as_typed(old.frames):
        words = as_typed(frames)
    if FROM_DISK in remark:
        remark = f" {_remark(run, old.target)}"
    readings = dict(old.readings) | dict(_readings(run))
    return replace(
        old,
        happened_utc=min(old.happened_utc, run.begins_utc),
        text=f"{words};{remark}" if remark else words,
        readings=tuple(readings.items()),
        frames=frames,
    )


def as_typed(frames: Frames) -> str:
    """`20 x 180s filter Ha gain 100 bin 2`: as one would type it, so that it can be corrected."""
    pieces = [f"{frames.count} x {frames.exposure_s:.10g}s"]
    if frames.filter_name:
        pieces.append(f"filter {frames.filter_name}")
    if frames.gain is not None:
        pieces.append(f"gain {frames.gain:.10g}")
    if frames.binning is not None:
        pieces.append(f"bin {frames.binning}")
    if frames.region:
        pieces.append(f"region {frames.region}")
    return " ".join(pieces) + _PLURALS[frames.frame_type]


def _remark(run: Run, target: TargetCopy | None) -> str:
    who = target.name if target else run.first.object_name
    pieces = [who] if who and run.first.frame_type == "light" else []
    pieces.append(f"{FROM_DISK} {run.begins_utc:%H:%M} to {run.ends_utc:%H:%M} UTC")
    pieces += spreads(run)
    return ", ".join(pieces).replace(";", ",")


def spreads(run: Run) -> list[str]:
    """`sensor -10.2 to -9.8 °C`, `focus 12340`: what was read, from least to greatest."""
    told = []
    for name, _, label, unit in _READ:
        spread = run.spread(name)
        if spread is not None:
            low, _, high = (f"{number:.7g}" for number in spread)
            told.append(f"{label} {low if low == high else f'{low} to {high}'}{unit}")
    return told


def _readings(run: Run) -> tuple[tuple[str, float], ...]:
    """The middle of each number, where it is possible."""
    found = []
    for name, quantity, _, _ in _READ:
        middle = run.middle(name)
        low, high = READING_RANGES[quantity]
        if middle is not None and low <= middle <= high:
            found.append((quantity, middle))
    return tuple(found)
