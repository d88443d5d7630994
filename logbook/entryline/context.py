"""What a typed line is understood against, and what comes of it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime

from logbook.records.entries import EntryRecord, Frames, NewEntry, Screw, TargetCopy
from logbook.text import fold


class Unclear(Exception):
    """A line begins like a known one and cannot be read to its end; the message says what to do."""


class NotThis(Exception):
    """A line begins with a known word and is plain talk all the same: it becomes a note."""


class Explained(str):
    """A remark that says what was read in other words; every other remark is a doubt."""


def no_object(_typed: str) -> TargetCopy | None:
    """For a line typed where no catalogue is at hand."""
    return None


def no_objects(_typed: str) -> list[str]:
    """A catalogue that finds nothing."""
    return []


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What is known when a line is typed.

    night_date -- local date of the evening of the night the line belongs to.
    find_object -- the object of exactly that name, or None.
    complete_object -- names that what was typed so far may become, best first.
    renamed -- former names of trains, parts and filters with today's, the latest last.
    last_turns -- this telescope's turns that stand, oldest first. With none of them `put back`
        and `better` by themselves are refused, with words.
    """

    now_utc: datetime
    time_zone: str
    night_date: date
    find_object: Callable[[str], TargetCopy | None] = no_object
    complete_object: Callable[[str], list[str]] = no_objects
    filters: tuple[str, ...] = ()
    screws: tuple[Screw, ...] = ()
    trains: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    renamed: tuple[tuple[str, str], ...] = ()
    running: TargetCopy | None = None
    last_frames: Frames | None = None
    last_turns: tuple[EntryRecord, ...] = ()


def today_of(
    name: str, known: tuple[str, ...], remarks: list[str], former: tuple[tuple[str, str], ...]
) -> str | None:
    """What is known now and was called so before; a remark is added for the user."""
    for old, now in reversed(former):
        if fold(old) == fold(name) and now in known:
            remarks.append(Explained(f"{now}, called {old} before"))
            return now
    return None


@dataclass(frozen=True, slots=True)
class Understood:
    """What came of a line.

    entry -- to be saved when Enter is pressed; None if the line is empty or has a problem.
    said -- what was understood, with units, local time and UTC; "" for an empty line.
    problem -- what is wrong and what to do about it.
    completions -- whole lines that Tab may put in place of the typed one.
    corrects_entry_id -- the entry that `entry` takes the place of (`better` after a turn was
        logged); None for a new one.
    doubts -- what of `said` was guessed, or was not used.
    """

    entry: NewEntry | None
    said: str = ""
    problem: str | None = None
    completions: tuple[str, ...] = ()
    corrects_entry_id: int | None = None
    doubts: tuple[str, ...] = ()

    @property
    def is_whole(self) -> bool:
        """Whether all of the line was read, with nothing to ask and nothing guessed."""
        return self.entry is not None and not self.doubts


@dataclass(frozen=True, slots=True)
class Line:
    """A line on its way to being understood.

    word -- the first word, spelled right.
    rest -- what follows it, up to a semicolon, in plain signs (`tokens.plain`).
    raw_rest -- the same, in the user's own letters and to its end.
    """

    text: str
    happened_utc: datetime
    word: str
    rest: str
    raw_rest: str
    around: Surroundings

    def entry(self, kind: str) -> NewEntry:
        """An entry of that kind with the line's time and text, and nothing more yet."""
        return NewEntry(kind, self.happened_utc, self.text)


@dataclass(frozen=True, slots=True)
class Parsed:
    """What a reader of one kind of line found; `remarks` are shown beside what was understood.

    A remark is a doubt unless it is `Explained`.
    """

    entry: NewEntry
    remarks: tuple[str, ...] = ()
    corrects_entry_id: int | None = None
