"""What an entry must be before it is saved."""

from dataclasses import replace

from logbook.errors import BadInput
from logbook.records import check_star, checks
from logbook.records.entries import (
    ENTRY_KINDS,
    READING_RANGES,
    TURN_RESULTS,
    Frames,
    NewEntry,
    TargetCopy,
    Turn,
    UpkeepDone,
)
from logbook.text import clean, fold

LONGEST_LINE = 4000
FRAME_TYPES = ("light", "dark", "flat", "bias")
ACTIONS = ("start", "stop")
LARGEST_TURN = 2.0

_UNITS = (
    ("_mag_arcsec2", "mag/arcsec²"),
    ("_arcsec_min", "″/min"),
    ("_arcsec", "″"),
    ("_percent", "%"),
    ("_hpa", "hPa"),
    ("_m_s", "m/s"),
    ("_c", "°C"),
)
_CENTRE_WORDS = frozenset({"centre", "center", "central", "middle"})
_WHY_NOT_CENTRE = (
    "The centre screw sets the distance between the mirrors, and holds the secondary: turning it "
    "spoils the focus and the correction, and can free the mirror. Only the outer screws tilt it."
)


def label_and_unit(quantity: str) -> tuple[str, str]:
    """What a reading is called and its unit: ("humidity", "%")."""
    for suffix, unit in _UNITS:
        if quantity.endswith(suffix):
            return quantity.removesuffix(suffix).replace("_", " "), unit
    return quantity.replace("_", " "), ""


def refuse_centre_screw(name: str) -> None:
    """The centre screw is never logged as a turn nor named as a screw to turn. Raises BadInput."""
    if _CENTRE_WORDS & set(fold(name).replace("-", " ").split()):
        raise BadInput(_WHY_NOT_CENTRE)


def refuse_no_hour(clock_hour: float) -> None:
    """A screw at no hour of the clock sits in the middle. Raises BadInput for it."""
    if clock_hour == 0:
        raise BadInput(f"A screw at 0 o'clock would be in the middle. {_WHY_NOT_CENTRE}")


def checked_entry(new: NewEntry) -> NewEntry:
    """`new` as it will be saved: instants in UTC, text cleaned, numbers possible.

    Raises BadInput saying what cannot be.
    """
    kind = checks.one_of(new.kind, "the kind of entry", ENTRY_KINDS[:-1])
    checked = replace(
        new,
        happened_utc=checks.instant(new.happened_utc),
        text=checks.line(new.text, "a line", LONGEST_LINE),
        action=checks.maybe_one_of(new.action, "the action", ACTIONS),
        target=None if new.target is None else checked_target(new.target),
        readings=_readings(new.readings),
        frames=None if new.frames is None else _frames(new.frames),
        turn=None if new.turn is None else _turn(new.turn),
        look=None if new.look is None else check_star.checked_look(new.look),
        check=None if new.check is None else check_star.checked_check(new.check),
        adjustment=check_star.maybe_checked_adjustment(new.adjustment),
        upkeep=None if new.upkeep is None else _upkeep(new.upkeep),
        train_name=checks.maybe_line(new.train_name, "the train's name", 120),
    )
    _complete(kind, checked)
    return checked


def _complete(kind: str, new: NewEntry) -> None:
    """What a kind of entry cannot be without, and what only it may carry."""
    wanted = {
        "reading": (new.readings, "a reading needs a number"),
        "frames": (new.frames, "frames need a count and an exposure"),
        "turn": (new.turn, "a turn needs a screw and how much it was turned"),
        "star": (new.look, "a star test needs where the shadow sits"),
        "check": (new.check, "a check needs how the star looks"),
        "adjust": (new.adjustment, "an adjustment needs what was set"),
        "kit": (new.train_name, "a change of kit needs the train now in use"),
        "upkeep": (new.upkeep, "upkeep needs what was done"),
        "note": (new.text, "a note needs words"),
    }
    given, words = wanted.get(kind, (True, ""))
    if not given:
        raise BadInput(words)
    if kind == "object" and new.action != "stop" and new.target is None:
        raise BadInput("an object run needs an object")
    if new.turn is not None and kind != "turn":
        raise BadInput(f"a turn of a screw cannot be part of an entry of kind {kind}")


def _readings(readings: tuple[tuple[str, float], ...]) -> tuple[tuple[str, float], ...]:
    kept: dict[str, float] = {}
    for quantity, value in readings:
        if quantity not in READING_RANGES:
            known = ", ".join(READING_RANGES)
            raise BadInput(f"a reading of {clean(quantity, longest=60)!r} is unknown: {known}")
        label, unit = label_and_unit(quantity)
        if quantity in kept:
            raise BadInput(f"{label} is given twice in one entry")
        kept[quantity] = checks.number(value, label, *READING_RANGES[quantity], unit)
    return tuple(kept.items())


def checked_target(target: TargetCopy) -> TargetCopy:
    """A catalogue object as it will be saved. Raises BadInput."""
    if (target.ra_deg is None) != (target.dec_deg is None):
        raise BadInput("a place in the sky needs both right ascension and declination")
    ra_deg = checks.maybe_number(target.ra_deg, "right ascension", 0.0, 360.0, "°")
    return TargetCopy(
        catalogue_id=checks.line(target.catalogue_id, "the object's id", 60, wanted=True),
        name=checks.line(target.name, "the object's name", 120, wanted=True),
        kind=checks.line(target.kind, "the object's kind", 40),
        ra_deg=None if ra_deg is None else ra_deg % 360.0,
        dec_deg=checks.maybe_number(target.dec_deg, "declination", -90.0, 90.0, "°"),
        constellation=checks.line(target.constellation, "the constellation", 3),
        major_arcmin=checks.maybe_number(target.major_arcmin, "size", 0.0, 21600.0, "′"),
        minor_arcmin=checks.maybe_number(target.minor_arcmin, "size", 0.0, 21600.0, "′"),
        position_angle_deg=checks.maybe_number(
            target.position_angle_deg, "position angle", -360.0, 360.0, "°"
        ),
        magnitude=checks.maybe_number(target.magnitude, "magnitude", -30.0, 40.0),
    )


def _frames(frames: Frames) -> Frames:
    return Frames(
        count=checks.whole(frames.count, "the number of frames", 0, 1_000_000),
        exposure_s=checks.number(frames.exposure_s, "exposure", 0.0, 86400.0, "s"),
        filter_name=checks.maybe_line(frames.filter_name, "the filter's name", 40),
        gain=checks.maybe_number(frames.gain, "gain", -1e6, 1e6),
        binning=checks.maybe_whole(frames.binning, "binning", 1, 16),
        region=checks.maybe_line(frames.region, "the region", 40),
        frames_per_second=checks.maybe_number(frames.frames_per_second, "rate", 0.0, 1e5, "/s"),
        frame_type=checks.one_of(frames.frame_type, "the type of frame", FRAME_TYPES),
        wanted_count=checks.maybe_whole(
            frames.wanted_count, "the number of frames wanted", 0, 1_000_000
        ),
    )


def _turn(turn: Turn) -> Turn:
    refuse_centre_screw(turn.screw)
    if turn.turns == 0:
        raise BadInput("a turn of nothing is no turn")
    return replace(
        turn,
        screw=checks.line(turn.screw, "the screw's name", 40, wanted=True),
        turns=checks.number(turn.turns, "a turn of", -LARGEST_TURN, LARGEST_TURN, "turns"),
        result=checks.maybe_one_of(turn.result, "the result", TURN_RESULTS),
        offset_before=checks.maybe_number(turn.offset_before, "the offset before", 0.0, 1.0),
        offset_after=checks.maybe_number(turn.offset_after, "the offset after", 0.0, 1.0),
    )


def _upkeep(upkeep: UpkeepDone) -> UpkeepDone:
    return UpkeepDone(
        action=checks.line(upkeep.action, "what was done", 200, wanted=True),
        part_name=checks.maybe_line(upkeep.part_name, "the part's name", 120),
        cost=checks.maybe_number(upkeep.cost, "the cost", 0.0, 1e9),
        minutes=checks.maybe_number(upkeep.minutes, "the time taken", 0.0, 1e6, "min"),
        before=checks.maybe_line(upkeep.before, "what was before", LONGEST_LINE),
        after=checks.maybe_line(upkeep.after, "what was after", LONGEST_LINE),
        photo_path=checks.maybe_line(upkeep.photo_path, "the photo's path", 1000),
    )
