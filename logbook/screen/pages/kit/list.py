"""The list of the Kit page, and what is told beside or under it of the chosen train or part."""

from dataclasses import replace
from typing import TYPE_CHECKING

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.containers import Container, VerticalScroll
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.kit.parts.part import Part
from logbook.kit.train.sheet import Assumed
from logbook.records.entries import PartRecord, TrainRecord
from logbook.screen.dialogs.pick import Pick
from logbook.screen.pages.kit import list_filter
from logbook.screen.pages.kit.assumed import read_assumed
from logbook.screen.pages.kit.list_filter import Shown
from logbook.screen.pages.kit.words import (
    FIRST_STEPS,
    KEY_WORDS,
    part_line,
    part_words,
    train_line,
    train_words,
)
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.page import Page

if TYPE_CHECKING:
    from logbook.screen.pages.kit.learned import Learned

Record = TrainRecord | PartRecord


class KitList(Page):
    """Trains and parts in one list: everything, one kind, one state, or what was retired."""

    DEFAULT_CSS = """
    KitList #kit-head { height: 1; text-style: italic; }
    KitList #kit-body { height: 1fr; layout: vertical; }
    KitList #kit-list { height: 7; border: none; padding: 0; background: $background; }
    KitList #kit-list:focus { border: none; }
    KitList #kit-what { height: 1fr; padding: 0 1; }
    KitList #kit-keys { height: 1; color: $text-muted; }
    """

    class RetiredRead(Message):
        """Everything in the book, the retired too."""

        def __init__(self, trains: tuple[TrainRecord, ...], parts: tuple[PartRecord, ...]) -> None:
            super().__init__()
            self.trains = trains
            self.parts = parts

    class LearnedRead(Message):
        """What readings taught of trains and their telescopes."""

        def __init__(self, learned: "Learned") -> None:
            super().__init__()
            self.learned = learned

    _learned: "Learned | None" = None  # None until it was read
    _shown = Shown()
    _known: frozenset[str] | set[str] = frozenset()  # what the desk held when it was last drawn
    _assumed = Assumed()
    _trains: tuple[TrainRecord, ...] = ()  # as listed, from the desk or with the retired
    _parts: tuple[PartRecord, ...] = ()

    def compose(self) -> ComposeResult:
        yield Static(id="kit-head", markup=False)
        with Container(id="kit-body"):
            yield OptionList(id="kit-list", markup=False)
            with VerticalScroll(id="kit-what", can_focus=False):
                yield Static(id="kit-words", markup=False)
        yield Static(Text(KEY_WORDS), id="kit-keys", markup=False)

    @property
    def _list(self) -> OptionList:
        return self.query_one("#kit-list", OptionList)

    def take_focus(self) -> None:
        self._list.focus()

    def on_resize(self) -> None:
        self.redraw()

    def redraw(self) -> None:
        self._assumed = read_assumed(self.desk.book)
        self._read_learned()
        if self._shown.retired:
            self._read_retired()
        else:
            self._fill(self.desk.view.trains, self.desk.view.parts)

    @work(thread=True, exclusive=True, exit_on_error=False, group="kit retired")
    def _read_retired(self) -> None:
        book = self.desk.book
        if book is not None:
            trains = book.kit.trains(include_retired=True)
            self.post_message(self.RetiredRead(trains, book.kit.parts(include_retired=True)))

    @work(thread=True, exclusive=True, exit_on_error=False, group="kit learned")
    def _read_learned(self) -> None:
        from logbook.screen.pages.kit.learned import read_learned

        book, view = self.desk.book, self.desk.view
        if book is not None:
            self.post_message(self.LearnedRead(read_learned(book, view.trains, view.parts)))

    @on(LearnedRead)
    def _learned_read(self, event: LearnedRead) -> None:
        if event.learned != self._learned:
            self._learned = event.learned
            self._describe()

    def _assumed_of(self, record: TrainRecord) -> Assumed:
        """With the telescope's own cooling constant, where readings gave one."""
        learned, parts = self._learned, self.desk.view.parts
        constant = learned.constant_of(record, parts) if learned else None
        return replace(self._assumed, learned_tau_min=constant.tau_min if constant else None)

    @on(RetiredRead)
    def _retired_read(self, event: RetiredRead) -> None:
        if self._shown.retired:
            self._fill(event.trains, event.parts)

    def _fill(self, trains: tuple[TrainRecord, ...], parts: tuple[PartRecord, ...]) -> None:
        """List what is to be shown of these, with the cursor where it was."""
        kept, view = self._chosen_id(), self.desk.view
        self._trains = tuple(self._shown.trains(trains))
        self._parts = tuple(self._shown.parts(parts))
        in_use = view.train.id if view.train else None
        options = [Option(train_line(each, in_use), id=f"train-{each.id}") for each in self._trains]
        columns = 45 if self.app.size.width >= 100 else self.app.size.width - 3
        options += [Option(part_line(each, columns), id=f"part-{each.id}") for each in self._parts]
        self._list.clear_options()
        self._list.add_options(options)
        places = {str(each.id): place for place, each in enumerate(options)}
        if places:
            self._list.highlighted = places.get(self._new_one(list(places)) or kept or "", 0)
        head = list_filter.head_words(self._shown, self._trains, self._parts)
        self.query_one("#kit-head", Static).update(Text(head))
        self._describe()

    def _new_one(self, listed: list[str]) -> str | None:
        """What was kept just now gets the cursor: of several the first, which is a train."""
        view = self.desk.view
        ids = {f"train-{each.id}" for each in view.trains}
        ids |= {f"part-{each.id}" for each in view.parts}
        before, self._known = self._known, ids
        return next((each for each in listed if before and each in ids - before), None)

    @on(OptionList.OptionHighlighted, "#kit-list")
    def _describe(self) -> None:
        chosen = self._chosen()
        words = Text(FIRST_STEPS if self._shown.is_all else "Nothing of that sort.")
        if isinstance(chosen, TrainRecord):
            whole = self.app.size.width >= 100
            words = train_words(chosen, self._assumed_of(chosen), self._shelf(), whole=whole)
        elif isinstance(chosen, PartRecord):
            words = part_words(chosen)
        self.query_one("#kit-words", Static).update(words)

    def _chosen_id(self) -> str | None:
        place = self._list.highlighted
        return None if place is None else self._list.get_option_at_index(place).id

    def _chosen(self) -> Record | None:
        chosen = self._chosen_id()
        if chosen is None:
            return None
        kind, _, number = chosen.partition("-")
        records: tuple[Record, ...] = self._trains if kind == "train" else self._parts
        return next((each for each in records if each.id == int(number)), None)

    def _chosen_train(self) -> TrainRecord | None:
        """The chosen train; if a part is chosen, that is told."""
        chosen = self._chosen()
        if isinstance(chosen, TrainRecord):
            return chosen
        self._say("Choose a train in the list first; c puts a new one together.")
        return None

    def _chosen_part(self) -> PartRecord | None:
        chosen = self._chosen()
        if isinstance(chosen, PartRecord):
            return chosen
        self._say("Choose a part first, then v sets one of its values.")
        return None

    def _shelf(self) -> tuple[Part, ...]:
        return tuple(each.part for each in self.desk.view.parts)

    def _say(self, words: str) -> None:
        self.app.query_one(EntryBar).say(words)

    def action_more(self) -> None:
        """Down by what fits; from the end back to the top."""
        what = self.query_one("#kit-what", VerticalScroll)
        if what.scroll_offset.y >= what.max_scroll_y:
            what.scroll_home(animate=False)
        else:
            what.scroll_relative(y=max(1, what.size.height - 1), animate=False)

    def action_show(self) -> None:
        choices = list_filter.choices(self.desk.view.parts, self.desk.view.trains)
        intro = "A kind and a state may be chosen one after the other."
        self.app.push_screen(Pick("Show", choices, intro), self._show)

    def _show(self, answer: str | None) -> None:
        if answer is not None:
            self._shown = self._shown.after(answer)
            self.redraw()

    def action_show_all(self) -> None:
        self._show("all")
