"""What frames on disk would add to a book, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from logbook.entryline.format import counted, spell_frames
from logbook.sky.night.clock import local_hhmm, zone_of
from logbook.store.frames.entry import spreads

if TYPE_CHECKING:
    from logbook.store.frames.add import Added
    from logbook.store.frames.plan import Plan, PlannedRun

_MOST_REFUSED = 8


def plan_lines(plan: Plan) -> list[Text]:
    """Every run with what speaks against it, what has no night, and what could not be read."""
    lines: list[Text] = []
    for planned in plan.to_add:
        lines += _run_lines(planned)
    if plan.without_night:
        lines.append(Text("Left out:", style="bold"))
    for planned in plan.without_night:
        lines += _run_lines(planned)
    if plan.refused:
        lines.append(Text("Not read as frames:", style="bold"))
        lines += [Text(f"  {each.words}") for each in plan.refused[:_MOST_REFUSED]]
    left = len(plan.refused) - _MOST_REFUSED
    return [*lines, Text(f"  and {left} more")] if left > 0 else lines


def _run_lines(planned: PlannedRun) -> Iterator[Text]:
    entry = planned.entry_of(planned.new)
    assert entry.frames is not None
    line = Text(f"{planned.local_date} ", style="bold")
    line.append(f"{_who(planned)}{spell_frames(entry.frames)}", style="not bold")
    yield line
    yield Text(f"  {', '.join([_when(planned), *_more(planned)])}")
    if planned.left_out:
        yield Text(f"  ! {planned.left_out}", style="bold")
    for warning in planned.warnings:
        yield Text(f"  ! {warning}", style="bold")


def _who(planned: PlannedRun) -> str:
    matched, first = planned.matched, planned.run.first
    if matched.target is not None:
        return f"{matched.target.name} ({matched.how}): "
    if first.frame_type != "light":
        return ""
    return f"{first.object_name} (not in the catalogue): " if first.object_name else "no object: "


def _when(planned: PlannedRun) -> str:
    """`22:03 to 23:05 (21:03 UTC)` by the clock of the night's site."""
    run = planned.run
    begins, ends = run.begins_utc, run.ends_utc
    site = planned.night.site if planned.night else planned.begins and planned.begins.site.site
    if not site:
        return f"{begins:%H:%M} to {ends:%H:%M} UTC"
    zone = zone_of(site.time_zone)
    local = f"{local_hhmm(begins, zone)} to {local_hhmm(ends, zone)}"
    return f"{local} ({begins:%H:%M} UTC)"


def _more(planned: PlannedRun) -> list[str]:
    told = spreads(planned.run)
    if planned.begins is not None:
        told.append(f"begins the night at {planned.begins.site.site.name}")
    if planned.grows:
        held = len(planned.run.frames) - len(planned.new)
        told.append(f"{held} of this run {'is' if held == 1 else 'are'} in the book: it grows")
    return told


def sum_words(plan: Plan) -> str:
    """`20 frames in 2 runs to add; 4 in the book already`."""
    adds = f"{counted(plan.new, 'frame')} in {counted(len(plan.to_add), 'run')} to add"
    return "; ".join([adds, *left_out(plan)])


def left_out(plan: Plan) -> list[str]:
    """What of the files is not to be added, and why, in few words."""
    pieces = []
    if plan.known:
        pieces.append(f"{plan.known} in the book already")
    if plan.again:
        pieces.append(f"{counted(len(plan.again), 'file')} show a frame once more")
    placeless = sum(len(each.new) for each in plan.without_night)
    if placeless:
        pieces.append(f"{counted(placeless, 'frame')} left out")
    if plan.refused:
        pieces.append(f"{counted(len(plan.refused), 'file')} not read")
    return pieces


def kept_words(kept: Sequence[Added]) -> str:
    """`Kept: 20 frames in 2 runs`."""
    frames = sum(each.new for each in kept)
    return f"Kept: {counted(frames, 'frame')} in {counted(len(kept), 'run')}"


def added_words(added: Added) -> str:
    """`Andromeda Galaxy 5 × 180 s Ha (1 more)`."""
    content = added.entry.content
    assert content.frames is not None
    who = f"{content.target.name}: " if content.target else ""
    more = f" ({added.new} more)" if added.grew else ""
    return f"{who}{spell_frames(content.frames)}{more}"
