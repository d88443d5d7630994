"""The keys of the Screws page, and what those do that are about the turn in hand."""

from dataclasses import replace
from functools import partial

from textual.widgets import OptionList

from logbook.entryline.format import counted, spell
from logbook.records.entries import EntryRecord
from logbook.screen.pages.screws import sheets
from logbook.screen.pages.screws.jobs import job_of_yes
from logbook.screen.pages.screws.state import Screws
from logbook.screen.pages.screws.watching import FRAMES_A_LOOK
from logbook.screen.pages.screws.words import CENTRE_WHY
from logbook.screen.services.jobs import keep_entry
from logbook.screen.widgets.page_keys import KeyRow, KeyTable, PageKey, footer_words
from logbook.startest.screws.advice import Doubt

BOUNCE_S = 1.5  # a key that bounces under a glove is no second turn

# --- the turn in hand ---


def choose_screw(it: Screws, step: int) -> None:
    it.change_hand(it.turn.hand.next_screw(it.desk.view.screws, step))


def choose_way(it: Screws, *, tighten: bool) -> None:
    it.change_hand(replace(it.turn.hand, tighten=tighten))


def change_amount(it: Screws, step: int) -> None:
    it.change_hand(it.turn.hand.more(step))


def change_unit(it: Screws) -> None:
    it.change_hand(it.turn.hand.next_unit())


def take_advised(it: Screws) -> None:
    """Give up a turn of one's own, or a way back: the advised turn is in hand again."""
    it.hold(it.turn.given_up(it.advice.step))


def log_turn(it: Screws) -> None:
    """Ask whether the turn in hand was made; with none in hand, in the dark, have a look."""
    if not it.desk.view.screws:
        return
    if it.is_ready:
        it.asked_at = it.desk.clock()
        _ask_if_turned(it)
    elif it.page.has_class("-dark"):
        _look_in_the_dark(it)
    else:
        it.say(f"{_before_turning(it)} Arrows prepare a turn of your own.")


def _ask_if_turned(it: Screws) -> None:
    """Enter never logs by itself: an order to turn is no turn made."""
    if it.desk.view.night is None:
        it.say(_before_turning(it))
        return
    hand = it.turn.hand
    way = "tighter" if hand.tighten else "looser"
    words = f"{_still_to_do(it)}Did you turn {hand.screw} {hand.amount_words()} {way}?"
    it.page.ask(words, partial(_was_turned, it), "Enter: yes, log it   Escape: no")


def _still_to_do(it: Screws) -> str:
    """What should have come before another turn."""
    last, advice = it.turn_tonight(), it.advice.advice
    if last is not None and last.result is None and last.puts_back_entry_id is None:
        return f"What the last turn, of {last.screw}, did is not logged yet (b s w). "
    if advice is not None and advice.kind == "look":
        return "The page asks for a look first. "
    return ""


async def _was_turned(it: Screws) -> None:
    """The turn was made. A key that bounces under a glove answers nothing."""
    if (it.desk.clock() - it.asked_at).total_seconds() < BOUNCE_S:
        _ask_if_turned(it)
    elif it.in_night():
        entry = it.turn.hand.entry(it.desk.clock())
        it.log(keep_entry(entry, spell(entry)))


def _before_turning(it: Screws) -> str:
    """Why no turn is advised now."""
    if it.desk.view.night is None:
        return "Not kept: no night in progress. F10 starts one."
    if it.advice.doubt is not None:
        return "Answer first: 1 yes, 2 no."
    advice = it.advice.advice
    return advice.reasons[0] if advice is not None and advice.reasons else "Look first."


def _look_in_the_dark(it: Screws) -> None:
    """By eye, unless frames come by themselves."""
    if it.watcher.folder is None:
        sheets.look(it)
    else:
        count = len(it.setting.frames)
        it.say(f"Frames are awaited: {count} of {FRAMES_A_LOOK}. l looks by eye.")


# --- what a turn did, and what is in doubt ---


def log_result(it: Screws, result: str) -> None:
    if it.desk.view.night is not None and it.turn_tonight() is None:
        it.say("No turn yet tonight that could be judged.")
    else:
        it.enter_in_night(result)


def put_back(it: Screws) -> None:
    it.enter_in_night("put back")


def answer_yes(it: Screws) -> None:
    """It was as asked: correct the turns, or mark what else it comes to."""
    doubt = _doubt_or_say(it)
    if doubt is None:
        return
    if doubt.kind == "camera":
        sheets.camera_turned(it)
    elif doubt.kind == "moved":
        it.enter_in_night("transport; the secondary moved by itself")
    else:
        it.log(job_of_yes(doubt, _turns_tonight(it)))


def answer_as_logged(it: Screws) -> None:
    doubt = _doubt_or_say(it)
    if doubt is not None:
        it.advice.was_as_logged(doubt)
        it.page.redraw()


def _doubt_or_say(it: Screws) -> Doubt | None:
    if it.advice.doubt is None:
        it.say("Nothing is asked just now.")
    return it.advice.doubt


def _turns_tonight(it: Screws) -> list[EntryRecord]:
    night = it.desk.view.night
    return [each for each in it.desk.view.turns if night and each.night_id == night.id]


# --- the rest ---


def log_frames(it: Screws) -> None:
    """Log the frames of this setting as one look; the next frames begin anew."""
    if not it.setting.frames:
        it.say("No frames of this setting yet: m measures a picture, f watches a folder.")
    elif it.log_look(it.setting.frames):
        it.setting.frames = []


def switch_large(it: Screws) -> None:
    """Large letters, or the page again."""
    it.page.toggle_class("-dark")
    clear_for_letters(it)
    it.page.call_after_refresh(it.page.redraw)


def clear_for_letters(it: Screws, *, in_view: bool = True) -> None:
    """The night strip makes room for large letters while they are in view."""
    it.page.screen.set_class(in_view and it.page.has_class("-dark"), "-letters")


def say_centre(it: Screws) -> None:
    it.say(CENTRE_WHY)


def scroll_turns(it: Screws, step: int) -> None:
    turns = it.page.query_one("#screws-turns", OptionList)
    turns.scroll_relative(y=step * max(1, turns.size.height - 1), animate=False)


def _asks_result(it: Screws, did: str) -> str:
    return f"log that the last turn {did}" if it.turn_tonight() is not None else ""


def _asks_put_back(it: Screws) -> str:
    return "log that the last turn was put back" if it.desk.view.turns else ""


def _asks_frames(it: Screws) -> str:
    frames = it.setting.frames
    return f"log a look of {counted(len(frames), 'frame')}" if frames else ""


def _result_key(key: str, result: str, did: str) -> PageKey[Screws]:
    do, asks = partial(log_result, result=result), partial(_asks_result, did=did)
    return PageKey(key, f"The last turn {did}", do, asks=asks)


SCREWS_KEYS: KeyTable = (
    KeyRow(
        "↑ ↓",
        "choose the screw",
        PageKey("up", "The screw before", partial(choose_screw, step=-1)),
        PageKey("down", "The next screw", partial(choose_screw, step=1)),
        footer="↑↓ screw",
    ),
    KeyRow(
        "← →",
        "loosen or tighten",
        PageKey("left", "This turn loosens", partial(choose_way, tighten=False)),
        PageKey("right", "This turn tightens", partial(choose_way, tighten=True)),
        footer="←→ way",
    ),
    KeyRow(
        "+ -",
        "a larger or smaller turn",
        PageKey("plus,equals_sign", "A larger turn", partial(change_amount, step=1)),
        PageKey("minus", "A smaller turn", partial(change_amount, step=-1)),
        footer="+− amount",
    ),
    KeyRow(
        "u",
        "say amounts in sixteenths, eighths, minutes of a clock (60 a turn), degrees",
        PageKey("u", "Sixteenths, eighths, minutes of clock, degrees", change_unit, "u unit"),
    ),
    KeyRow(
        "Enter",
        "after turning: asks whether it was done, Enter logs it",
        PageKey("enter", "Say that the turn in hand was made; it is asked once more", log_turn),
    ),
    KeyRow(
        "Escape",
        "the advised turn in hand again",
        PageKey("escape", "The advised turn in hand again", take_advised),
    ),
    KeyRow(
        "b s w",
        "the last turn made it better, left it the same, made it worse",
        _result_key("b", "better", "made it better"),
        _result_key("s", "same", "changed nothing"),
        _result_key("w", "worse", "made it worse"),
    ),
    KeyRow(
        "p",
        "the last turn was put back",
        PageKey("p", "The last turn was put back", put_back, asks=_asks_put_back),
    ),
    KeyRow(
        "1 2",
        "answer what is asked about a turn: yes, or no, it was as logged",
        PageKey(
            "1",
            "Yes, to what is asked about a turn",
            answer_yes,
            asks=lambda _: "yes, change the book as asked",
        ),
        PageKey("2", "No, the turn was as logged", answer_as_logged),
    ),
    KeyRow(
        "a",
        "the advice with its reasons in numbers",
        PageKey("a", "The advice with its reasons in numbers", sheets.why, "a why"),
    ),
    KeyRow(
        "d",
        "the advice in large letters, read from the front of the tube; Enter, once turned, asks",
        PageKey(
            "d", "The advice in large letters, to be read from the tube", switch_large, "d large"
        ),
    ),
    KeyRow(
        "l",
        "look by eye: the arrows move the shadow in a drawn disc",
        PageKey("l", "Look by eye: move the shadow with the arrows", sheets.look, "l look"),
    ),
    KeyRow(
        "m",
        "measure pictures of the star; several of one setting average",
        PageKey("m", "Measure pictures of the star", sheets.measure, "m picture"),
    ),
    KeyRow(
        "f",
        "watch a folder, each new frame is measured as it lands; f again stops",
        PageKey("f", "Watch a folder for new frames, or stop", sheets.watch_folder, "f folder"),
    ),
    KeyRow(
        "k",
        "keep the frames of this setting as one look",
        PageKey(
            "k",
            "Keep the frames of this setting as a look",
            log_frames,
            "k keep frames",
            _asks_frames,
        ),
    ),
    KeyRow(
        "v",
        "two pictures side by side, with the circles found",
        PageKey("v", "Two pictures side by side", sheets.pictures, "v two pictures"),
    ),
    KeyRow(
        "c",
        "the camera was turned: its angle is learned anew",
        PageKey(
            "c",
            "The camera was turned: learn its angle anew",
            sheets.camera_turned,
            asks=lambda _: "log that the camera was turned",
        ),
    ),
    KeyRow(
        "z",
        "back to the start or to an earlier state, turn by turn",
        PageKey("z", "Back to the start, or to an earlier state", sheets.ways_back, "z ways back"),
    ),
    KeyRow(
        "o",
        "checks afterwards: in focus, second star, meridian, corners, adjustments",
        PageKey(
            "o",
            "Checks afterwards: focus, second star, meridian, field",
            sheets.afterwards,
            "o afterwards",
        ),
    ),
    KeyRow(
        "h",
        "the offset over the months, with what happened, and how long it holds",
        PageKey(
            "h", "The offset over the months, and how long it holds", sheets.history, "h history"
        ),
    ),
    KeyRow(
        "x",
        "why the centre screw is not offered",
        PageKey("x", "Why the centre screw is not offered", say_centre),
    ),
    KeyRow(
        "n",
        "name the outer screws, say where they sit and how they are held",
        PageKey("n", "Name the outer screws and say where they sit", sheets.name_screws),
    ),
    KeyRow(
        "PgUp PgDn",
        "newer and older turns of the list",
        PageKey("pageup", "Newer turns of the list", partial(scroll_turns, step=-1)),
        PageKey("pagedown", "Older turns of the list", partial(scroll_turns, step=1)),
    ),
)

_HAND_WORDS = footer_words(SCREWS_KEYS, ("↑ ↓", "← →", "+ -"), " ")
KEY_WORDS = f"{_HAND_WORDS} · {footer_words(SCREWS_KEYS, 'lmfda', ' ')} · F1 all"
KEY_WORDS_NARROW = f"{_HAND_WORDS} · {footer_words(SCREWS_KEYS, 'lmd', ' ')}"
MORE_KEYS = footer_words(SCREWS_KEYS, "zovhku", " · ")
