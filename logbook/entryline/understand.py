"""The entry line: one line, typed in the dark, says what happened.

The first word decides what the rest means; spelling is forgiven; what was understood is shown
before anything is saved. The grammar is drawn up as a table in guide/entry-line.md.
"""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from logbook.entryline import (
    adjustment,
    frames,
    guess,
    named,
    readings,
    screw_turn,
    star_check,
    star_test,
    upkeep,
)
from logbook.entryline.completion import completions
from logbook.entryline.context import (
    Explained,
    Line,
    NotThis,
    Parsed,
    Surroundings,
    Unclear,
    Understood,
)
from logbook.entryline.format import spell
from logbook.entryline.times import (
    Moment,
    moment_of,
    time_at_end,
    time_words,
    with_time_first,
    without_time,
)
from logbook.entryline.tokens import nearest, plain
from logbook.records.check_entry import LONGEST_LINE
from logbook.records.entries import NewEntry
from logbook.text import clean, did_not_arrive_whole, fold

__all__ = [
    "Surroundings",
    "Understood",
    "begins_line",
    "nearly_begins_line",
    "time_named",
    "timed_again",
    "understand",
]

Reader = Callable[[Line], Parsed]

# First words that mean one and the same: the one a reader sees, the reader, the words.
_SAME: tuple[tuple[str, Reader, tuple[str, ...]], ...] = (
    ("start", named.started, ("start", "started", "starting", "object", "target")),
    ("stop", named.stopped, ("stop", "stopped", "end", "ended")),
    ("meridian", named.crossed_meridian, ("meridian", "flip", "flipped")),
    ("kit", named.kit_changed, ("kit", "train")),
    ("upkeep", upkeep.upkeep, ("upkeep", "maintenance")),
    ("note", named.plain_words, ("note", "remark")),
    ("trouble", named.plain_words, ("trouble", "problem", "fault")),
    ("transport", named.plain_words, ("transport", "transported", "carried", "knocked")),
    ("setup", named.plain_words, ("setup", "set up", "setting up", "polar", "opened")),
    ("break", named.paused, ("break", "pause", "paused")),
    ("back", named.resumed, ("back", "resume", "resumed")),
)
_APART: tuple[tuple[Reader, tuple[str, ...]], ...] = (
    (readings.measures, readings.FIRST_WORDS),
    (frames.frames, frames.FIRST_WORDS),
    (frames.again, frames.REPEATS),
    (frames.setting_alone, frames.SETTINGS),
    (star_test.star_test, star_test.FIRST_WORDS),
    (star_check.star_check, star_check.FIRST_WORDS),
    (adjustment.adjustment, adjustment.FIRST_WORDS),
    (screw_turn.screw_turn, screw_turn.FIRST_WORDS),
    (screw_turn.judged, screw_turn.RESULTS),
    (screw_turn.put_back, ("put",)),
)
_READERS: dict[str, tuple[str, Reader]] = {
    **{word: (seen, reader) for seen, reader, words in _SAME for word in words},
    **{word: (word, reader) for reader, words in _APART for word in words},
}
_FIRST_WORDS = frozenset(_READERS)
_NEAR_WORDS = tuple(word for word in _READERS if len(word) >= 4 and " " not in word)
# Readers of lines that may end in a time: it means when, and nothing else.
_TIMED_AT_END = (
    readings.measures,
    frames.frames,
    frames.again,
    named.started,
    named.stopped,
    named.crossed_meridian,
    named.kit_changed,
    named.paused,
    named.resumed,
)
_LETTERS = re.compile(r"[^\W\d_]+")
_SURE_LENGTH = 5  # a shorter word is near to too many others to be asked about
_DIGIT = re.compile(r"(?<![^\W\d_])[0-9]")
_NAME_LENGTH = 24
_NOT_WHOLE = (
    "A letter did not arrive whole (is the terminal set to UTF-8?): write another one where "
    "\N{REPLACEMENT CHARACTER} stands, or take it out."
)


def begins_line(typed: str) -> bool:
    """Whether the first word is one that says what a line is about, or that a time follows."""
    word = typed.split(" ", 1)[0].casefold()
    return word in _FIRST_WORDS or word == "at"


def nearly_begins_line(typed: str) -> bool:
    """Whether the first word is one that begins a line, or hardly anything but a slip of one.

    A whole word after one letter is no slip: the letter is a key, the word for what it opened.
    """
    word = typed.split(" ", 1)[0].casefold()
    is_long = len(word) >= _SURE_LENGTH and word[1:] not in _NEAR_WORDS
    slip = is_long and nearest(word, _NEAR_WORDS) is not None
    return slip or begins_line(typed)


def understand(typed: str, around: Surroundings) -> Understood:
    """What a typed line means; see Understood. Raises nothing, whatever is typed."""
    if len(typed) > 4 * LONGEST_LINE:
        return Understood(None, problem=_too_long(len(typed)))
    text = clean(typed, longest=4 * LONGEST_LINE)
    if len(text) > LONGEST_LINE:
        return Understood(None, problem=_too_long(len(text)))
    if did_not_arrive_whole(typed):
        return Understood(None, problem=_NOT_WHOLE)
    if not text:
        return Understood(None)
    offered = completions(typed, around)
    try:
        parsed = _read(text, around)
    except Unclear as problem:
        return Understood(None, problem=str(problem), completions=offered)
    said = " · ".join((_said(parsed.entry, around), *parsed.remarks))
    doubts = tuple(each for each in parsed.remarks if not isinstance(each, Explained))
    return Understood(parsed.entry, said, None, offered, parsed.corrects_entry_id, doubts)


def _too_long(length: int) -> str:
    return f"A line may be {LONGEST_LINE} characters long; this is {length}. Make it several notes."


def _said(entry: NewEntry, around: Surroundings) -> str:
    kind = "note: " if entry.kind == "note" else ""
    return f"{kind}{spell(entry)} · {time_words(entry.happened_utc, around.time_zone)}"


def time_named(typed: str, around: Surroundings) -> datetime | None:
    """When a line says that it happened, at its beginning or its end; None if it does not say.

    Raises Unclear for a time that cannot be.
    """
    text = clean(typed, longest=LONGEST_LINE)
    moment, _, _ = _moment_and_rest(text, around)
    return moment.happened_utc if moment.said else None


def _moment_and_rest(text: str, around: Surroundings) -> tuple[Moment, str, str]:
    """The time of a line, and the rest of it in plain signs and as typed."""
    moment = moment_of(plain(text), around)
    rest = plain(text)[moment.rest_at :].strip()
    raw = without_time(text).strip() if moment.said else text
    at_end = None if moment.said else _time_at_end(rest)
    if at_end is not None:
        moment = moment_of(at_end[1], around)
        rest = raw = rest[: at_end.start()]
    return moment, rest, raw


def _read(text: str, around: Surroundings) -> Parsed:
    """Time first, then the first word, then whatever reads that word."""
    moment, rest, raw = _moment_and_rest(text, around)
    if not rest:
        raise Unclear("What happened then? Write it after the time: at 22:15 seeing 3/5.")
    parsed = _read_timed(text, rest, raw or rest, moment, around)
    return replace(parsed, remarks=(*parsed.remarks, *moment.remarks))


def timed_again(text: str, happened_utc: datetime, time_zone: str) -> str:
    """A logged line as it is offered to be corrected: `at 22:15 seeing 3/5`.

    What was logged as `10 min ago` would otherwise move with every correction.
    """
    at_end = None if without_time(text) != text else _time_at_end(text)
    if at_end is not None:
        text = text[: at_end.start()] + text[at_end.end() :]
    return with_time_first(text, happened_utc, time_zone)


def _time_at_end(words: str) -> re.Match[str] | None:
    """The time that a line ends in, where it says when."""
    found = time_at_end(_before_remark(words))
    if found is None or not _may_end_in_a_time(words[: found.start()]):
        return None
    return found


def _may_end_in_a_time(words: str) -> bool:
    """Whether a time at the end of a line says when; in a note it may be about anything."""
    first = _LETTERS.match(words)
    if first is None:
        return frames.looks_like_frames(words)
    known = _known_word(words, first.group())
    if known is None:
        return guess.tells_of_an_object(words)
    return _READERS[known][1] in _TIMED_AT_END


def _read_timed(text: str, rest: str, raw: str, moment: Moment, around: Surroundings) -> Parsed:
    start = Line(text, moment.happened_utc, "", _before_remark(rest), raw, around)
    first = _LETTERS.match(rest)
    if first is None:
        if frames.looks_like_frames(rest):
            return frames.frames(replace(start, word="frames"))
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
    """Plain talk may begin with a known word: add how to log it as a note."""
    if _DIGIT.search(rest) or len(_LETTERS.findall(rest)) < 2 or "note" in str(problem):
        return problem
    return Unclear(f"{problem} To keep it as a note begin with note.")


def _as_note(start: Line, rest: str) -> Parsed:
    likely = replace(start, rest=_before_remark(rest))
    for reader in (
        guess.object_ran,
        guess.named_before_frames,
        guess.screw_first,
    ):
        parsed = reader(likely)
        if parsed is not None:
            return parsed
    guess.refuse_likely(likely, _FIRST_WORDS)
    name = rest.strip(" .!?")
    if len(name) <= _NAME_LENGTH and len(name.split()) <= 3:
        target = start.around.find_object(name)
        if target is not None and fold(name) != "sun":
            raise Unclear(f"{target.name} is an object: start {name}, or note {name}.")
    return Parsed(start.entry("note"), ("as a note: no known first word",))
