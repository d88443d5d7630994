"""The advice in letters that are read from the front of the tube."""

from collections.abc import Sequence
from textwrap import wrap

from rich.text import Text

from logbook.records.entries import Screw
from logbook.screen.pages.screws.advice import sense_words, spot_words
from logbook.screen.pages.screws.hand import Hand
from logbook.screen.pages.screws.words import CARE_LOOSENING
from logbook.screen.widgets.big_letters import HIGH, big_lines
from logbook.startest.screws.advice import Advice, Step

_LETTER_ROWS = 7


def dark_words(
    advice: Advice | None,
    hand: Hand | None,
    screws: Sequence[Screw],
    waiting: str,
    columns: int,
    rows: int,
) -> Text:
    """A whole page of letters: what to do next, small words of why, and the key that ends it.

    hand -- the turn that Enter keeps; None where there is to be a look, or nothing, first.
    waiting -- how many frames of a watched folder have come; "" if none is watched.
    """
    large = _turn_words(hand, screws, rows) if hand else _headline(advice, columns)
    least = len(large) * HIGH
    care = [CARE_LOOSENING] if hand is not None and not hand.tighten else []
    small = [*care, _why(advice, hand, screws), _keys(hand, waiting)]
    wrapped = [line for each in small for line in wrap(each, max(1, columns))]
    shown = wrapped[: max(0, rows - least)]
    letters = _letters(large, columns, rows - len(shown))
    return Text("\n").join([*letters, *(Text(each) for each in shown)])


def question_in_the_dark(words: str, columns: int, rows: int) -> Text:
    """What is asked before something is logged, and in large letters the keys that answer."""
    asked = [Text(line.ljust(columns), "bold reverse") for line in wrap(words, max(1, columns))]
    answers = ["ENTER YES", "ESC NO"]
    if not big_lines(answers[0], columns, HIGH):
        answers = ["ENTER", "ESC"]  # which is which stands in the words
    letters = _letters(answers, columns, max(0, rows - len(asked)))
    return Text("\n").join([*asked, *letters])


def _turn_words(hand: Hand, screws: Sequence[Screw], rows: int) -> list[str]:
    """Screw and amount, the way, and where there is room the clock sense."""
    words = [f"{hand.screw}  {hand.amount_words()}", hand.way.upper()]
    sense = _sense(hand, screws)
    if sense and rows >= 3 * _LETTER_ROWS + 4:
        words.append(sense.upper().replace("ANTICLOCKWISE", "ANTI-CLOCK"))
    return words


def _sense(hand: Hand, screws: Sequence[Screw]) -> str:
    return sense_words(Step(hand.screw, hand.turns), screws)


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


def _why(advice: Advice | None, hand: Hand | None, screws: Sequence[Screw]) -> str:
    """What should be seen after the turn; what is asked; else the first reason."""
    if hand is not None:
        return f"{_sense(hand, screws)}{_expected(advice, hand)}"
    if advice is None:
        return "The next turn is being worked out."
    if advice.doubts:
        return f"{advice.doubts[0].question}  1 yes  2 no"
    return advice.reasons[0] if advice.reasons else advice.headline


def _expected(advice: Advice | None, hand: Hand) -> str:
    """Only of the advised turn is it known what the star should show then."""
    if advice is None or advice.step is None or advice.predicted is None:
        return ""
    if advice.step.screw != hand.screw or abs(advice.step.turns - hand.turns) > 1e-3:
        return ""
    return f", {advice.amount_words}; shadow then {spot_words(advice.predicted)}"


def _keys(hand: Hand | None, waiting: str) -> str:
    if hand is not None:
        return "Enter: turned? asks · F8 undo · d page"
    return f"Enter: look{f' · {waiting}' if waiting else ''} · F8 undo · d page"
