"""The entry line: one line, typed in the dark, says what happened.

The first word decides what the rest means; spelling is forgiven; what was understood is said
before anything is kept. The grammar is drawn up as a table in DEVELOPERS.md.
"""

import re
from collections.abc import Callable
from dataclasses import replace

from logbook.store import (
    line_adjust,
    line_check,
    line_frames,
    line_measures,
    line_names,
    line_star,
    line_turn,
    line_upkeep,
)
from logbook.store.entry_checks import LONGEST_LINE
from logbook.store.line_around import (
    Line,
    NotThis,
    Parsed,
    Surroundings,
    Unclear,
    Understood,
)
from logbook.store.line_signs import nearest, plain
from logbook.store.line_tab import completions
from logbook.store.line_times import Moment, moment_of, time_words, timed_again, without_time
from logbook.store.records import NewEntry
from logbook.store.words import spell
from logbook.text import clean, fold

__all__ = ["Surroundings", "Understood", "timed_again", "understand"]

Reader = Callable[[Line], Parsed]

# First words that mean one and the same: the one a reader sees, the reader, the words.
_SAME: tuple[tuple[str, Reader, tuple[str, ...]], ...] = (
    ("start", line_names.started, ("start", "started", "object", "target")),
    ("stop", line_names.stopped, ("stop", "stopped", "end", "ended")),
    ("meridian", line_names.crossed_meridian, ("meridian", "flip", "flipped")),
    ("kit", line_names.kit_changed, ("kit", "train")),
    ("upkeep", line_upkeep.upkeep, ("upkeep", "maintenance")),
    ("note", line_names.plain_words, ("note", "remark")),
    ("trouble", line_names.plain_words, ("trouble", "problem", "fault")),
    ("transport", line_names.plain_words, ("transport", "transported", "carried", "knocked")),
    ("setup", line_names.plain_words, ("setup", "set up", "setting up", "polar", "opened")),
    ("break", line_names.paused, ("break", "pause", "paused")),
    ("back", line_names.resumed, ("back", "resume", "resumed")),
)
_APART: tuple[tuple[Reader, tuple[str, ...]], ...] = (
    (line_measures.measures, line_measures.FIRST_WORDS),
    (line_frames.frames, line_frames.FIRST_WORDS),
    (line_frames.again, line_frames.REPEATS),
    (line_star.star_test, line_star.FIRST_WORDS),
    (line_check.star_check, line_check.FIRST_WORDS),
    (line_adjust.adjustment, line_adjust.FIRST_WORDS),
    (line_turn.screw_turn, line_turn.FIRST_WORDS),
    (line_turn.judged, line_turn.RESULTS),
    (line_turn.put_back, ("put",)),
)
_READERS: dict[str, tuple[str, Reader]] = {
    **{word: (seen, reader) for seen, reader, words in _SAME for word in words},
    **{word: (word, reader) for reader, words in _APART for word in words},
}
_NEAR_WORDS = tuple(word for word in _READERS if len(word) >= 4 and " " not in word)
_LETTERS = re.compile(r"[^\W\d_]+")
_SURE_LENGTH = 5  # a shorter word is near to too many others to be asked about
_PROSE_WORDS = 5
_NAME_LENGTH = 24


def understand(typed: str, around: Surroundings) -> Understood:
    """What a typed line means; see Understood. Raises nothing, whatever is typed."""
    if len(typed) > 4 * LONGEST_LINE:
        return Understood(None, problem=_too_long(len(typed)))
    text = clean(typed, longest=4 * LONGEST_LINE)
    if len(text) > LONGEST_LINE:
        return Understood(None, problem=_too_long(len(text)))
    if not text:
        return Understood(None)
    offered = completions(typed, around)
    try:
        parsed = _read(text, around)
    except Unclear as problem:
        return Understood(None, problem=str(problem), completions=offered)
    said = " · ".join((_said(parsed.entry, around), *parsed.remarks))
    return Understood(parsed.entry, said, None, offered, parsed.corrects_entry_id)


def _too_long(length: int) -> str:
    return f"A line may be {LONGEST_LINE} characters long; this is {length}. Make it several notes."


def _said(entry: NewEntry, around: Surroundings) -> str:
    kind = "note: " if entry.kind == "note" else ""
    return f"{kind}{spell(entry)} · {time_words(entry.happened_utc, around.time_zone)}"


def _read(text: str, around: Surroundings) -> Parsed:
    """Time first, then the first word, then whatever reads that word."""
    moment = moment_of(plain(text), around)
    rest = plain(text)[moment.rest_at :].strip()
    raw = without_time(text).strip() if moment.said else text
    if not rest:
        raise Unclear("What happened then? Write it after the time: at 22:15 seeing 3/5.")
    parsed = _read_timed(text, rest, raw or rest, moment, around)
    return replace(parsed, remarks=(*parsed.remarks, *moment.remarks))


def _read_timed(text: str, rest: str, raw: str, moment: Moment, around: Surroundings) -> Parsed:
    start = Line(text, moment.happened_utc, "", _before_remark(rest), raw, around)
    first = _LETTERS.match(rest)
    if first is None:
        if line_frames.looks_like_frames(rest):
            return line_frames.frames(replace(start, word="frames"))
        return _as_note(start, rest)
    known = _known_word(rest, first.group())
    if known is not None:
        try:
            return _with_reader(known, start, rest)
        except NotThis:
            return _as_note(start, rest)
        except Unclear as problem:
            raise _with_way_out(problem, rest) from problem
    near = nearest(first.group().casefold(), _NEAR_WORDS)
    if near is None:
        return _as_note(start, rest)
    return _near_miss(near, first.group(), start, rest)


def _known_word(rest: str, first: str) -> str | None:
    """The first two words or the first one, if a reader knows them."""
    lowered = rest.casefold()
    for pair in (word for word in _READERS if " " in word):
        if lowered.startswith(pair) and not lowered[len(pair) : len(pair) + 1].isalpha():
            return pair
    return first.casefold() if first.casefold() in _READERS else None


def _with_reader(known: str, start: Line, rest: str, typed_length: int | None = None) -> Parsed:
    word, reader = _READERS[known]
    length = len(known) if typed_length is None else typed_length
    raw_rest = start.raw_rest[length:].lstrip(" :,")
    line = replace(
        start,
        word=word,
        rest=_before_remark(rest[length:]).lstrip(" :,"),
        raw_rest=raw_rest,
    )
    return reader(line)


def _before_remark(rest: str) -> str:
    return rest.partition(";")[0].strip()


def _near_miss(near: str, typed: str, start: Line, rest: str) -> Parsed:
    """A first word that is nearly known: taken if the line makes sense so, else asked about."""
    try:
        parsed = _with_reader(near, start, rest, len(typed))
        if len(typed) >= _SURE_LENGTH or _has_content(parsed.entry):
            return replace(parsed, remarks=(f"read {typed} as {near}", *parsed.remarks))
    except NotThis:
        pass
    except Unclear as problem:
        if len(typed) >= _SURE_LENGTH:
            raise Unclear(
                f"Is {typed} meant to be {near}? {problem} To keep it as a note begin with note."
            ) from problem
    return _as_note(start, rest)


def _has_content(entry: NewEntry) -> bool:
    """Whether more than words came of a line, so that it was hardly meant as a note."""
    measured = entry.readings or entry.frames or entry.turn or entry.look
    return bool(measured or entry.check or entry.adjustment)


def _with_way_out(problem: Unclear, rest: str) -> Unclear:
    """Plain talk may begin with a known word: say how to keep it."""
    if len(_LETTERS.findall(rest)) < _PROSE_WORDS:
        return problem
    return Unclear(f"{problem} To keep it as a note begin with note.")


def _as_note(start: Line, rest: str) -> Parsed:
    name = rest.strip(" .!?")
    if len(name) <= _NAME_LENGTH and len(name.split()) <= 3:
        target = start.around.find_object(name)
        if target is not None and fold(name) != "sun":
            raise Unclear(f"{target.name} is an object: start {name}, or note {name}.")
    return Parsed(start.entry("note"), ("kept as a note: no known first word",))
