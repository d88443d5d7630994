"""What the Screws page shows: the turn in hand, the disc, the sums, the turns, large letters."""

from rich.text import Text
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.screen.pages.screws.advice import advice_words
from logbook.screen.pages.screws.dark import dark_words, question_in_the_dark
from logbook.screen.pages.screws.keys import KEY_WORDS, KEY_WORDS_NARROW, MORE_KEYS
from logbook.screen.pages.screws.state import Screws
from logbook.screen.pages.screws.watching import FRAMES_A_LOOK
from logbook.screen.pages.screws.words import (
    CARE_SHORT,
    CARE_WORDS,
    TALL,
    hand_words,
    head_words,
    idle_words,
    seen_since_turn,
    sum_words,
    then_words,
    turn_line,
)
from logbook.screen.services.book_snapshot import is_mirror_telescope
from logbook.screen.widgets.disc import disc_lines
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.picture_view import PictureView

WIDE = 100  # columns from which lines hold more
_DISC = (24, 11)  # columns and rows
_WIDE_DISC = (40, 19)


def draw(it: Screws) -> None:
    """Draw everything from the desk, the advice and the hand."""
    it.page.query_one("#screws-next", Static).update(_next_words(it))
    _draw_disc(it)
    sums = sum_words(it.desk, it.advice.advice, wide=_is_wide(it))
    it.page.query_one("#screws-sums", Static).update(sums)
    _list_turns(it)
    _draw_care(it)
    _draw_why(it)
    _draw_live(it)
    draw_large(it)


def draw_large(it: Screws) -> None:
    """Large letters, or a question in them, where they are in view."""
    if it.page.has_class("-dark"):
        it.page.call_after_refresh(_draw_dark, it)


def _is_wide(it: Screws) -> bool:
    return it.page.app.size.width >= WIDE


def _next_words(it: Screws) -> Text:
    """The advice and the turn that Enter would log, or why there is none."""
    view, size, hand = it.desk.view, it.page.app.size, it.turn.hand
    words = head_words(it.desk, size.height, it.watcher.folder)
    if view.telescope is None or not is_mirror_telescope(view.telescope.part):
        return words
    if not view.screws:
        return words
    way_left = it.turn.way_left
    advised, narrow = it.is_advised_in_hand and not way_left, size.width < 80
    if it.is_ready:
        words.append_text(hand_words(hand, view.screws, way_left, advised=advised, narrow=narrow))
    else:
        words.append_text(idle_words(hand, view.screws))
    seen = seen_since_turn(view)
    keys = KEY_WORDS_NARROW if narrow else KEY_WORDS
    if size.height >= TALL:
        keys += f"\n{MORE_KEYS}"
    words.append_text(then_words(it.turn_tonight(), hand, keys, seen_since=seen))
    words.append_text(advice_words(it.advice.advice, in_hand=advised))
    words.rstrip()
    return words


def _draw_disc(it: Screws) -> None:
    view, advice = it.desk.view, it.advice.advice
    columns, rows = _WIDE_DISC if _is_wide(it) else _DISC
    seen = view.last_look.content.look if view.last_look else None
    pulls = advice.responses if advice else ()
    lines = []
    if view.screws or seen is not None:
        screw = it.turn.hand.screw or None
        lines = disc_lines(seen, view.screws, columns, rows, screw, pulls)
    disc = it.page.query_one("#screws-disc", Static)
    disc.styles.width = columns + 2
    disc.update(Text("\n".join(lines)))


def _list_turns(it: Screws) -> None:
    wide = _is_wide(it)
    turns = it.page.query_one("#screws-turns", OptionList)
    turns.clear_options()
    turns.add_options(
        [
            Option(turn_line(it.desk, each, it.advice.outcomes.get(each.id), wide=wide))
            for each in reversed(it.desk.view.turns)
        ]
    )


def _draw_care(it: Screws) -> None:
    words, advice = CARE_WORDS, it.advice.advice
    if advice is not None and advice.cautions:
        words = f"{advice.cautions[0]}\n{CARE_SHORT}"
    it.page.query_one("#screws-care", Static).update(Text(words))


def _draw_why(it: Screws) -> None:
    """On a tall terminal the reasons stand on the page itself."""
    advice = it.advice.advice
    reasons = advice.reasons if advice and it.page.app.size.height >= TALL else ()
    why = it.page.query_one("#screws-why", Static)
    why.display = bool(reasons) and not it.page.has_class("-dark")
    why.update(Text("\n".join(("Why", *(f"  {each}" for each in reasons)))))


def _draw_live(it: Screws) -> None:
    """The frame measured last with its circles, while a folder is watched and there is room."""
    live, last = it.page.query_one("#screws-live", PictureView), it.setting.last
    tall = it.page.app.size.height >= TALL
    live.display = it.watcher.folder is not None and _is_wide(it) and tall
    live.show(last.shown if last else None)


def _draw_dark(it: Screws) -> None:
    dark = it.page.query_one("#screws-dark", Static)
    size, screws = dark.size, it.desk.view.screws
    question = it.page.app.query_one(EntryBar).question
    if question is not None:
        dark.update(question_in_the_dark(question.words, size.width, size.height))
        return
    count = len(it.setting.frames)
    waiting = f"{count} of {FRAMES_A_LOOK} frames" if it.watcher.folder else ""
    hand = it.turn.hand if it.is_ready else None
    dark.update(dark_words(it.advice.advice, hand, screws, waiting, size.width, size.height))
