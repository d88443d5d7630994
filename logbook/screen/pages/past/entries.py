"""The entries of a night that is over: to be corrected, moved, withdrawn, and added to."""

from functools import partial
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from logbook.entryline.format import counted
from logbook.errors import BadInput, LogbookError
from logbook.records.entries import EntryRecord, NightRecord
from logbook.screen.dialogs.confirm_time import Doubting
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.live_sheet import ListSheet, save, set_words
from logbook.screen.dialogs.sheets import Sheet
from logbook.screen.pages.night.correct_form import CorrectForm
from logbook.screen.pages.night.forms import MoveForm
from logbook.screen.pages.night.words import entry_words, history_words, taken_out_words
from logbook.screen.services import jobs
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.services.understand_line import read_in
from logbook.screen.widgets.question import Question
from logbook.store.night_context import NightContext, read_night_context

_WIDE = 100  # columns


class NightEntries(ListSheet[NightContext]):
    """What was logged in a night, line by line, with the keys of the Night page.

    at_entry_id -- the entry to begin at.
    """

    KEY_WORDS = "e correct  a move  d withdraw  n add a line  h history  F1 keys  Escape back"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("e", "correct", "Correct", tooltip="Correct the chosen entry"),
        Binding("a", "move", "Move", tooltip="Give the chosen entry another time, object or night"),
        Binding("d", "withdraw", "Withdraw", tooltip="Take the chosen entry out"),
        Binding("h", "history", "History", tooltip="Every version of the chosen entry"),
        Binding("n,space", "add", "Add", tooltip="Add a line to this night"),
        Binding("f8", "undo(True)", "Undo", tooltip="Undo the last thing saved"),
        Binding("ctrl+y", "undo(False)", "Redo", tooltip="Do again what was undone"),
    ]

    def __init__(self, desk: Desk, night_id: int, at_entry_id: int | None = None) -> None:
        super().__init__(desk, "Entries of a night")
        self._night_id = night_id
        self._entry_id = at_entry_id
        self._newest = 0  # of the entries that were drawn
        self._written = ""

    def work_out(self) -> NightContext:
        book = self.desk.book
        if book is None:
            raise LogbookError("The book is not open yet.")
        return read_night_context(book, self._night_id)

    # --- drawing ---

    def draw(self) -> None:
        if self.found is not None:
            self.heading = f"Entries of the night of {night_words(self.found.night)}"
        super().draw()

    def top_words(self, found: NightContext) -> Text:
        """What was done last; else what is in the list."""
        if self._written:
            return Text(self._written, style="bold")
        if not found.timeline:
            return Text("Nothing was logged: n adds a line to this night.")
        return Text(f"{counted(len(found.timeline), 'entry', 'entries')}; n adds one.")

    def rows(self, found: NightContext) -> list[Text]:
        wide = self.app.size.width >= _WIDE
        return [entry_words(found, each, wide=wide) for each in found.timeline]

    def draw_body(self, found: NightContext) -> None:
        super().draw_body(found)
        ids = [each.id for each in found.timeline]
        newest = max(ids, default=0)
        wanted = newest if 0 < self._newest < newest else self._entry_id
        if wanted in ids:  # what was written just now, else what the sheet was opened at
            self.listed.bring(ids.index(wanted))
        self._newest, self._entry_id = newest, None

    def about_words(self, found: NightContext, place: int) -> Text:
        """The whole line, which the list may have cut, and what was typed."""
        record = found.timeline[place]
        words = entry_words(found, record, wide=False)
        if record.content.text:
            words.append(f"\ntyped: {record.content.text}", style="not bold")
        return words

    def say(self, words: str) -> None:
        """On top, to stay there: the sheet covers the entry line."""
        self._written = words
        if self.found is not None:
            set_words(self, "#live-top", self.top_words(self.found))

    # --- acting ---

    def taken(self, found: NightContext, place: int) -> None:
        self.action_correct()

    def action_correct(self) -> None:
        chosen = _chosen(self)
        if chosen is not None:
            self.app.push_screen(CorrectForm(self.desk, chosen, self.found), partial(save, self))

    def action_move(self) -> None:
        chosen = _chosen(self)
        if chosen is not None and self.found is not None:
            self.app.push_screen(MoveForm(self.desk, chosen, self.found.night), partial(save, self))

    def action_withdraw(self) -> None:
        chosen, found = _chosen(self), self.found
        if chosen is None or found is None:
            return

        def answered(yes: bool | None) -> None:
            if yes:
                save(self, jobs.withdraw_entry(chosen.id))

        line = entry_words(found, chosen, wide=False).plain
        words = f"Withdraw from the night of {found.night.local_date}?\n{line}"
        question = Question(words, "withdraw it; its text stays in the history", "enter")
        self.app.push_screen(question, answered)

    def action_add(self) -> None:
        if self.found is not None:
            self.app.push_screen(AddForm(self.desk, self.found), partial(save, self))

    def action_undo(self, back: bool) -> None:
        """Undo the last thing saved, or do it again."""
        save(self, jobs.take_back_last if back else jobs.do_again)

    def action_history(self) -> None:
        book, found, chosen = self.desk.book, self.found, _chosen(self)
        if book is None or found is None:
            return
        versions = book.timeline.history(chosen.id) if chosen else ()
        lines = [history_words(found, each) for each in versions]
        gone = book.timeline.taken_out(found.night.id)
        if gone:
            lines += [Text(""), Text("Withdrawn from this night", style="bold")]
            lines += [taken_out_words(found, each) for each in gone]
        self.app.push_screen(Sheet("Every version of this entry, oldest first", lines))


def _chosen(sheet: NightEntries) -> EntryRecord | None:
    place = sheet.listed.place
    return None if sheet.found is None or place is None else sheet.found.timeline[place]


class AddForm(Doubting):
    """A line as on the entry line, read in the zone, the date and the kit of a night that is over.

    It names its time, which `now` is not.
    """

    DEFAULT_CSS = """
    AddForm .field { height: auto; layout: vertical; }
    AddForm .field Input { width: 100%; }
    AddForm .field-label { display: none; }
    AddForm .field-said { width: 100%; height: auto; }
    """

    def __init__(self, desk: Desk, context: NightContext) -> None:
        self._desk, self._night_context = desk, context
        field = Field(
            "line",
            "The line",
            hint="at 1:20 seeing 3/5",
            check=self._said,
            help="What happened, as on the entry line, with its time of that night before it.",
            example="at 1:20 seeing 3/5",
        )
        intro = f"Times are those of that night in {context.time_zone}, after midnight too."
        heading = f"A line for the night of {night_words(context.night)}"
        super().__init__(heading, [field], intro, about=f"{context.night.id}")

    def _said(self, typed: str) -> str:
        understood = read_in(self._desk, typed, self._night_context)
        if understood.entry is None:
            raise BadInput(understood.problem or "type what happened")
        return understood.said

    def answer(self, values: dict[str, str]) -> Job:
        understood = read_in(self._desk, values["line"], self._night_context)
        if understood.entry is None:
            raise BadInput(understood.problem or "type what happened")
        self.doubt_time(self._night_context.night, understood.entry.happened_utc)
        return jobs.keep_understood(understood, night=self._night_context.night)


def night_words(night: NightRecord) -> str:
    """`Saturday 28 November 2026, Mill Hill`."""
    return (
        f"{night.local_date:%A} {night.local_date.day} {night.local_date:%B %Y}, {night.site.name}"
    )
