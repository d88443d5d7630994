"""What an entry line is tested against: one night, one telescope, a few objects."""

from dataclasses import replace
from datetime import UTC, date, datetime

from logbook.entryline.understand import Surroundings
from logbook.records.entries import EntryRecord, Frames, NewEntry, Screw, TargetCopy, Turn

NOW = datetime(2026, 3, 14, 23, 40, tzinfo=UTC)
M31 = TargetCopy("NGC 224", "Andromeda Galaxy", "galaxy", 10.68479, 41.26906)
M81 = TargetCopy("NGC 3031", "Bode's Galaxy", "galaxy", 148.88821, 69.06531)
LAST = Frames(20, 180.0, "Ha", gain=100.0, binning=1)
OBJECTS = {"m31": M31, "m 31": M31, "andromeda": M31, "m81": M81}


def find(typed: str) -> TargetCopy | None:
    return OBJECTS.get(typed.casefold().strip())


def complete(typed: str) -> list[str]:
    begun = typed.casefold().replace(" ", "")
    names = ("M 31", "M 33", "M 81")
    return [name for name in names if name.casefold().replace(" ", "").startswith(begun)]


AROUND = Surroundings(
    now_utc=NOW,
    time_zone="Europe/London",
    night_date=date(2026, 3, 14),
    find_object=find,
    complete_object=complete,
    filters=("L", "R", "G", "B", "Ha", "OIII"),
    screws=(Screw("A", 12.0), Screw("B", 4.0), Screw("C", 8.0, tighten_clockwise=False)),
    trains=("native", "reduced", "wide field"),
    parts=("Long tube", "Two-inch focuser", "Night camera"),
    running=M81,
    last_frames=LAST,
)


def turned(entry_id: int, screw: str, turns: float, undoes: int | None = None) -> EntryRecord:
    """A turn as the book holds it."""
    turn = Turn(screw, turns, puts_back_entry_id=undoes)
    content = NewEntry("turn", NOW, f"turn {screw} {turns}", turn=turn)
    return EntryRecord(entry_id, f"uid {entry_id}", 1, NOW, content)


def with_turns(*turns: EntryRecord) -> Surroundings:
    return replace(AROUND, last_turns=turns)
