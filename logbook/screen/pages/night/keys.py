"""The keys of the Night page: what each does, and what is asked before one logs something."""

from functools import partial

from rich.text import Text

from logbook.entryline.format import spell, spell_frames
from logbook.records.runs import last_frames
from logbook.screen.dialogs.learned_sheet import LearnedSheet
from logbook.screen.dialogs.sheets import Sheet
from logbook.screen.pages.night.correct_form import CorrectForm
from logbook.screen.pages.night.forms import MoveForm, RemindersForm
from logbook.screen.pages.night.frames import FrameLine
from logbook.screen.pages.night.frames_sheet import FramesSheet
from logbook.screen.pages.night.list import NightList
from logbook.screen.pages.night.now import current_run, order_left
from logbook.screen.pages.night.reminding import reminders
from logbook.screen.pages.night.words import history_words, taken_out_words
from logbook.screen.services import jobs
from logbook.screen.widgets.page_keys import KeyRow, KeyTable, PageKey
from logbook.store.history.tonight import is_paused

# --- the chosen entry ---


def correct(it: NightList) -> None:
    chosen = it.chosen()
    if chosen is not None:
        it.page.app.push_screen(CorrectForm(it.desk, chosen), it.log)


def withdraw(it: NightList) -> None:
    chosen = it.chosen()
    if chosen is not None:
        it.log(jobs.withdraw_entry(chosen.id))


def _asks_withdraw(it: NightList) -> str:
    chosen = it.chosen()
    return f"take out {spell(chosen.content)}" if chosen else ""


def move(it: NightList) -> None:
    chosen = it.chosen()
    if chosen is not None:
        it.page.app.push_screen(MoveForm(it.desk, chosen), it.log)


def history(it: NightList) -> None:
    book, night = it.desk.book, it.desk.view.night
    if book is None or night is None:
        return
    chosen = it.chosen()
    versions = book.timeline.history(chosen.id) if chosen else ()
    lines = [history_words(it.desk, each) for each in versions]
    gone = [taken_out_words(it.desk, each) for each in book.timeline.taken_out(night.id)]
    if gone:
        lines += [Text(""), Text("Taken out tonight, and still kept here", style="bold"), *gone]
    it.page.app.push_screen(Sheet("Every version of this entry, oldest first", lines))


# --- one key, one entry ---


def repeat(it: NightList) -> None:
    frames = last_frames(it.desk.view.timeline)
    if frames is None:
        it.bar.say("No frames logged yet tonight, so there is nothing to repeat.")
    else:
        it.bar.enter(spell_frames(frames).split(" (")[0])


def _asks_repeat(it: NightList) -> str:
    frames = last_frames(it.desk.view.timeline)
    return f"log {spell_frames(frames).split(' (')[0]} once more" if frames else ""


def enter_line(it: NightList, line: str) -> None:
    """Log a line that one key stands for."""
    it.bar.enter(line)


def start_or_stop(it: NightList) -> None:
    if current_run(it.desk) is not None:
        it.bar.enter("stop")
    else:
        it.bar.propose("start ")


def _asks_stop(it: NightList) -> str:
    run = current_run(it.desk)
    return f"log that {run.target.name} has ended" if run else ""


def take_break(it: NightList) -> None:
    it.bar.enter("back" if is_paused(it.desk.view.timeline) else "break")


def _asks_break(it: NightList) -> str:
    if is_paused(it.desk.view.timeline):
        return "log that the break is over"
    return "log a break that begins now"


# --- the line ---


def note(it: NightList) -> None:
    it.bar.propose("note ")


def go_on(it: NightList) -> None:
    """Begin the line that starts the next of the running order."""
    coming = order_left(it.desk)
    if coming:
        it.bar.propose(f"start {coming[0].target.catalogue_id}")
    else:
        it.bar.say("Nothing is left of the running order: F2, then r, shows it.")


def write(it: NightList) -> None:
    typed = it.bar.run.text  # `x 12`: x and the space were typed for the line
    it.bar.type(typed if typed.strip() else "")


# --- frames from disk, reminders, what was learned ---


def frames_from_disk(it: NightList) -> None:
    it.page.app.push_screen(FramesSheet(it.desk, it.page.query_one(FrameLine)))


def dismiss_reminder(it: NightList) -> None:
    for each in reminders(it.desk)[:1]:
        it.desk.put_aside.add(each.occasion)
    it.redraw_now()


def learned(it: NightList) -> None:
    night = it.desk.view.night
    if night is not None:
        it.page.app.push_screen(LearnedSheet(it.desk, night.id))


def wishes(it: NightList) -> None:
    it.page.app.push_screen(RemindersForm(it.desk), it.log)


NIGHT_KEYS: KeyTable = (
    KeyRow(
        "space",
        "to the entry line; Escape clears it, then comes back to the list",
        PageKey("space", "To the entry line", write),
    ),
    KeyRow(
        "e",
        "correct the chosen entry; the old text is kept",
        PageKey("e", "Correct the chosen entry; the old text is kept", correct),
    ),
    KeyRow(
        "a",
        "give the chosen entry another time, object or night",
        PageKey("a", "Give the chosen entry another time, object or night", move),
    ),
    KeyRow(
        "d",
        "withdraw the chosen entry; F8 brings it back",
        PageKey("d", "Take the chosen entry out; F8 brings it back", withdraw, asks=_asks_withdraw),
    ),
    KeyRow(
        "h",
        "every version of the chosen entry, and what was taken out",
        PageKey("h", "Every version of the chosen entry", history),
    ),
    KeyRow(
        "r",
        "log the last frames once more",
        PageKey("r", "Log the last frames once more", repeat, asks=_asks_repeat),
    ),
    KeyRow(
        "+",
        "count the last frames up by one; the old count is kept",
        PageKey(
            "plus,equals_sign",
            "Count up the last frames by one",
            lambda it: it.log(jobs.bump_frames),
            asks=lambda _: "count the last frames up by one",
        ),
    ),
    KeyRow(
        "c",
        "mark cloud; C marks a clear sky",
        PageKey(
            "c", "Mark cloud", partial(enter_line, line="cloud"), asks=lambda _: "log cloud now"
        ),
        PageKey(
            "C",
            "Mark a clear sky",
            partial(enter_line, line="clear"),
            asks=lambda _: "log a clear sky now",
        ),
    ),
    KeyRow(
        "s",
        "what runs has ended; with nothing running, start an object",
        PageKey("s", "What runs has ended; or start one", start_or_stop, asks=_asks_stop),
    ),
    KeyRow(
        "m",
        "mark the meridian crossed",
        PageKey(
            "m",
            "Mark the meridian crossed",
            partial(enter_line, line="meridian"),
            asks=lambda _: "log the meridian crossing now",
        ),
    ),
    KeyRow(
        "b",
        "begin a break, or end it",
        PageKey("b", "Begin a break, or end it", take_break, asks=_asks_break),
    ),
    KeyRow("n", "write a note", PageKey("n", "Write a note", note)),
    KeyRow(
        "g",
        "start what the running order has next",
        PageKey("g", "Start what the running order has next", go_on),
    ),
    KeyRow(
        "f",
        "frames from disk: add them, or watch a folder",
        PageKey("f", "Frames from disk: add them, or watch a folder", frames_from_disk),
    ),
    KeyRow(
        "x",
        "put the first reminder aside",
        PageKey("x", "Put the first reminder aside", dismiss_reminder),
    ),
    KeyRow(
        "o",
        "the bell, and what reminders wait for",
        PageKey("o", "The bell, and what reminders wait for", wishes),
    ),
    KeyRow(
        "l",
        "cooling, focus and dew, learned from the night's readings",
        PageKey("l", "Cooling, focus and dew, from readings", learned),
    ),
)
