"""Lines about work on the kit: `upkeep PART: what was done, 25 min, cost 4.50; before …, after …`.

The line is read piece by piece; commas and semicolons part the pieces, quotes hold one together.
What is no time, cost, state or photo stays in the words of what was done.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from logbook.entryline.context import Line, Parsed, Unclear
from logbook.entryline.named import named
from logbook.entryline.tokens import NUMBER, fraction, number, plain, refuse_two_ways
from logbook.records.entries import UpkeepDone
from logbook.records.photo_path import photo_remark
from logbook.text import fold

_FLAGS = re.IGNORECASE
_LONGEST_ACTION = 200
_LONGEST_PATH = 1000
_MOST_MINUTES = 1e5
_MOST_COST = 1e9

_HOURS = r"(?:h|hrs?|hours?)"
_MINUTES = r"(?:mins?|minutes?)"
_TIME = (
    rf"(?:(?P<clock>[0-9]+:[0-5][0-9])\s*{_HOURS}"
    rf"|(?P<hours>{NUMBER}(?:\s+1/[24]|/[24])?|an?|half\s+an|a\s+quarter\s+of\s+an)\s*{_HOURS}"
    rf"(?:\s*(?:and\s+)?(?P<more>{NUMBER})\s*(?:{_MINUTES}|m)?)?"
    rf"|(?P<minutes>{NUMBER})\s*{_MINUTES})"
)
_SIGN = r"[£€$¥]|(?:eur|euros?|gbp|usd|dollars?|chf|francs?)\b"
_PRICE = rf"(?:{_SIGN})?\s*(?P<price>{NUMBER})(?![0-9])\s*(?P<unit>{_SIGN})?"
_COST_WORD = r"\b(?:costs?|paid|price|spent)\s*:?\s*"
_TIME_PIECE = re.compile(rf"(?:took|for|time:?|lasted)?\s*{_TIME}(?:\s+of\s+work)?", _FLAGS)
_TIME_WITHIN = re.compile(rf"\b{_TIME}\b(?!\s*of\s+(?:a\s+|the\s+)?clock)", _FLAGS)
_COST_PIECE = re.compile(
    rf"(?:(?:{_COST_WORD}){_PRICE}|(?P<sign>{_SIGN})\s*(?P<amount>{NUMBER}))", _FLAGS
)
_COST_WITHIN = re.compile(rf"{_COST_WORD}{_PRICE}", _FLAGS)
_CURRENCY = re.compile(_SIGN, _FLAGS)

_SEPARATOR = re.compile(r";|,(?![0-9])|(?<![0-9]),")
_PAIR = re.compile(r"(?<![,;\s])\s+(?=before:?\s+[^,;]+[,;]\s*after\b)", _FLAGS)
_STATE = re.compile(r"(?P<name>before|after)\b(?P<colon>\s*:)?\s*(?P<rest>\S.*)", _FLAGS)
_PHOTO = re.compile(r"(?:photo|picture)\b(?P<colon>\s*:)?\s*(?P<rest>\S.*)", _FLAGS)
_LIKE_PATH = re.compile(r"[./\\~]")


@dataclass(frozen=True, slots=True)
class _Piece:
    sign: str  # the separator before it
    words: str


def upkeep(line: Line) -> Parsed:
    """What was done to a part, with time, cost, before, after and a photo where they are given.

    Raises Unclear where nothing was done, or for a number that cannot be.
    """
    remarks: list[str] = []
    part, words = _part_and_words(line, remarks)
    done = _read(words, remarks)
    if not done.action:
        raise Unclear("What was done? upkeep focuser: cleaned and greased.")
    if len(done.action) > _LONGEST_ACTION:
        raise Unclear(f"Say what was done in {_LONGEST_ACTION} letters; the rest as a note.")
    entry = replace(line.entry("upkeep"), upkeep=replace(done, part_name=part))
    return Parsed(entry, tuple(remarks))


def _part_and_words(line: Line, remarks: list[str]) -> tuple[str | None, str]:
    """The part that a line names before a colon, and what follows."""
    words = line.raw_rest.strip(" :")
    for known in sorted(line.around.parts, key=len, reverse=True):
        rest = words[len(known) :]
        if fold(words[: len(known)]) == fold(known) and rest.lstrip().startswith(":"):
            return known, rest.lstrip(" :")
    name, colon, rest = words.partition(":")
    is_name = len(name) <= 120 and not re.search(r"[,;]|\b(?:before|photo|cost)$", name, _FLAGS)
    if not colon or not rest.strip() or not is_name or (name[-1:].isdigit() and rest[:1].isdigit()):
        return None, words
    part = named(name.strip(), line.around.parts, remarks, line.around.renamed)
    if part is None:
        remarks.append(f"{name.strip()[:40]} is none of your parts; kept by that name")
    return part or name.strip(), rest.strip()


def _read(words: str, remarks: list[str]) -> UpkeepDone:
    pieces = _pieces(_PAIR.sub("; ", words, count=1))
    found = UpkeepDone("")
    kept: list[_Piece] = []
    place = 0
    while place < len(pieces):
        piece, place = pieces[place], place + 1
        read = _read_piece(piece, pieces[place:], found, remarks) if kept else None
        if read is None:
            kept.append(piece)
            continue
        found, taken = read
        place += taken
    action = "".join(
        f"{each.sign} {each.words}" if at else each.words for at, each in enumerate(kept)
    )
    return _with_numbers_within(replace(found, action=action), remarks)


def _pieces(words: str) -> list[_Piece]:
    """The pieces of a line that say something, each with the separator before it."""
    found, sign, begun = [], "", 0
    quoted = [(each.start(), each.end()) for each in re.finditer(r'"[^"]*"', words)]
    for each in _SEPARATOR.finditer(words):
        if any(start < each.start() < end for start, end in quoted):
            continue
        found.append(_Piece(sign, words[begun : each.start()].strip()))
        sign, begun = each.group(), each.end()
    found.append(_Piece(sign, words[begun:].strip()))
    return [each for each in found if each.words]


def _read_piece(
    piece: _Piece, after: list[_Piece], found: UpkeepDone, remarks: list[str]
) -> tuple[UpkeepDone, int] | None:
    """What a piece adds, and how many of those after it belong to it; None for plain words."""
    said = plain(piece.words)
    time = _TIME_PIECE.fullmatch(said)
    if time is not None and found.minutes is None:
        return replace(found, minutes=_minutes(time)), 0
    cost = _COST_PIECE.fullmatch(said)
    if cost is not None and found.cost is None:
        return replace(found, cost=_cost(cost, remarks)), 0
    refuse_cost_two_ways(said)
    photo = _PHOTO.fullmatch(piece.words)
    if photo is not None and found.photo_path is None and _LIKE_PATH.search(photo["rest"]):
        path, taken = _stretch(photo["rest"], after)
        if len(path) > _LONGEST_PATH:
            raise Unclear(f"The path of a photo may be {_LONGEST_PATH} characters long.")
        remarks += filter(None, (photo_remark(path),))
        return replace(found, photo_path=path), taken
    return _read_state(piece, after, found)


def _read_state(
    piece: _Piece, after: list[_Piece], found: UpkeepDone
) -> tuple[UpkeepDone, int] | None:
    """`before …` and `after …`: alone only behind a semicolon or with a colon."""
    state = _STATE.fullmatch(piece.words)
    if state is None:
        return None
    is_before = state["name"].casefold() == "before"
    paired = found.before is not None
    if is_before:
        others = (_STATE.fullmatch(each.words) for each in after)
        paired = any(each is not None and each["name"].casefold() == "after" for each in others)
    if not (paired or state["colon"] or piece.sign == ";"):
        return None
    words, taken = _stretch(state["rest"], after)
    if is_before and found.before is None:
        return replace(found, before=words), taken
    if not is_before and found.after is None:
        return replace(found, after=words), taken
    return None


def _stretch(begun: str, after: list[_Piece]) -> tuple[str, int]:
    """Words that go on over commas, up to a semicolon or a piece with a meaning of its own."""
    if begun.startswith('"'):
        return begun.strip('"'), 0
    words, taken = begun, 0
    for each in after:
        if each.sign == ";" or _means_something(each.words):
            break
        words, taken = f"{words}, {each.words}", taken + 1
    return words, taken


def _means_something(words: str) -> bool:
    said = plain(words)
    return any(pattern.fullmatch(said) for pattern in (_TIME_PIECE, _COST_PIECE, _STATE, _PHOTO))


def _with_numbers_within(done: UpkeepDone, remarks: list[str]) -> UpkeepDone:
    """A time and a cost in the midst of the words are taken too; the words stay whole."""
    said = plain(done.action)
    if done.minutes is None:
        time = _TIME_WITHIN.search(said)
        done = done if time is None else replace(done, minutes=_minutes(time))
    if done.cost is None:
        refuse_cost_two_ways(said)
        cost = _COST_WITHIN.search(said)
        done = done if cost is None else replace(done, cost=_cost(cost, remarks))
    return done


def refuse_cost_two_ways(said: str) -> None:
    """Raises Unclear for `cost 1,200`."""
    word = re.search(rf"{_COST_WORD}(?:{_SIGN})?\s*([0-9][0-9,.]*)", said, _FLAGS)
    if word is not None:
        refuse_two_ways(word[1])


def _minutes(found: re.Match[str]) -> float:
    minutes = _of_clock(found["clock"]) + 60.0 * _amount(found["hours"])
    minutes += _amount(found["more"]) + _amount(found["minutes"])
    if not 0.0 <= minutes <= _MOST_MINUTES:
        raise Unclear(f"{found.group().strip()} of work is not possible in one entry.")
    return minutes


def _of_clock(words: str | None) -> float:
    hours, _, minutes = (words or "0:0").partition(":")
    return 60.0 * number(hours) + number(minutes)


def _amount(words: str | None) -> float:
    """`1.5`, `1 1/2`, `3/4`, `an`, `half an`."""
    said = (words or "0").casefold().split()
    if said[0] in ("a", "an") and "quarter" not in said:
        return 1.0
    if said[0] == "half":
        return 0.5
    if "quarter" in said:
        return 0.25
    return sum(fraction(*each.split("/")) if "/" in each else number(each) for each in said)


def _cost(found: re.Match[str], remarks: list[str]) -> float:
    groups = found.groupdict()
    cost = number(groups["price"] or groups.get("amount") or "0")
    if not 0.0 <= cost <= _MOST_COST:
        raise Unclear(f"a cost of {cost:g} is not possible.")
    if _CURRENCY.search(found.group()):
        remarks.append("of a cost the number alone is kept: stay with one currency")
    return cost


def upkeep_line(values: Mapping[str, str]) -> str:
    """The line that a form comes to: part, action, minutes, cost, before, after and photo."""
    part = f"{values['part']}: " if values.get("part") else ""
    pieces = [f"upkeep {part}{values['action']}"]
    minutes, cost = values.get("minutes", ""), values.get("cost", "")
    if minutes:
        bare = re.fullmatch(NUMBER, plain(minutes))
        pieces.append(f", {minutes} min" if bare else f", {minutes}")
    if cost:
        pieces.append(f", {'' if re.match(_COST_WORD, cost, _FLAGS) else 'cost '}{cost}")
    told = [name for name in ("before", "after", "photo") if values.get(name)]
    return "".join((*pieces, *(f"; {name}: {_quoted(values[name])}" for name in told)))


def _quoted(words: str) -> str:
    """In quotes, if a reader would else part it."""
    return f'"{words.replace(chr(34), chr(39))}"' if re.search('[,;"]', words) else words
