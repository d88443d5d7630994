"""The advice in letters that are read from the front of the tube."""

from collections.abc import Sequence
from textwrap import wrap

from rich.text import Text

from logbook.screen.big_letters import HIGH, big_lines
from logbook.screen.pages.screws_advice import MOVES, sense_words, spot_words, step_words
from logbook.screen.pages.screws_hand import Hand
from logbook.startest.advice import Advice, Step
from logbook.store.records import Screw

_LETTER_ROWS = 7


def dark_words(
    advice: Advice | None,
    hand: Hand,
    screws: Sequence[Screw],
    waiting: str,
    columns: int,
    rows: int,
) -> Text:
    """A whole page of letters: what to do next, small words of why, and the key that ends it.

    Without a step that is advised the turn in hand is not shown large: only an advice is.
    waiting -- how many frames of a watched folder have come; "" if none is watched.
    """
    step = advice.step if advice is not None and advice.kind in MOVES else None
    large = _step_words(step, hand, screws, rows) if step else _headline(advice, columns)
    least = len(large) * HIGH
    wrapped = [wrap(each, max(1, columns)) for each in _small_words(advice, screws, waiting)]
    small = [line for lines in wrapped for line in lines][: max(0, rows - least)]
    room = rows - len(small)
    return Text("\n").join([*_letters(large, columns, room), *(Text(each) for each in small)])


def _step_words(step: Step, hand: Hand, screws: Sequence[Screw], rows: int) -> list[str]:
    """Screw and amount, the way, and where there is room the clock sense."""
    amount = hand.amount_words() if hand.screw == step.screw else step_words(step).split()[-2]
    words = [f"{step.screw}  {amount}", "TIGHTEN" if step.turns > 0 else "LOOSEN"]
    sense = sense_words(step, screws)
    if sense and rows >= 3 * _LETTER_ROWS + 4:
        words.append(sense.upper().replace("ANTICLOCKWISE", "ANTI-CLOCK"))
    return words


def _headline(advice: Advice | None, columns: int) -> list[str]:
    """What else there is to do, as many words a line as fit at the smallest size."""
    if advice is None:
        return ["NO ADVICE"]
    lines = [""]
    for word in advice.headline.upper().split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and not big_lines(longer, columns, HIGH):
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def _letters(words: Sequence[str], columns: int, rows: int) -> list[Text]:
    """Each word as large as its share of the rows; a word that fits nowhere in small letters."""
    each_has = max(HIGH, (rows - (len(words) - 1)) // len(words))
    gap = [Text("")] if rows >= len(words) * (HIGH + 1) else []
    lines: list[Text] = []
    for word in words:
        drawn = big_lines(word, columns, each_has) or [word]
        lines += [*(Text(line, style="bold") for line in drawn), *gap]
    return lines[:rows]


def _small_words(advice: Advice | None, screws: Sequence[Screw], waiting: str) -> list[str]:
    """Two lines: what should be seen, and what Enter does."""
    if advice is None:
        return ["d: back to the page"]
    frames = f" · {waiting}" if waiting and advice.kind not in MOVES else ""
    return [_why(advice, screws), f"Enter: {_enter_does(advice)}{frames} · F8 undo · d page"]


def _why(advice: Advice, screws: Sequence[Screw]) -> str:
    if advice.doubts:
        return f"{advice.doubts[0].question}  1 yes  2 no"
    if advice.step is not None and advice.kind in MOVES and advice.predicted is not None:
        sense = sense_words(advice.step, screws)
        return f"{advice.amount_words} {sense}; shadow then {spot_words(advice.predicted)}"
    return advice.reasons[0] if advice.reasons else advice.headline


def _enter_does(advice: Advice) -> str:
    return "done, as said" if advice.kind in MOVES else "look"
