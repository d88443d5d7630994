"""Night: the timeline of the night in progress, what runs now, fast entry."""

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.screen import night_flow
from logbook.screen.desk import Desk, duration_words
from logbook.screen.entry_bar import EntryBar
from logbook.screen.messages import JobWanted
from logbook.screen.page import Page
from logbook.store.records import EntryRecord
from logbook.store.running import Run, last_frames, runs
from logbook.store.words import counted, spell, spell_frames, total_words


class NightPage(Page):
    """What runs now, then the timeline with the newest entry in view."""

    TITLE = "Night"
    DEFAULT_CSS = """
    NightPage #night-now { height: auto; max-height: 3; text-style: bold; }
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
        Binding("r", "repeat", "Repeat", tooltip="Log the last frames once more"),
        Binding("n", "note", "Note", tooltip="Write a note"),
        Binding("space", "write", "Write", tooltip="To the entry line"),
    ]
    OWN_KEYS = (
        ("space", "to the entry line; Escape comes back to the list"),
        ("e", "correct the chosen entry; the old text is kept"),
        ("d", "withdraw the chosen entry; F8 brings it back"),
        ("h", "every version of the chosen entry"),
        ("r", "log the last frames once more"),
        ("n", "write a note"),
    )

    def compose(self) -> ComposeResult:
        yield Static(id="night-now", markup=False)
        yield OptionList(id="night-list", markup=False)
        yield Static(id="night-sums", markup=False)

    def on_mount(self) -> None:
        self.set_interval(15.0, self._redraw_now)

    @property
    def _list(self) -> OptionList:
        return self.query_one("#night-list", OptionList)

    def take_focus(self) -> None:
        """With a night in progress the owner types at once."""
        if self.desk.view.night is not None:
            self.app.query_one(EntryBar).line.focus()
        else:
            self._list.focus()

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
        self.query_one("#night-sums", Static).update(sum_words(timeline))

    def redraw_sky(self) -> None:
        self._redraw_now()

    def _redraw_now(self) -> None:
        self.query_one("#night-now", Static).update(now_words(self.desk))

    # --- acting ---

    def _chosen(self) -> EntryRecord | None:
        place = self._list.highlighted
        timeline = self.desk.view.timeline
        return timeline[place] if place is not None and place < len(timeline) else None

    def action_correct(self) -> None:
        from logbook.screen.correct_form import CorrectForm

        chosen = self._chosen()
        if chosen is not None:
            self.app.push_screen(CorrectForm(self.desk, chosen), self._corrected)

    def _corrected(self, job: night_flow.Job | None) -> None:
        if job is not None:
            self.post_message(JobWanted(job))

    def action_withdraw(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self.post_message(JobWanted(night_flow.withdraw_entry(chosen.id)))

    def action_history(self) -> None:
        from logbook.screen.sheets import Sheet

        chosen, book = self._chosen(), self.desk.book
        if chosen is None or book is None:
            return
        lines = [history_words(self.desk, each) for each in book.timeline.history(chosen.id)]
        self.app.push_screen(Sheet("Every version of this entry, oldest first", lines))

    def action_repeat(self) -> None:
        frames = last_frames(self.desk.view.timeline)
        bar = self.app.query_one(EntryBar)
        if frames is None:
            bar.say("No frames logged yet tonight, so there is nothing to repeat.")
        else:
            bar.enter(spell_frames(frames).split(" (")[0])

    def action_note(self) -> None:
        bar = self.app.query_one(EntryBar)
        bar.restore("note ")
        bar.line.focus()

    def action_write(self) -> None:
        self.app.query_one(EntryBar).line.focus()


def entry_words(desk: Desk, record: EntryRecord, *, wide: bool) -> Text:
    """One line of the timeline: local time, on wide screens UTC too, and what it says."""
    entry = record.content
    line = Text(f"{desk.clock_words(entry.happened_utc)} ", style="bold")
    if wide:
        line.append(f"{entry.happened_utc:%H:%M} UTC  ", style="not bold")
    line.append(spell(entry), style="not bold")
    if record.supersedes_id is not None:
        line.append(" (corrected)", style="not bold italic")
    return line


def history_words(desk: Desk, record: EntryRecord) -> Text:
    """One version: when it was written, why, for when, and the words as typed."""
    causes = {None: "written", "correct": "corrected", "withdraw": "withdrawn"}
    cause = causes.get(record.cause, record.cause)
    local = desk.local(record.recorded_utc)
    entry = record.content
    words = Text(f"{local:%d %b %H:%M:%S} {cause}", style="bold")
    words.append(f"  for {desk.clock_words(entry.happened_utc)}: {spell(entry)}", style="not bold")
    return words


def now_words(desk: Desk) -> Text:
    """What runs now, or what to do first."""
    night = desk.view.night
    if night is None:
        words = "No night in progress. F10 starts one."
        if desk.view.nights:
            last = desk.view.nights[0]
            words += f" The last was {last.night.local_date}: {last.entries} entries."
        return Text(words)
    found = runs(desk.view.timeline)
    since = f"Night of {night.local_date:%a %d %b}, begun {desk.clock_words(night.started_utc)}"
    train = desk.view.train
    with_train = f" with {train.train.name}" if train else ""
    if not found or found[-1].stopped_utc is not None:
        return Text(f"{since}{with_train}. Nothing runs: `start m31` begins an object.")
    return Text(f"{since}{with_train}\n{_run_words(desk, found[-1])}")


def _run_words(desk: Desk, run: Run) -> str:
    elapsed = duration_words(desk.clock() - run.started_utc)
    frames = (
        f"{run.frames} frames, {total_words(run.exposure_s)}" if run.frames else "no frames yet"
    )
    words = (
        f"Now: {run.target.name} for {elapsed}, since {desk.clock_words(run.started_utc)}: {frames}"
    )
    tonight = desk.tonight
    if tonight is None:
        return words
    same = (each for each in tonight.suggestions if each.object_id == run.target.catalogue_id)
    found = next(same, None)
    if found is None:
        return words
    return f"{words}; good until {desk.clock_words(found.to_utc)}"


def sum_words(timeline: tuple[EntryRecord, ...]) -> Text:
    """The night so far, in a line."""
    if not timeline:
        return Text("")
    light = [
        each.content.frames
        for each in timeline
        if each.content.frames is not None and each.content.frames.frame_type == "light"
    ]
    seconds = sum(each.count * each.exposure_s for each in light)
    turns = sum(each.content.turn is not None for each in timeline)
    frames = sum(each.count for each in light)
    words = f"{counted(len(timeline), 'entry', 'entries')}, {counted(frames, 'frame')}"
    words += f", {total_words(seconds)} exposed" if seconds else ""
    words += f", {counted(turns, 'screw turn')}" if turns else ""
    return Text(words)
