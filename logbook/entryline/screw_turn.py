"""Screw turns: `turn A tighten 1/8 better`, `put back`, and `better` typed after the turn."""

import re
from dataclasses import dataclass, replace

from logbook.entryline.context import Explained, Line, NotThis, Parsed, Surroundings, Unclear
from logbook.entryline.fractions import take_fraction, take_in_words, take_number
from logbook.entryline.tokens import NUMBER, Scan, nearest, number, refuse_two_ways
from logbook.errors import BadInput
from logbook.records.check_entry import refuse_centre_screw
from logbook.records.entries import EntryRecord, Screw, Turn
from logbook.text import fold

_FLAGS = re.IGNORECASE
MOST_TURNS = 1.0
FIRST_WORDS = ("turn", "turned", "screw", "tighten", "tightened", "loosen", "loosened")
DIRECTIONS = ("tighten", "loosen", "in", "out", "clockwise", "anticlockwise")
RESULTS = ("better", "same", "worse")

_IN = ("tighten", "tightened", "in", "inward", "inwards")
_OUT = ("loosen", "loosened", "out", "outward", "outwards")
_CW = ("clockwise", "cw")
_CCW = ("anticlockwise", "counterclockwise", "counter-clockwise", "anti-clockwise", "ccw")
_LONGEST_FIRST = sorted((*_IN, *_OUT, *_CW, *_CCW), key=len, reverse=True)
_DIRECTION = re.compile(rf"\s*({'|'.join(_LONGEST_FIRST)})\b", _FLAGS)
_SIGN = re.compile(r"\s*([+-])(?=\s*[0-9.])")
_BEFORE_SCREW = re.compile(r"(?:[\s,:]+|(?:the|screws?|only)\b)+", _FLAGS)
_UNIT = re.compile(
    r"\s*(?:of\s+an?\s+)?(?:(turns?|rev(?:olution)?s?)|(deg(?:rees)?|°)"
    r"|(mins?|minutes?|m|')(?:\s+of\s+(?:the\s+|a\s+)?clock)?)(?![a-z])",
    _FLAGS,
)
_RESULT = re.compile(r"\s*(?:(?:now|looks|is|it's|the)\s+)*(better|same|worse)\b", _FLAGS)
_FROM_TO = re.compile(rf"\s*from\s+({NUMBER})\s+to\s+({NUMBER})(?![0-9])", _FLAGS)
_PUT_BACK = re.compile(r"\s*put(?:ting)?\s+back\b", _FLAGS)
_LOCK = re.compile(
    r"\s*(?:push[\s-]?pull|(?:re-?)?locked(?:\s+again)?|unlocked|lock(?:ing)?\s+screws?"
    r"(?:\s+(?:eased|snug|set|tight|loose|free))?)\b",
    _FLAGS,
)
_PUSH_PULL = re.compile(r"\s*(push|pushed|pull|pulled)\b(?![\s-]?pull)", _FLAGS)
_SKIPPED = re.compile(r"[\s,.:]+|(?:by|of|a|an|the|screw|turn|and|it|then|but)\b", _FLAGS)
_HOW_MUCH = "How much? 1/8, a sixteenth, 5 min (60 make a turn) or 20 deg."


@dataclass(slots=True)
class _Found:
    """What was gathered so far; what stays None was not typed."""

    screw: str = ""
    direction: str | None = None
    turns: float | None = None
    result: str | None = None
    before: float | None = None
    after: float | None = None
    puts_back: bool = False
    push_pull: str | None = None  # which of the two screws at that place was turned


def screw_turn(line: Line) -> Parsed:
    """Read one turn of one outer screw. Raises Unclear."""
    refuse_two_ways(line.rest)
    remarks: list[str] = []
    found = _Found(direction=_direction_in(line.word))
    scan = Scan(line.rest)
    scan.take(_BEFORE_SCREW)
    if found.direction is None:
        _take_direction(scan, found)
        scan.take(_BEFORE_SCREW)
    found.screw = _take_screw(scan, line.around.screws, remarks)
    while not scan.ended:
        if not any(take(scan, found) for take in _TAKERS) and not scan.take(_SKIPPED):
            raise Unclear(f"{scan.stretch()} is not known here. A remark goes after a semicolon.")
    return _complete(line, found, remarks)


def _direction_in(word: str) -> str | None:
    if word.startswith("tighten"):
        return "tighten"
    return "loosen" if word.startswith("loosen") else None


def _take_direction(scan: Scan, found: _Found) -> bool:
    taken = scan.take(_DIRECTION) or scan.take(_SIGN)
    if taken is None:
        return False
    if found.direction is not None:
        raise Unclear(f"{found.direction} or {taken[1]}? One turn a line.")
    found.direction = taken[1].casefold()
    return True


def _take_lock(scan: Scan, found: _Found) -> bool:
    """How the screw is held stays in the words; pushing and pulling say which way it tilts."""
    if scan.take(_LOCK):
        return True
    pushed = scan.take(_PUSH_PULL)
    if pushed is None:
        return False
    found.push_pull = "push" if pushed[1].casefold().startswith("push") else "pull"
    return True


def _take_outcome(scan: Scan, found: _Found) -> bool:
    if scan.take(_PUT_BACK):
        found.puts_back = True
        return True
    result = scan.take(_RESULT)
    if result:
        found.result = result[1].casefold()
        return True
    offsets = scan.take(_FROM_TO)
    if offsets:
        found.before, found.after = _offset(offsets[1]), _offset(offsets[2])
    return bool(offsets)


def _offset(digits: str) -> float:
    value = number(digits)
    if not 0.0 <= value <= 1.0:
        raise Unclear(f"an offset of {value:g} is outside the disc: 0 to 1 of its radius.")
    return value


def _take_turns(scan: Scan, found: _Found) -> bool:
    digits = None
    amount = take_in_words(scan)
    if amount is None:
        amount = take_fraction(scan)
    if amount is None:
        digits = take_number(scan)
        if digits is None:
            return False
        amount = number(digits)
    if found.turns is not None:
        raise Unclear("Two amounts are named. One turn a line.")
    found.turns = amount * _unit(scan, digits)
    return True


def _unit(scan: Scan, digits: str | None) -> float:
    """How much of a turn the unit is. A bare whole number has none, and that is asked."""
    unit = scan.take(_UNIT)
    if unit is None:
        if digits is not None and "." not in digits:
            raise Unclear(f"{digits[:8]} of what? {digits[:8]} min, {digits[:8]} deg, or 1/8.")
        return 1.0
    if unit[2]:
        return 1.0 / 360.0
    return 1.0 / 60.0 if unit[3] else 1.0


_TAKERS = (_take_lock, _take_direction, _take_outcome, _take_turns)


def _take_screw(scan: Scan, screws: tuple[Screw, ...], remarks: list[str]) -> str:
    """The screw named where the scan stands. Raises Unclear if there is none of that name."""
    rest = scan.text[scan.at :]
    for screw in sorted(screws, key=lambda each: -len(each.name)):
        named = re.match(rf"{re.escape(screw.name)}(?!\w)", rest, _FLAGS)
        if named:
            scan.at += named.end()
            return screw.name
    word = re.match(r"[^\W_][\w'-]{0,39}", rest)
    names = ", ".join(screw.name for screw in screws)
    if word is None or _DIRECTION.fullmatch(word.group()) or word.group()[0].isdigit():
        raise Unclear(f"Which screw? {names or 'Name it: turn A tighten 1/8'}.")
    try:
        refuse_centre_screw(word.group())
    except BadInput as why:
        raise Unclear(str(why)) from why
    scan.at += word.end()
    if not screws:
        return word.group()
    folded = {fold(screw.name): screw.name for screw in screws}
    meant = folded.get(fold(word.group())) or folded.get(
        nearest(fold(word.group()), tuple(folded)) or ""
    )
    if meant is None:
        raise Unclear(f"There is no screw {word.group()}: {names}.")
    remarks.append(f"read {word.group()} as {meant}")
    return meant


def _complete(line: Line, found: _Found, remarks: list[str]) -> Parsed:
    if found.direction is None:
        raise Unclear(f"Which way did {found.screw} turn? tighten or loosen (in, out, clockwise).")
    if found.turns is None:
        raise Unclear(_HOW_MUCH)
    screw = next((each for each in line.around.screws if each.name == found.screw), None)
    turns = round(_signed(found.turns, found.direction, screw), 5)
    _refuse_impossible(turns)
    if found.push_pull is not None:
        turns = _of_a_pair(found, turns, screw, remarks)
    elif screw is not None and found.direction not in _CW + _CCW:
        way = "clockwise" if (turns > 0) == screw.tighten_clockwise else "anticlockwise"
        remarks.append(Explained(way))
    undone = _undone(found, turns, line.around) if found.puts_back else None
    if found.puts_back and undone is None:
        remarks.append("no turn of that size is there to be put back; kept as a turn")
    turn = Turn(
        found.screw,
        turns,
        found.result,
        puts_back_entry_id=undone,
        offset_before=found.before,
        offset_after=found.after,
    )
    return Parsed(replace(line.entry("turn"), turn=turn), tuple(remarks))


def _of_a_pair(found: _Found, turns: float, screw: Screw | None, remarks: list[str]) -> float:
    """Tightening a pulling screw tilts the other way: it counts as loosening at that place."""
    if screw is not None and screw.lock_kind not in ("", "push-pull"):
        raise Unclear(f"{screw.name} is no push-pull screw: turn {screw.name} tighten 1/8.")
    if found.push_pull == "pull":
        remarks.append("tightening what pulls counts as loosening what pushes")
        return -turns
    return turns


def _refuse_impossible(turns: float) -> None:
    if turns == 0:
        raise Unclear("A turn of nothing is no turn.")
    if abs(turns) > MOST_TURNS:
        raise Unclear(
            f"{abs(turns):.3g} turns at once is too much: a screw may come out and free the "
            "mirror. One turn an entry at most; log steps one by one, and look between them."
        )


def _signed(turns: float, direction: str, screw: Screw | None) -> float:
    """Turns with tightening positive. Raises Unclear if only the clock sense is known."""
    if direction in (*_IN, "+"):
        return turns
    if direction in (*_OUT, "-"):
        return -turns
    if screw is None:
        raise Unclear("Does that tighten or loosen? Say tighten or loosen: the screw is not known.")
    return turns if (direction in _CW) == screw.tighten_clockwise else -turns


def _undone(found: _Found, turns: float, around: Surroundings) -> int | None:
    """The latest turn that this one puts back: same screw, as far the other way."""
    for record in reversed(_standing(around)):
        turn = record.content.turn
        if turn and fold(turn.screw) == fold(found.screw) and abs(turn.turns + turns) < 1e-3:
            return record.id
    return None


def _standing(around: Surroundings) -> tuple[EntryRecord, ...]:
    """Turns that are neither put back already nor the putting back of another."""
    turns = [each for each in around.last_turns if each.content.turn is not None]
    undone = {each.content.turn.puts_back_entry_id for each in turns if each.content.turn}
    return tuple(
        each
        for each in turns
        if each.id not in undone
        and each.content.turn is not None
        and each.content.turn.puts_back_entry_id is None
    )


_WHAT_BACK = re.compile(
    r"\s*(?:(?:the\s+)?(?:screw\s+)?(.{1,40}?)\s+)?back(?:\s+(?:screw\s+)?(.{1,40}?))?\s*[.!]?\s*",
    _FLAGS,
)


def put_back(line: Line) -> Parsed:
    """`put back` or `put A back`: the latest turn, the other way.

    Raises Unclear where there is none, and NotThis for anything but a screw between.
    """
    named = _WHAT_BACK.fullmatch(line.rest)
    if named is None:
        raise NotThis
    standing = _standing(line.around)
    wanted = fold(named[1] or named[2] or "")
    if wanted:
        if wanted not in {fold(each.name) for each in line.around.screws}:
            raise NotThis
        standing = tuple(each for each in standing if _screw_of(each) == wanted)
    if not standing:
        raise Unclear("There is no turn to put back. Say it whole: turn A loosen 1/8 put back.")
    last = standing[-1]
    assert last.content.turn is not None
    turn = Turn(last.content.turn.screw, -last.content.turn.turns, puts_back_entry_id=last.id)
    return Parsed(replace(line.entry("turn"), turn=turn))


def _screw_of(record: EntryRecord) -> str:
    return fold(record.content.turn.screw) if record.content.turn else ""


def judged(line: Line) -> Parsed:
    """`better`, `same` or `worse` alone: what the latest turn did. It corrects that entry.

    Raises Unclear where there is no turn, and NotThis where more follows the word.
    """
    if line.rest.strip(" .!"):
        raise NotThis
    turns = [each for each in line.around.last_turns if each.content.turn is not None]
    if not turns:
        raise Unclear(f"{line.word} than what? Say it with the turn: turn A tighten 1/8 better.")
    last = turns[-1]
    assert last.content.turn is not None
    text = f"{last.content.text}, {line.text}"
    turn = replace(last.content.turn, result=line.word)
    return Parsed(replace(last.content, text=text, turn=turn), corrects_entry_id=last.id)
