"""Kit: parts and trains, what they measure and weigh, the numbers of the chosen train."""

from dataclasses import replace
from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import OptionList

from logbook.kit.parts.part import Part, Train
from logbook.kit.train.sheet import Assumed
from logbook.records.entries import PartRecord, TrainRecord
from logbook.records.names import Sort
from logbook.screen.dialogs.pick import Choice, Pick
from logbook.screen.dialogs.sheets import Sheet
from logbook.screen.pages.kit.assumed import ReckonWith, keep_assumed
from logbook.screen.pages.kit.bench import Bench
from logbook.screen.pages.kit.history import part_history_lines, train_history_lines
from logbook.screen.pages.kit.jobs import CopyTrain, Rename, bring_back, name_of, retire
from logbook.screen.pages.kit.kit_forms import NewPart, NewTrain, SetValue
from logbook.screen.pages.kit.list import KitList, Record
from logbook.screen.pages.kit.part_form import PartForm
from logbook.screen.pages.kit.rings import RingFinder
from logbook.screen.pages.kit.sections import TrainSections, beside_lines, pair_rows
from logbook.screen.pages.kit.words import part_words
from logbook.screen.services import jobs
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.widgets.entry_bar import EntryBar

_RETIRED = "It is retired; x brings it back."


class KitPage(KitList):
    """Trains and parts in one list; what the chosen one is stands beside or under it."""

    TITLE = "Kit"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "new_part", "New part", tooltip="Write down a part you have or wish for"),
        Binding("c", "new_train", "New train", tooltip="Put parts together as a train"),
        Binding("e", "change", "Change", tooltip="Change the chosen train or part"),
        Binding("v", "value", "Value", tooltip="Set one value of the chosen part"),
        Binding("s", "sheet", "Sheet", tooltip="Everything the chosen train does, with drawings"),
        Binding("w", "what_if", "What if", tooltip="Try a change of the train, keeping nothing"),
        Binding("r", "rings", "Rings", tooltip="Which owned rings come nearest to a length"),
        Binding("b", "beside", "Beside", tooltip="The chosen train and another side by side"),
        Binding("h", "history", "History", tooltip="What became of the chosen one, and why"),
        Binding("m", "rename", "Rename", tooltip="Give the chosen one another name"),
        Binding("o", "copy", "Copy", tooltip="Another one like the chosen one"),
        Binding("x", "retire", "Retire", tooltip="Retire the chosen one, or bring it back"),
        Binding("f", "show", "Show", tooltip="List one kind or state, the wish list, the retired"),
        Binding("a", "reckon", "Reckon with", tooltip="Seeing, payload share and so on"),
        Binding("space", "more", "More", tooltip="The rest of what is told of the chosen one"),
        Binding("escape", "show_all", "Everything", tooltip="List everything again"),
    ]
    OWN_KEYS = (
        ("Enter", "use the chosen train; open the form of the chosen part"),
        ("n c", "write down a part; put parts together as a train"),
        ("e o x", "change the chosen one; copy it; retire it or bring it back"),
        ("m", "another name for the chosen one, on past nights too"),
        ("v", "set one stated or measured value of the chosen part"),
        ("s b", "the whole sheet of the train, with drawings; two trains side by side"),
        ("w", "what if: every number before and after, nothing kept"),
        ("r", "which rings come nearest to the wanted length, and what to buy"),
        ("h", "its history: what changed, when and why"),
        ("f", "list one kind, one state, the wish list, the retired; Escape: everything"),
        ("a", "seeing, payload share and warmth that the sheets reckon with"),
        ("space", "the rest of what is told of the chosen one"),
    )

    class HistoryRead(Message):
        """The revisions of a part or a train, as lines."""

        def __init__(self, heading: str, lines: list[Text]) -> None:
            super().__init__()
            self.heading = heading
            self.lines = lines

    # --- keys ---

    @on(OptionList.OptionSelected, "#kit-list")
    def _selected(self) -> None:
        chosen = self._chosen()
        if isinstance(chosen, PartRecord):
            self.action_change()
        elif chosen is None or chosen.retired:
            self._say(_RETIRED)
        elif self.desk.view.night is not None:
            self.app.query_one(EntryBar).enter(f"kit {chosen.train.name}")
        else:
            self.post_message(JobWanted(jobs.choose("train", chosen.train.name)))

    def action_new_part(self) -> None:
        self.app.push_screen(NewPart(self.desk.taken_names("part")), self._part_begun)

    def _part_begun(self, part: Part | None) -> None:
        if part is not None:
            self._open_part(part, None)

    def _open_part(self, part: Part, record: PartRecord | None) -> None:
        today = self.desk.local(self.desk.clock()).date()
        taken = self.desk.taken_names("part", record.id if record else None)
        self.app.push_screen(PartForm(part, record, today, taken), self._formed)

    def action_value(self) -> None:
        record = self._chosen_part()
        if record is not None:
            self.app.push_screen(
                SetValue(record, self.desk.local(self.desk.clock()).date()), self._formed
            )

    def action_new_train(self) -> None:
        self.app.push_screen(NewTrain(self.desk), self._train_begun)

    def _train_begun(self, answer: Job | Train | None) -> None:
        if isinstance(answer, Train):
            self._open_bench(None, answer)
        else:
            self._formed(answer)

    def action_change(self) -> None:
        chosen = self._chosen()
        if chosen is not None and chosen.retired:
            self._say(_RETIRED)
        elif isinstance(chosen, PartRecord):
            self._open_part(chosen.part, chosen)
        elif chosen is not None:
            self._open_bench(chosen, chosen.train)

    def action_what_if(self) -> None:
        record = self._chosen_train()
        if record is not None:
            self._open_bench(record, record.train, only_trying=True)

    def _open_bench(
        self, record: TrainRecord | None, draft: Train, *, only_trying: bool = False
    ) -> None:
        assumed = self._assumed_of(record) if record else self._assumed
        bench = Bench(self.desk, record, draft, assumed, only_trying=only_trying)
        self.app.push_screen(bench, self._formed)

    def action_sheet(self) -> None:
        chosen = self._chosen()
        if isinstance(chosen, PartRecord):
            self.app.push_screen(Sheet(chosen.part.name, [part_words(chosen)]))
        elif chosen is not None:
            self.app.push_screen(
                TrainSections(chosen.train, self._shelf(), self._assumed_of(chosen))
            )

    def action_rings(self) -> None:
        record = self._chosen_train()
        if record is None:
            return

        def on_the_bench(draft: Train | None) -> None:
            if draft is not None:
                self._open_bench(record, draft)

        self.app.push_screen(RingFinder(record.train, self._shelf(), f"{record.id}"), on_the_bench)

    def action_beside(self) -> None:
        one = self._chosen_train()
        if one is None:
            return
        columns = min(self.app.size.width, 76) - 6
        others = {each.train.name: each for each in self.desk.view.trains if each != one}

        def show(name: str | None) -> None:
            if name is not None:
                other = others[name]
                assumed = self._assumed_of(one), self._assumed_of(other)
                head, *lines = beside_lines(one.train, other.train, assumed, self._shelf(), columns)
                learned, parts = self._learned, self.desk.view.parts
                taught = learned.pairs(one, other, parts) if learned else ()
                lines = [head, *pair_rows(taught, columns), *lines]
                self.app.push_screen(Sheet(f"{one.train.name} and {name}", lines))

        choices = [Choice(name, name, each.train.kind) for name, each in others.items()]
        if not choices:
            self._say("There is only one train; o copies it, c puts another one together.")
            return
        self.app.push_screen(Pick(f"Beside {one.train.name}", choices), show)

    def action_history(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self._read_history(chosen)

    @work(thread=True, exclusive=True, exit_on_error=False, group="kit history")
    def _read_history(self, record: Record) -> None:
        book, zone = self.desk.book, self.desk.zone
        if book is None:
            return
        if isinstance(record, TrainRecord):
            lines = train_history_lines(book.kit.train_history(record.id), zone)
        else:
            lines = part_history_lines(book.kit.part_history(record.id), zone)
        self.post_message(self.HistoryRead(f"History of {name_of(record)}", lines))

    @on(HistoryRead)
    def _history_read(self, event: HistoryRead) -> None:
        self.app.push_screen(Sheet(event.heading, event.lines))

    def action_rename(self) -> None:
        chosen = self._chosen()
        if chosen is None:
            return
        if chosen.retired:
            self._say(_RETIRED)
            return
        sort: Sort = "train" if isinstance(chosen, TrainRecord) else "part"
        taken = self.desk.taken_names(sort, chosen.id)
        self.app.push_screen(Rename(chosen, taken), self._formed)

    def action_copy(self) -> None:
        chosen = self._chosen()
        if isinstance(chosen, TrainRecord):
            taken = self.desk.taken_names("train")
            self.app.push_screen(CopyTrain(chosen, taken), self._formed)
        elif chosen is not None:
            self._open_part(replace(chosen.part, name=""), None)

    def question_before(self, key: str) -> str:
        chosen = self._chosen()
        if key == "x" and chosen is not None and chosen.retired:
            return f"bring {name_of(chosen)} back"
        return ""

    def action_retire(self) -> None:
        chosen = self._chosen()
        if chosen is None:
            return
        if chosen.retired:
            self.post_message(JobWanted(bring_back(chosen)))
            return

        def do(answer: str | None) -> None:
            if answer == "retire":
                self.post_message(JobWanted(retire(chosen)))

        choices = [
            Choice("keep", "leave it where it is"),
            Choice("retire", "retire it", "out of every list; old nights keep it"),
        ]
        self.app.push_screen(Pick(f"Retire {name_of(chosen)}?", choices), do)

    def action_reckon(self) -> None:
        def keep(assumed: Assumed | None) -> None:
            if assumed is not None:
                self.post_message(JobWanted(keep_assumed(assumed)))

        self.app.push_screen(ReckonWith(self._assumed), keep)

    def _formed(self, job: Job | None) -> None:
        if job is not None:
            self.post_message(JobWanted(job))
