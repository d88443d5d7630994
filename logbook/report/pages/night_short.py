"""A night read back: who, where and with what, its timeline, its sums."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import tzinfo
from typing import TYPE_CHECKING

from logbook.entryline.format import counted, total_words
from logbook.kit.train.light import light_of
from logbook.records.entries import EntryRecord, NightRecord, TrainRecord
from logbook.records.runs import Run, light_sums, runs
from logbook.sky.night.clock import local_hhmm

if TYPE_CHECKING:
    from logbook.store.book import Book


@dataclass(frozen=True, slots=True)
class NightPageData:
    """A night with everything that is shown of it. `train` is as it was that night."""

    night: NightRecord
    train: TrainRecord | None
    timeline: tuple[EntryRecord, ...]
    runs: tuple[Run, ...]


def read_night(book: "Book", night_id: int) -> NightPageData:
    """Read a night from the book. Raises NotFound."""
    night = book.nights.get(night_id)
    timeline = book.timeline.of_night(night_id)
    return NightPageData(night, night.train, timeline, runs(timeline))


def head_words(data: NightPageData, zone: tzinfo) -> str:
    """When, who and with which train, in a sentence or two."""
    night = data.night
    ended = local_hhmm(night.ended_utc, zone) if night.ended_utc else "still going on"
    words = f"{local_hhmm(night.started_utc, zone)}–{ended} ({night.started_utc:%H:%M} UTC on)"
    if night.observer:
        words += f", {night.observer}"
    return f"{words}. {_train_words(data.train)}"


def _train_words(record: TrainRecord | None) -> str:
    if record is None:
        return "No train named."
    found = light_of(record.train)
    pieces = [f"{record.train.name}, revision {record.revision}"]
    if found.effective_focal_length_mm is not None:
        pieces.append(f"{found.effective_focal_length_mm:.0f} mm")
    if found.focal_ratio is not None:
        pieces.append(f"f/{found.focal_ratio:.1f}")
    if found.image_scale_arcsec_px is not None:
        pieces.append(f"{found.image_scale_arcsec_px:.2f}″/px")
    return ", ".join(pieces) + "."


def sum_words(timeline: Sequence[EntryRecord]) -> str:
    """What a night adds up to: `18 entries, 1 object, 42 frames, 2 h 06 min exposed`."""
    frames, seconds = light_sums(timeline)
    turns = sum(each.content.turn is not None for each in timeline)
    objects = {run.target.catalogue_id for run in runs(timeline)}
    words = [
        counted(len(timeline), "entry", "entries"),
        counted(len(objects), "object"),
        counted(frames, "frame"),
    ]
    words += [f"{total_words(seconds)} exposed"] if seconds else []
    words += [counted(turns, "screw turn")] if turns else []
    return ", ".join(words)
