"""Night: the timeline of the night in progress, what runs now, fast entry."""

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.entryline.format import spell, spell_frames
from logbook.records.entries import EntryRecord
from logbook.records.runs import last_frames
from logbook.report.pages.night_short import sum_words
from logbook.screen.dialogs.sheets import Sheet
from logbook.screen.pages.night.correct_form import CorrectForm
from logbook.screen.pages.night.forms import MoveForm, RemindersForm
from logbook.screen.pages.night.frames import FrameLine
from logbook.screen.pages.night.frames_sheet import FramesSheet
from logbook.screen.pages.night.now import current_run, order_left
from logbook.screen.pages.night.prefill import propose
from logbook.screen.pages.night.reminding import read_wishes, reminders
from logbook.screen.pages.night.words import (
    entry_words,
    history_words,
    next_words,
    now_words,
    reminder_words,
    taken_out_words,
)
from logbook.screen.services import jobs
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.page import Page
from logbook.store.history.tonight import is_paused

REDRAWN_EVERY_S = 5.0
_ASKED = {  # before a key logs something
    "plus": "count the last frames up by one",
    "equals_sign": "count the last frames up by one",
    "c": "log cloud now",
    "C": "log a clear sky now",
    "m": "log the meridian crossing now",
    "b": "log a break that begins now",
}


class NightPage(Page):
    """What runs now, then the timeline with the newest entry in view."""

    TITLE = "Night"
    DEFAULT_CSS = """
    NightPage #night-now { height: auto; max-height: 4; text-style: bold; }
    NightPage #night-next { height: auto; max-height: 2; }
    NightPage #night-reminders { height: auto; max-height: 3; }
    NightPage #night-list { height: 1fr; border: none; padding: 0; background: $background; }
    NightPage #night-list:focus { border: none; }
    NightPage #night-sums { height: 1; color: $text-muted; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "e", "correct", "Correct", tooltip="Correct the chosen entry; the old text is kept"
        ),
        Binding(
            "d", "withdraw", "Withdraw", tooltip="Take the chosen entry out; F8 brings it back"
        ),
        Binding("h", "history", "History", tooltip="Every version of the chosen entry"),
        Binding("a", "move", "Move", tooltip="Give the chosen entry another time, object or night"),
        Binding("r", "repeat", "Repeat", tooltip="Log the last frames once more"),
        Binding("plus,equals_sign", "bump", "One more", tooltip="Count up the last frames by one"),
        Binding("c", "line('cloud')", "Cloud", tooltip="Mark cloud"),
        Binding("C", "line('clear')", "Clear", tooltip="Mark a clear sky"),
        Binding("s", "start_or_stop", "Start/stop", tooltip="What runs has ended; or start one"),
        Binding("m", "line('meridian')", "Meridian", tooltip="Mark the meridian crossed"),
        Binding("b", "break", "Break", tooltip="Begin a break, or end it"),
        Binding("n", "note", "Note", tooltip="Write a note"),
        Binding("g", "go_on", "Go on", tooltip="Start what the running order has next"),
        Binding("f", "frames", "Frames", tooltip="Frames from disk: add them, or watch a folder"),
        Binding("x", "put_aside", "Seen", tooltip="Put the first reminder aside"),
        Binding("l", "learned", "Learned", tooltip="Cooling, focus and dew, from readings"),
        Binding("o", "wishes", "Reminders", tooltip="The bell, and what reminders wait for"),
        Binding("space", "write", "Write", tooltip="To the entry line"),
    ]
    OWN_KEYS = (
        ("space", "to the entry line; Escape clears it, then comes back to the list"),
        ("e", "correct the chosen entry; the old text is kept"),
        ("a", "give the chosen entry another time, object or night"),
        ("d", "withdraw the chosen entry; F8 brings it back"),
        ("h", "every version of the chosen entry, and what was taken out"),
        ("r", "log the last frames once more"),
        ("+", "count the last frames up by one; the old count is kept"),
        ("c", "mark cloud; C marks a clear sky"),
        ("s", "what runs has ended; with nothing running, start an object"),
        ("m", "mark the meridian crossed"),
        ("b", "begin a break, or end it"),
        ("n", "write a note"),
        ("g", "start what the running order has next"),
        ("f", "frames from disk: add them, or watch a folder"),
        ("x", "put the first reminder aside"),
        ("o", "the bell, and what reminders wait for"),
        ("l", "cooling, focus and dew, learned from the night's readings"),
    )

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self._rung: set[str] = set()  # the reminders that the bell rang for

    def compose(self) -> ComposeResult:
        yield Static(id="night-now", markup=False)
        yield Static(id="night-next", markup=False)
        yield FrameLine(self.desk, id="night-frames")
        yield Static(id="night-reminders", markup=False)
        yield OptionList(id="night-list", markup=False)
        yield Static(id="night-sums", markup=False)

    def on_mount(self) -> None:
        self.set_interval(REDRAWN_EVERY_S, self._redraw_now)

    @property
    def _list(self) -> OptionList:
        return self.query_one("#night-list", OptionList)

    def take_focus(self) -> None:
        """Here one types at once."""
        self.app.query_one(EntryBar).take_keys()

    def leave_line(self) -> None:
        self._list.focus()

    # --- drawing ---

    def redraw(self) -> None:
        timeline = self.desk.view.timeline
        at_end = self._list.highlighted in (None, self._list.option_count - 1)
        kept = self._list.highlighted
        wide = self.app.size.width >= 100
        self._list.clear_options()
        self._list.add_options(
            [Option(entry_words(self.desk, each, wide=wide), id=str(each.id)) for each in timeline]
        )
        if timeline:
            last = len(timeline) - 1
            self._list.highlighted = last if at_end or kept is None else min(kept, last)
        self._redraw_now()
        self.query_one("#night-sums", Static).update(Text(sum_words(timeline) if timeline else ""))

    def redraw_sky(self) -> None:
        self._redraw_now()

    def on_resize(self) -> None:
        """A wide screen has room for more in each line."""
        self.redraw()

    def _redraw_now(self) -> None:
        if not self.is_mounted:  # the sky may be ready while the page is still being made
            return
        self.query_one("#night-now", Static).update(now_words(self.desk))
        self._show("#night-next", next_words(self.desk))
        waiting = reminders(self.desk)
        most = 3 if self.app.size.height >= 22 else 1
        self._show("#night-reminders", reminder_words(waiting, most))
        new = {each.occasion for each in waiting} - self._rung
        self._rung |= new
        if new and read_wishes(self.desk.view.reminders_line).bell:
            self.app.bell()

    def _show(self, where: str, words: Text) -> None:
        """Show words; without any their place is given to the list."""
        shown = self.query_one(where, Static)
        shown.update(words)
        shown.display = bool(words.plain)

    # --- acting ---

    def _chosen(self) -> EntryRecord | None:
        place = self._list.highlighted
        timeline = self.desk.view.timeline
        return timeline[place] if place is not None and place < len(timeline) else None

    def action_correct(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self.app.push_screen(CorrectForm(self.desk, chosen), self._corrected)

    def _corrected(self, job: Job | None) -> None:
        if job is not None:
            self.post_message(JobWanted(job))

    def action_withdraw(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self.post_message(JobWanted(jobs.withdraw_entry(chosen.id)))

    def action_move(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self.app.push_screen(MoveForm(self.desk, chosen), self._corrected)

    def action_history(self) -> None:
        book, night = self.desk.book, self.desk.view.night
        if book is None or night is None:
            return
        chosen = self._chosen()
        versions = book.timeline.history(chosen.id) if chosen else ()
        lines = [history_words(self.desk, each) for each in versions]
        gone = [taken_out_words(self.desk, each) for each in book.timeline.taken_out(night.id)]
        if gone:
            lines += [Text(""), Text("Taken out tonight, and still kept here", style="bold"), *gone]
        self.app.push_screen(Sheet("Every version of this entry, oldest first", lines))

    def action_repeat(self) -> None:
        frames = last_frames(self.desk.view.timeline)
        bar = self.app.query_one(EntryBar)
        if frames is None:
            bar.say("No frames logged yet tonight, so there is nothing to repeat.")
        else:
            bar.enter(spell_frames(frames).split(" (")[0])

    def action_bump(self) -> None:
        self.post_message(JobWanted(jobs.bump_frames))

    def action_line(self, line: str) -> None:
        """Keep a line that one key stands for."""
        self.app.query_one(EntryBar).enter(line)

    def action_start_or_stop(self) -> None:
        bar = self.app.query_one(EntryBar)
        if current_run(self.desk) is not None:
            bar.enter("stop")
        else:
            propose(bar, "start ")

    def action_break(self) -> None:
        self.action_line("back" if is_paused(self.desk.view.timeline) else "break")

    def action_put_aside(self) -> None:
        for each in reminders(self.desk)[:1]:
            self.desk.put_aside.add(each.occasion)
        self._redraw_now()

    def action_learned(self) -> None:
        from logbook.screen.dialogs.learned_sheet import LearnedSheet

        night = self.desk.view.night
        if night is not None:
            self.app.push_screen(LearnedSheet(self.desk, night.id))

    def action_wishes(self) -> None:
        self.app.push_screen(RemindersForm(self.desk), self._corrected)

    def action_note(self) -> None:
        propose(self.app.query_one(EntryBar), "note ")

    def action_go_on(self) -> None:
        """Begin the line that starts the next of the running order."""
        bar = self.app.query_one(EntryBar)
        coming = order_left(self.desk)
        if coming:
            propose(bar, f"start {coming[0].target.catalogue_id}")
        else:
            bar.say("Nothing is left of the running order: F2, then r, shows it.")

    def action_frames(self) -> None:
        self.app.push_screen(FramesSheet(self.desk, self.query_one(FrameLine)))

    def action_write(self) -> None:
        bar = self.app.query_one(EntryBar)
        typed = bar.run.text  # `x 12`: x and the space were typed for the line
        bar.type(typed if typed.strip() else "")

    def question_before(self, key: str) -> str:
        if self.desk.view.night is None:
            return ""
        if key == "s":
            run = current_run(self.desk)
            return f"log that {run.target.name} has ended" if run else ""
        if key == "r":
            frames = last_frames(self.desk.view.timeline)
            return f"log {spell_frames(frames).split(' (')[0]} once more" if frames else ""
        if key == "d":
            chosen = self._chosen()
            return f"take out {spell(chosen.content)}" if chosen else ""
        if key == "b" and is_paused(self.desk.view.timeline):
            return "log that the break is over"
        return _ASKED.get(key, "")
