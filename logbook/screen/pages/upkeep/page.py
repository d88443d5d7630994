"""Upkeep: what is due, what was done to the kit, what is wished for."""

from datetime import timedelta
from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.records.upkeep import Due
from logbook.report.words.upkeep_words import head_words
from logbook.screen.dialogs.pick import Choice, Pick
from logbook.screen.pages.upkeep import jobs
from logbook.screen.pages.upkeep.forms import DoneForm, PutOffForm, RuleForm
from logbook.screen.pages.upkeep.history import UpkeepHistory
from logbook.screen.pages.upkeep.told import FIRST_STEPS, KEY_WORDS, due_line, due_words
from logbook.screen.pages.upkeep.typed import noon_of
from logbook.screen.pages.upkeep.wishes import WishSheet
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.page import Page

_PAUSES = (("week", "a week", 7), ("month", "a month", 30), ("season", "three months", 91))


class UpkeepPage(Page):
    """The rules by how far they have come; all about the chosen one stands under or beside them."""

    TITLE = "Upkeep"
    DEFAULT_CSS = """
    UpkeepPage #upkeep-head { height: 1; text-style: italic; }
    UpkeepPage #upkeep-body { height: 1fr; layout: vertical; }
    UpkeepPage #upkeep-list { height: auto; max-height: 50%; border: none; padding: 0;
        background: $background; }
    UpkeepPage #upkeep-list:focus { border: none; }
    UpkeepPage #upkeep-what { height: 1fr; padding: 0 1; }
    UpkeepPage #upkeep-words { height: auto; }
    UpkeepPage #upkeep-keys { height: 1; color: $text-muted; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("d", "done", "Done", tooltip="Keep what was done, for the chosen rule or without"),
        Binding("o", "put_off", "Put off", tooltip="Put the chosen rule off, or take it up again"),
        Binding("n", "new_rule", "New rule", tooltip="Set a rule by which work falls due"),
        Binding("e", "change", "Change", tooltip="Change the chosen rule"),
        Binding("x", "retire", "Retire", tooltip="Retire the chosen rule"),
        Binding("h", "history", "History", tooltip="What was done to the part, year by year"),
        Binding("a", "everything", "All done", tooltip="What was done to everything"),
        Binding("w", "wishes", "Wishes", tooltip="The wish list, small hardware and its sizes"),
        Binding("space", "more", "More", tooltip="The rest of what is told of the chosen rule"),
    ]
    OWN_KEYS = (
        ("d Enter", "keep what was done: words, when, time, cost, before, after, photo"),
        ("o", "put the chosen rule off for a week, a month, till a date; or take it up again"),
        ("n e x", "set a rule; change the chosen one; retire it"),
        ("h a", "what was done to the part of the chosen rule; to everything, year by year"),
        ("w", "the wish list with prices, and small hardware with its sizes"),
        ("space", "the rest of what is told of the chosen rule"),
    )

    class DueRead(Message):
        """How far every rule has come."""

        def __init__(self, found: tuple[Due, ...]) -> None:
            super().__init__()
            self.found = found

    _found: tuple[Due, ...] | None = None  # None until it was read

    def compose(self) -> ComposeResult:
        yield Static(id="upkeep-head", markup=False)
        with Container(id="upkeep-body"):
            yield OptionList(id="upkeep-list", markup=False)
            with VerticalScroll(id="upkeep-what", can_focus=False):
                yield Static(id="upkeep-words", markup=False)
        yield Static(Text(KEY_WORDS), id="upkeep-keys", markup=False)

    @property
    def _list(self) -> OptionList:
        return self.query_one("#upkeep-list", OptionList)

    def take_focus(self) -> None:
        self._list.focus()

    def on_resize(self) -> None:
        self._draw()

    # --- reading and drawing ---

    def redraw(self) -> None:
        self._read()

    @work(thread=True, exclusive=True, exit_on_error=False, group="upkeep")
    def _read(self) -> None:
        book = self.desk.book
        if book is not None:
            self.post_message(self.DueRead(book.upkeep.due(self.desk.clock())))

    @on(DueRead)
    def _due_read(self, event: DueRead) -> None:
        self._found = event.found
        self._draw()

    def _draw(self) -> None:
        """The list anew, with the cursor on the rule it was on."""
        if self._found is None:
            return
        kept, place = self._chosen_id(), self._list.highlighted or 0
        wide = self.app.size.width >= 100
        columns = (70 if wide else self.app.size.width) - 2
        lines = ((each, due_line(each, self.desk.zone, columns)) for each in self._found)
        self._list.clear_options()
        self._list.add_options(Option(line, id=f"{each.record.id}") for each, line in lines)
        if self._found:
            places = {str(each.record.id): at for at, each in enumerate(self._found)}
            self._list.highlighted = places.get(kept or "", min(place, len(self._found) - 1))
        head = f"Upkeep: {head_words(self._found)}." if self._found else "Upkeep"
        self.query_one("#upkeep-head", Static).update(Text(head))
        self._describe()

    @on(OptionList.OptionHighlighted, "#upkeep-list")
    def _describe(self) -> None:
        chosen = self._chosen
        words = Text(FIRST_STEPS)
        if chosen is not None:
            words = due_words(chosen, self.desk.zone, self.desk.clock())
        self.query_one("#upkeep-words", Static).update(words)

    def _chosen_id(self) -> str | None:
        place = self._list.highlighted
        return None if place is None else self._list.get_option_at_index(place).id

    @property
    def _chosen(self) -> Due | None:
        chosen = self._chosen_id()
        return next((each for each in self._found or () if str(each.record.id) == chosen), None)

    def _chosen_or_say(self) -> Due | None:
        chosen = self._chosen
        if chosen is None:
            self.app.query_one(EntryBar).say("There is no rule yet; n sets one.")
        return chosen

    # --- keys ---

    @on(OptionList.OptionSelected, "#upkeep-list")
    def action_done(self) -> None:
        self.app.push_screen(DoneForm(self.desk, self._chosen), self._formed)

    def action_put_off(self) -> None:
        due = self._chosen_or_say()
        if due is None:
            return
        now = self.desk.local(self.desk.clock())
        choices = [
            Choice(answer, name, f"until {now + timedelta(days=days):%a %d %b %Y}")
            for answer, name, days in _PAUSES
        ]
        choices.append(Choice("date", "till a date", "you type it"))
        if due.snoozed_until_utc is not None:
            choices.insert(0, Choice("now", "take it up again", "it counts from now on"))
        self.app.push_screen(Pick(f"Put off: {due.name}", choices), lambda a: self._put_off(due, a))

    def _put_off(self, due: Due, answer: str | None) -> None:
        if answer == "date":
            self.app.push_screen(PutOffForm(self.desk, due), self._formed)
        elif answer == "now":
            self._formed(jobs.take_up(due))
        elif answer is not None:
            days = next(days for name, _, days in _PAUSES if name == answer)
            day = (self.desk.local(self.desk.clock()) + timedelta(days=days)).date()
            self._formed(jobs.put_off(due, noon_of(self.desk, day), f"{day}"))

    def action_new_rule(self) -> None:
        self._open_rule(None)

    def action_change(self) -> None:
        due = self._chosen_or_say()
        if due is not None:
            self._open_rule(due)

    def _open_rule(self, due: Due | None) -> None:
        self.app.push_screen(RuleForm(self.desk, due, self._found or ()), self._formed)

    def action_retire(self) -> None:
        due = self._chosen_or_say()
        if due is None:
            return

        def do(answer: str | None) -> None:
            if answer == "retire":
                self._formed(jobs.retire_rule(due))

        choices = [
            Choice("keep", "leave it as it is"),
            Choice("retire", "retire it", "it falls due no more; what was done stays"),
        ]
        self.app.push_screen(Pick(f"Retire the rule {due.name}?", choices), do)

    def action_history(self) -> None:
        chosen = self._chosen
        self._open_history(chosen.record.rule.part_name if chosen else None)

    def action_everything(self) -> None:
        self._open_history(None)

    def _open_history(self, part_name: str | None) -> None:
        self.app.push_screen(UpkeepHistory(self.desk, part_name))

    def action_wishes(self) -> None:
        self.app.push_screen(WishSheet(self.desk))

    def action_more(self) -> None:
        """Down by what fits; from the end back to the top."""
        what = self.query_one("#upkeep-what", VerticalScroll)
        if what.scroll_offset.y >= what.max_scroll_y:
            what.scroll_home(animate=False)
        else:
            what.scroll_relative(y=max(1, what.size.height - 1), animate=False)

    def _formed(self, job: Job | None) -> None:
        if job is not None:
            self.post_message(JobWanted(job))
