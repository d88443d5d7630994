"""The list of the Kit page, and what is shown beside or under it of the chosen train or part."""

from dataclasses import replace

from rich.text import Text
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.kit.parts.part import Part
from logbook.kit.train.sheet import Assumed
from logbook.records.entries import PartRecord, TrainRecord
from logbook.screen.pages.kit import list_filter
from logbook.screen.pages.kit.assumed import read_assumed
from logbook.screen.pages.kit.learned import Learned, read_learned
from logbook.screen.pages.kit.list_filter import Shown
from logbook.screen.pages.kit.words import (
    FIRST_STEPS,
    part_line,
    part_words,
    train_line,
    train_words,
)
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.page import Page, run_beside

Record = TrainRecord | PartRecord


class KitList:
    """Trains and parts in one list of the page, and what is known of the chosen one."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.desk = page.desk
        self.assumed = Assumed()
        self.learned: Learned | None = None  # None until it was read
        self._shown = Shown()
        self._known: set[str] = set()  # what the desk held when it was last drawn
        self._trains: tuple[TrainRecord, ...] = ()  # as listed, from the desk or with the retired
        self._parts: tuple[PartRecord, ...] = ()

    @property
    def options(self) -> OptionList:
        return self.page.query_one("#kit-list", OptionList)

    def say(self, words: str) -> None:
        self.page.app.query_one(EntryBar).say(words)

    def log(self, job: Job | None) -> None:
        """Have a job done; None is a form that was left."""
        if job is not None:
            self.page.post_message(JobWanted(job))

    # --- reading and drawing ---

    def redraw(self) -> None:
        self.assumed = read_assumed(self.desk.book)
        run_beside(self.page, self._read_learned, "kit learned")
        if self._shown.retired:
            run_beside(self.page, self._read_retired, "kit retired")
        else:
            self._fill(self.desk.view.trains, self.desk.view.parts)

    def _read_retired(self) -> None:
        """Everything in the book, the retired too."""
        book = self.desk.book
        if book is not None:
            trains = book.kit.trains(include_retired=True)
            parts = book.kit.parts(include_retired=True)
            self.page.call_later(self._retired_read, trains, parts)

    def _retired_read(self, trains: tuple[TrainRecord, ...], parts: tuple[PartRecord, ...]) -> None:
        if self._shown.retired:
            self._fill(trains, parts)

    def _read_learned(self) -> None:
        """What readings taught of trains and their telescopes."""
        book, view = self.desk.book, self.desk.view
        if book is not None:
            learned = read_learned(book, view.trains, view.parts)
            self.page.call_later(self._learned_read, learned)

    def _learned_read(self, learned: "Learned") -> None:
        if learned != self.learned:
            self.learned = learned
            self.describe()

    def _fill(self, trains: tuple[TrainRecord, ...], parts: tuple[PartRecord, ...]) -> None:
        """List what is to be shown of these, with the cursor where it was."""
        kept, view = self._chosen_id(), self.desk.view
        self._trains = tuple(self._shown.trains(trains))
        self._parts = tuple(self._shown.parts(parts))
        in_use = view.train.id if view.train else None
        options = [Option(train_line(each, in_use), id=f"train-{each.id}") for each in self._trains]
        columns = 45 if self.page.app.size.width >= 100 else self.page.app.size.width - 3
        options += [Option(part_line(each, columns), id=f"part-{each.id}") for each in self._parts]
        self.options.clear_options()
        self.options.add_options(options)
        places = {str(each.id): place for place, each in enumerate(options)}
        if places:
            self.options.highlighted = places.get(self._new_one(list(places)) or kept or "", 0)
        head = list_filter.head_words(self._shown, self._trains, self._parts)
        self.page.query_one("#kit-head", Static).update(Text(head))
        self.describe()

    def _new_one(self, listed: list[str]) -> str | None:
        """What was saved just now gets the cursor: of several the first, which is a train."""
        view = self.desk.view
        ids = {f"train-{each.id}" for each in view.trains}
        ids |= {f"part-{each.id}" for each in view.parts}
        before, self._known = self._known, ids
        return next((each for each in listed if before and each in ids - before), None)

    def describe(self) -> None:
        chosen = self.chosen()
        words = Text(FIRST_STEPS if self._shown.is_all else "Nothing of that sort.")
        if isinstance(chosen, TrainRecord):
            whole = self.page.app.size.width >= 100
            words = train_words(chosen, self.assumed_of(chosen), self.shelf(), whole=whole)
        elif isinstance(chosen, PartRecord):
            words = part_words(chosen)
        self.page.query_one("#kit-words", Static).update(words)

    # --- what is chosen ---

    def _chosen_id(self) -> str | None:
        place = self.options.highlighted
        return None if place is None else self.options.get_option_at_index(place).id

    def chosen(self) -> Record | None:
        chosen = self._chosen_id()
        if chosen is None:
            return None
        kind, _, number = chosen.partition("-")
        records: tuple[Record, ...] = self._trains if kind == "train" else self._parts
        return next((each for each in records if each.id == int(number)), None)

    def chosen_train(self) -> TrainRecord | None:
        """The chosen train; if a part is chosen, that one."""
        chosen = self.chosen()
        if isinstance(chosen, TrainRecord):
            return chosen
        self.say("Choose a train in the list first; c puts a new one together.")
        return None

    def chosen_part(self) -> PartRecord | None:
        chosen = self.chosen()
        if isinstance(chosen, PartRecord):
            return chosen
        self.say("Choose a part first, then v sets one of its values.")
        return None

    def shelf(self) -> tuple[Part, ...]:
        return tuple(each.part for each in self.desk.view.parts)

    def assumed_of(self, record: TrainRecord) -> Assumed:
        """With the telescope's own cooling constant, where readings gave one."""
        learned, parts = self.learned, self.desk.view.parts
        constant = learned.constant_of(record, parts) if learned else None
        return replace(self.assumed, learned_tau_min=constant.tau_min if constant else None)

    def show(self, answer: str | None) -> None:
        """List one kind or state, the wish list or the retired; "all" is everything again."""
        if answer is not None:
            self._shown = self._shown.after(answer)
            self.redraw()
