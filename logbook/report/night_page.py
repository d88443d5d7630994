"""A night read back: who, where and with what, its timeline, its sums."""

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from rich.text import Text

from logbook.kit.sheet import sheet
from logbook.store.records import EntryRecord, NightRecord, TrainRecord
from logbook.store.running import Run, light_sums, runs
from logbook.store.words import counted, spell, total_words

if TYPE_CHECKING:
    from logbook.store.book import Book


@dataclass(frozen=True, slots=True)
class NightPageData:
    """A night with everything that is told of it. `train` is as it was that night."""

    night: NightRecord
    train: TrainRecord | None
    timeline: tuple[EntryRecord, ...]
    runs: tuple[Run, ...]


def read_night(book: "Book", night_id: int) -> NightPageData:
    """Read a night from the book. Raises NotFound."""
    night = book.nights.get(night_id)
    timeline = book.timeline.of_night(night_id)
    return NightPageData(night, night.train, timeline, runs(timeline))


def night_lines(data: NightPageData) -> list[Text]:
    """The night as lines to print or to show; the first one names it."""
    zone = ZoneInfo(data.night.site.time_zone)
    lines = [_bold(f"Night of {data.night.local_date:%A %d %B %Y}, {data.night.site.name}")]
    lines += [Text(head_words(data, zone)), Text("")]
    lines += [_entry_line(each, zone) for each in data.timeline]
    if not data.timeline:
        lines.append(Text("Nothing was logged."))
    lines += [Text(""), _bold("Sums"), *(_run_line(each, zone) for each in data.runs)]
    lines += [*_without_object_lines(data), Text(sum_words(data))]
    return lines


def _bold(words: str) -> Text:
    return Text(words, style="bold")


def _hhmm(instant: datetime, zone: ZoneInfo) -> str:
    return f"{instant.astimezone(zone):%H:%M}"


def head_words(data: NightPageData, zone: ZoneInfo) -> str:
    """When, who and with which train, in a sentence or two."""
    night = data.night
    ended = _hhmm(night.ended_utc, zone) if night.ended_utc else "still going on"
    words = f"{_hhmm(night.started_utc, zone)}–{ended} ({night.started_utc:%H:%M} UTC on)"
    if night.observer:
        words += f", {night.observer}"
    return f"{words}. {_train_words(data.train)}"


def _train_words(record: TrainRecord | None) -> str:
    if record is None:
        return "No train named."
    found = sheet(record.train)
    pieces = [f"{record.train.name}, revision {record.revision}"]
    if found.effective_focal_length_mm is not None:
        pieces.append(f"{found.effective_focal_length_mm:.0f} mm")
    if found.focal_ratio is not None:
        pieces.append(f"f/{found.focal_ratio:.1f}")
    if found.image_scale_arcsec_px is not None:
        pieces.append(f"{found.image_scale_arcsec_px:.2f}″/px")
    return ", ".join(pieces) + "."


def _entry_line(record: EntryRecord, zone: ZoneInfo) -> Text:
    line = Text(f"{_hhmm(record.content.happened_utc, zone)}  ", style="bold")
    line.append(spell(record.content), style="not bold")
    if record.supersedes_id is not None:
        line.append(" (corrected)", style="not bold italic")
    return line


def _run_line(run: Run, zone: ZoneInfo) -> Text:
    until = _hhmm(run.stopped_utc, zone) if run.stopped_utc else "…"
    frames = f"{run.frames} frames, {total_words(run.exposure_s)}" if run.frames else "no frames"
    return Text(f"{run.target.name}: {_hhmm(run.started_utc, zone)}–{until}, {frames}")


def _without_object_lines(data: NightPageData) -> list[Text]:
    """Frames kept while no object was running belong to no run, but were taken."""
    frames, seconds = light_sums(data.timeline)
    frames -= sum(run.frames for run in data.runs)
    seconds -= sum(run.exposure_s for run in data.runs)
    if not frames:
        return []
    return [Text(f"No object named: {counted(frames, 'frame')}, {total_words(seconds)}")]


def sum_words(data: NightPageData) -> str:
    """What the night adds up to, in a sentence."""
    frames, seconds = light_sums(data.timeline)
    turns = sum(each.content.turn is not None for each in data.timeline)
    words = f"{counted(len(data.timeline), 'entry', 'entries')}, {counted(frames, 'frame')}"
    words += f", {total_words(seconds)} exposed" if seconds else ""
    return f"{words}, {counted(turns, 'screw turn')}." if turns else f"{words}."
