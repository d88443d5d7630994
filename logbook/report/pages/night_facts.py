"""One night in numbers: what can be set beside another night's."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import fmean
from typing import TYPE_CHECKING

from logbook.entryline.format import spell
from logbook.records.entries import (
    EntryRecord,
    Frames,
    NightRecord,
    StarLook,
    TargetCopy,
    TrainRecord,
)
from logbook.records.runs import Run, light_sums, runs
from logbook.sky.night.intervals import Interval, common, total_hours

if TYPE_CHECKING:
    from logbook.sky.altitude.past_nights import PastSky, Through
    from logbook.store.book import Book

_ONE_AIR = timedelta(hours=1)  # air read this long before still goes with a mirror


@dataclass(frozen=True, slots=True)
class NumberRead:
    """One quantity over a night."""

    count: int
    mean: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class FocusRead:
    """One focus: when, where, how warm the air was (None if not read)."""

    at_utc: datetime
    position: float | None
    air_c: float | None


@dataclass(frozen=True, slots=True)
class Observed:
    """One object of a night, with its frames; `through` is None for what moves.

    is_running -- it was not ended, and the night goes on.
    """

    target: TargetCopy
    frames: int
    exposure_s: float
    started_utc: datetime
    stopped_utc: datetime
    through: "Through | None"
    is_running: bool = False


@dataclass(frozen=True, slots=True)
class MoonSeen:
    """The Moon of a night: `up_hours` within the time the night was worked."""

    phase: str
    illumination: float
    up_hours: float
    worked_hours: float


@dataclass(frozen=True, slots=True)
class NightFacts:
    """A night in numbers. What was not read is missing or None.

    settled_utc -- the instant whose state of kit and screws the night's images show: its last
        frames of the sky, else its end.
    seeing_of_ten -- any scale brought to ten steps, 10 best.
    mirror_less_air_c -- mean over the readings of both.
    left_alone_c -- the most the air changed after a focus without another one.
    remarks, troubles -- notes and troubles, in the user's words.
    """

    night: NightRecord
    train: TrainRecord | None
    settled_utc: datetime
    numbers: dict[str, NumberRead]
    seeing_of_ten: float | None
    mirror_less_air_c: float | None
    focus: tuple[FocusRead, ...]
    left_alone_c: float | None
    frames: tuple[Frames, ...]
    light_frames: int
    light_s: float
    objects: tuple[Observed, ...]
    moon: MoonSeen
    look: StarLook | None
    remarks: tuple[str, ...]
    troubles: tuple[str, ...]

    def mean(self, quantity: str) -> float | None:
        found = self.numbers.get(quantity)
        return None if found is None else found.mean

    @property
    def width_arcsec(self) -> float | None:
        """The mean width of star images."""
        return self.mean("fwhm_arcsec")

    @property
    def main_object(self) -> Observed | None:
        """The object exposed longest; of those not exposed the one looked at longest."""
        return max(
            self.objects,
            key=lambda each: (each.exposure_s, each.stopped_utc - each.started_utc),
            default=None,
        )


def read_facts(book: "Book", night_id: int) -> NightFacts:
    """Read a night from the book and from the sky. Raises NotFound."""
    night = book.nights.get(night_id)
    timeline = book.timeline.of_night(night_id)
    ended = night.ended_utc or (
        timeline[-1].content.happened_utc if timeline else night.started_utc
    )
    entries = [each.content for each in timeline]
    frames, seconds = light_sums(timeline)
    return NightFacts(
        night=night,
        train=_train_used(book, night, timeline),
        settled_utc=_settled(timeline, ended),
        numbers=numbers_of(timeline),
        seeing_of_ten=seeing_of(timeline),
        mirror_less_air_c=_mirror_less_air(timeline),
        focus=focus_of(timeline),
        left_alone_c=_left_alone(timeline),
        frames=tuple(
            dict.fromkeys(
                each.frames for each in entries if each.frames and each.frames.frame_type == "light"
            )
        ),
        light_frames=frames,
        light_s=seconds,
        objects=observed(night, runs(timeline), ended),
        moon=moon_seen(night, ended),
        look=_look(timeline),
        remarks=tuple(spell(each) for each in entries if each.kind == "note"),
        troubles=tuple(spell(each) for each in entries if each.kind == "trouble"),
    )


def numbers_of(timeline: Sequence[EntryRecord]) -> dict[str, NumberRead]:
    """Every quantity that was read, with how often, its mean and its reach."""
    read: dict[str, list[float]] = {}
    for each in timeline:
        for quantity, number in each.content.readings:
            read.setdefault(quantity, []).append(number)
    return {
        quantity: NumberRead(len(found), fmean(found), min(found), max(found))
        for quantity, found in read.items()
    }


def seeing_of(timeline: Sequence[EntryRecord]) -> float | None:
    """The mean of the seeing judged, any scale brought to ten steps, 10 best."""
    found = [
        of_ten(quantity, number)
        for each in timeline
        for quantity, number in each.content.readings
        if quantity in SEEING
    ]
    return fmean(found) if found else None


# How a step of each scale of seeing counts in ten: best and worst meet, the rest in even steps.
# Common practice, no source: the scales were never measured against each other.
SEEING = ("seeing_pickering", "seeing_antoniadi", "seeing_of_five")


def of_ten(quantity: str, number: float) -> float:
    """A step of a scale of seeing in ten steps, 10 best."""
    if quantity == "seeing_antoniadi":
        return 1.0 + (5.0 - number) * 9.0 / 4.0
    if quantity == "seeing_of_five":
        return 1.0 + (number - 1.0) * 9.0 / 4.0
    return number


# The scales as they are judged, with how a step of each is written beside it.
_OWN_SCALES = {
    "seeing_of_five": " of 5",
    "seeing_antoniadi": " by Antoniadi, 1 best",
}


def judged_words(facts: NightFacts) -> str:
    """The seeing on the scale that it was judged on, and brought to ten where that is another."""
    if facts.seeing_of_ten is None:
        return ""
    of_all = f"{facts.seeing_of_ten:.1f} of 10"
    used = [name for name in SEEING if name in facts.numbers]
    if len(used) != 1 or used[0] not in _OWN_SCALES:
        return of_all
    return f"{facts.numbers[used[0]].mean:.3g}{_OWN_SCALES[used[0]]}, taken as {of_all}"


def focus_of(timeline: Sequence[EntryRecord]) -> tuple[FocusRead, ...]:
    """Each focus with the temperature given with it, else the air read last."""
    found: list[FocusRead] = []
    air_c: float | None = None
    for each in timeline:
        read = dict(each.content.readings)
        air_c = read.get("air_temperature_c", air_c)
        if each.content.kind == "focus":
            found.append(FocusRead(each.content.happened_utc, read.get("focus_position"), air_c))
    return tuple(found)


def _left_alone(timeline: Sequence[EntryRecord]) -> float | None:
    """The most the air changed after a focus before the next one."""
    focused_c: float | None = None
    most: float | None = None
    for each in timeline:
        air_c = dict(each.content.readings).get("air_temperature_c")
        if each.content.kind == "focus":
            focused_c = air_c if air_c is not None else _air_before(timeline, each)
        elif air_c is not None and focused_c is not None:
            most = max(most or 0.0, abs(air_c - focused_c))
    return most


def _air_before(timeline: Sequence[EntryRecord], entry: EntryRecord) -> float | None:
    air_c: float | None = None
    for each in timeline:
        if each is entry:
            return air_c
        air_c = dict(each.content.readings).get("air_temperature_c", air_c)
    return air_c


def _mirror_less_air(timeline: Sequence[EntryRecord]) -> float | None:
    found = mirror_and_air(timeline)
    return fmean(mirror - air for _, mirror, air in found) if found else None


def mirror_and_air(timeline: Sequence[EntryRecord]) -> tuple[tuple[datetime, float, float], ...]:
    """When mirror and air were both known, and both: a mirror goes with air of the same hour."""
    found = []
    air: tuple[datetime, float] | None = None
    for each in timeline:
        read, at = dict(each.content.readings), each.content.happened_utc
        if "air_temperature_c" in read:
            air = at, read["air_temperature_c"]
        if "mirror_temperature_c" in read and air is not None and at - air[0] <= _ONE_AIR:
            found.append((at, read["mirror_temperature_c"], air[1]))
    return tuple(found)


def observed(night: NightRecord, found: Sequence[Run], ended: datetime) -> tuple[Observed, ...]:
    """The runs of a night, one for each object, with how the object stood."""
    by_name: dict[str, list[Run]] = {}
    for run in found:
        by_name.setdefault(run.target.catalogue_id, []).append(run)
    return tuple(_observed(night, each, ended) for each in by_name.values())


def _observed(night: NightRecord, found: Sequence[Run], ended: datetime) -> Observed:
    started = found[0].started_utc
    stopped = max(started, *(each.stopped_utc or ended for each in found))
    target = found[0].target
    through = None
    if target.ra_deg is not None and target.dec_deg is not None:
        instants = [
            each.started_utc
            + (max((each.stopped_utc or ended), each.started_utc) - each.started_utc) * step / 6
            for each in found
            for step in range(7)
        ]
        through = _sky().object_through(
            night.site, night.local_date, target.ra_deg, target.dec_deg, instants
        )
    return Observed(
        target,
        sum(each.frames for each in found),
        sum(each.exposure_s for each in found),
        started,
        stopped,
        through,
        is_running=night.ended_utc is None and any(each.stopped_utc is None for each in found),
    )


def _sky() -> "type[PastSky]":
    from logbook.sky.altitude.past_nights import PastSky

    return PastSky


def moon_seen(night: NightRecord, ended: datetime) -> MoonSeen:
    """The Moon of a night, and how long it stood over it while the night was worked."""
    sky = _sky().night(night.site, night.local_date)
    worked = (Interval(night.started_utc, max(ended, night.started_utc)),)
    up = total_hours(common(sky.moon_up, worked))
    return MoonSeen(sky.moon_phase, sky.moon_illumination, up, worked[0].hours)


def _train_used(
    book: "Book", night: NightRecord, timeline: Sequence[EntryRecord]
) -> TrainRecord | None:
    """The train most light went through; without frames the night's own."""
    exposed: dict[int, float] = {}
    for each in timeline:
        taken, revision_id = each.content.frames, each.train_revision_id
        if taken is not None and taken.frame_type == "light" and revision_id is not None:
            exposed[revision_id] = exposed.get(revision_id, 0.0) + taken.count * taken.exposure_s
    if exposed:
        most = max(exposed, key=lambda revision_id: exposed[revision_id])
        if night.train is None or most != night.train.revision_id:
            return book.kit.train_at(most)
        return night.train
    changed = [each.train_revision_id for each in timeline if each.content.kind == "kit"]
    last = changed[-1] if changed else None
    return night.train if last is None else book.kit.train_at(last)


def _settled(timeline: Sequence[EntryRecord], ended: datetime) -> datetime:
    taken = [
        each.content.happened_utc
        for each in timeline
        if each.content.frames is not None and each.content.frames.frame_type == "light"
    ]
    return taken[-1] if taken else ended


def _look(timeline: Sequence[EntryRecord]) -> StarLook | None:
    """The star test done last in a night."""
    found = [each.content.look for each in timeline if each.content.look is not None]
    return found[-1] if found else None
