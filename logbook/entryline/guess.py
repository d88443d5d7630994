"""Lines that begin with no known word and still hardly are notes: what they mean, or what to ask.

A note may say anything, and begins with `note` where something here would take it for more.
"""

import re

from logbook.entryline import frames, screw_turn
from logbook.entryline import named as line_names
from logbook.entryline.context import Line, Parsed, Unclear
from logbook.text import fold

_FLAGS = re.IGNORECASE
_STARTED = ("started", "starts", "begun")
_RAN = re.compile(
    rf"(.{{1,24}}?)\s+({'|'.join(_STARTED)}|stopped|ended|done|finished)[.!]?", _FLAGS
)
_GONE_TO = re.compile(
    r"(?:now\s+on|on|now|next|goto|go\s+to|slew(?:ing|ed)?\s+to|moved\s+to|switched\s+to|done\s+with"
    r"|finished(?:\s+with)?)\s+(.{1,24})",
    _FLAGS,
)
_CLOCK_ALONE = re.compile(
    r"((?:at\s+)?(?:[01]?[0-9]|2[0-3])(?:\.?[0-5][0-9])?)[\s,:]+([^\W\d_]+)(.*)", _FLAGS
)
_TURN = re.compile(
    r"(?:[0-9]\s*/\s*[0-9]+|\bquarter\b|\bhalf\b|\beighth\b|\bsixteenth\b).{0,6}"
    r"\b(?:turns?|cw|ccw|(?:anti|counter)?clockwise)\b",
    _FLAGS,
)
_AMOUNT = re.compile(r"[0-9]|\b(?:quarter|half|eighth|sixteenth)\b", _FLAGS)
_LIKE_A_TURN = re.compile(
    r"(?:[0-9]+\s*/|(?:tighten|loosen|in|out|cw|ccw|clockwise|anticlockwise|counterclockwise)\b)",
    _FLAGS,
)
_LONGEST_NAME = 3  # words of a name before frames


def tells_of_an_object(words: str) -> bool:
    """Whether the words read like an object that began or ended: `m31 started`."""
    return _RAN.fullmatch(words) is not None


def object_ran(line: Line) -> Parsed | None:
    """`m31 started`, `m31 done`."""
    found = _RAN.fullmatch(line.rest)
    if found is None or not _known(line, found[1]):
        return None
    begun = found[2].casefold() in _STARTED
    reader = line_names.started if begun else line_names.stopped
    return reader(_with(line, "start" if begun else "stop", found[1]))


def named_before_frames(line: Line) -> Parsed | None:
    """`Ha 20x180`, and `m31 20x180 Ha` while that object runs. Raises Unclear if it does not."""
    words = line.rest.split(" ")
    for count in range(1, min(_LONGEST_NAME, len(words) - 1) + 1):
        name, rest = " ".join(words[:count]), " ".join(words[count:])
        if not frames.looks_like_frames(rest):
            continue
        if frames.filter_named(name, line.around, []) is not None:
            return frames.frames(_with(line, "frames", line.rest))
        if frames.is_running(name, line.around):
            return frames.frames(_with(line, "frames", rest))
    return None


def screw_first(line: Line) -> Parsed | None:
    """`A tighten 1/8`; `a 5 min pause` is a note, though a screw is called A."""
    first, _, rest = line.rest.partition(" ")
    named = any(fold(first) == fold(screw.name) for screw in line.around.screws)
    if not named or not _AMOUNT.search(rest):
        return None
    try:
        return screw_turn.screw_turn(_with(line, "turn", line.rest))
    except Unclear:
        if _LIKE_A_TURN.match(rest):
            raise
        return None


def refuse_likely(line: Line, first_words: frozenset[str]) -> None:
    """Raises Unclear for what is more likely an entry in other words than a note."""
    clock = _CLOCK_ALONE.fullmatch(line.rest)
    if clock and clock[2].casefold() in first_words:
        shown = clock[1].removeprefix("at").strip()
        raise Unclear(f"Is {shown} a time? Write it as in at 22:15 {clock[2]}{clock[3][:20]}.")
    gone = _GONE_TO.fullmatch(line.rest.rstrip(".!"))
    if gone and _known(line, gone[1]):
        verb = "stop" if gone[0].casefold().startswith(("done", "fin")) else "start"
        raise Unclear(f"To log it: {verb} {gone[1]}. To keep it as a note begin with note.")
    if line.around.screws and _TURN.search(line.rest):
        raise Unclear(
            "A turn of a screw begins with turn: turn "
            f"{line.around.screws[0].name} tighten 1/8. To keep it as a note begin with note."
        )


def _known(line: Line, name: str) -> bool:
    return line_names.moving_target(name) is not None or line.around.find_object(name) is not None


def _with(line: Line, word: str, rest: str) -> Line:
    return Line(line.text, line.happened_utc, word, rest, rest, line.around)
