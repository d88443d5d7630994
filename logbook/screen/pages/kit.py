"""Kit: parts and trains, what they measure and weigh, the numbers of the chosen train."""

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.kit.sheet import sheet
from logbook.screen import night_flow
from logbook.screen.entry_bar import EntryBar
from logbook.screen.messages import JobWanted
from logbook.screen.page import Page
from logbook.screen.pages.kit_words import part_line, part_words, sheet_words, train_line
from logbook.store.records import PartRecord, TrainRecord


class KitPage(Page):
    """Trains and parts in one list; what the chosen one is stands beside or under it."""

    TITLE = "Kit"
    DEFAULT_CSS = """
    KitPage #kit-body { height: 1fr; layout: vertical; }
    KitPage #kit-list { height: 8; border: none; padding: 0; background: $background; }
    KitPage #kit-list:focus { border: none; }
    KitPage #kit-what { height: 1fr; padding: 0 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "new_part", "New part", tooltip="Write down a part you have"),
        Binding("v", "value", "Value", tooltip="Set a value of the chosen part"),
        Binding("c", "new_train", "New train", tooltip="Put parts together as a train"),
        Binding("space", "more", "More", tooltip="The rest of what is told of the chosen one"),
    ]
    OWN_KEYS = (
        ("Enter", "use the chosen train"),
        ("n", "write down a part"),
        ("v", "set a stated or measured value of the chosen part"),
        ("c", "put parts together as a train"),
        ("space", "the rest of what is told of the chosen one"),
    )

    def compose(self) -> ComposeResult:
        with Container(id="kit-body"):
            yield OptionList(id="kit-list", markup=False)
            with VerticalScroll(id="kit-what", can_focus=False):
                yield Static(id="kit-words", markup=False)

    @property
    def _list(self) -> OptionList:
        return self.query_one("#kit-list", OptionList)

    def take_focus(self) -> None:
        self._list.focus()

    def redraw(self) -> None:
        view, kept = self.desk.view, self._chosen_id()
        self._list.clear_options()
        in_use = view.train.id if view.train else None
        self._list.add_options(
            [Option(train_line(each, in_use), id=f"train-{each.id}") for each in view.trains]
        )
        parts = sorted(view.parts, key=lambda each: (each.part.kind, each.part.name))
        self._list.add_options([Option(part_line(each), id=f"part-{each.id}") for each in parts])
        places = {each.id: place for place, each in enumerate(self._list.options)}
        if places:
            self._list.highlighted = places.get(kept, 0)
        self._describe()

    @on(OptionList.OptionHighlighted, "#kit-list")
    def _describe(self) -> None:
        chosen = self._chosen()
        words = Text("Nothing here yet: n writes down a part, c puts a train together.")
        if isinstance(chosen, TrainRecord):
            words = sheet_words(sheet(chosen.train), chosen)
        elif isinstance(chosen, PartRecord):
            words = part_words(chosen)
        self.query_one("#kit-words", Static).update(words)

    def _chosen_id(self) -> str | None:
        place = self._list.highlighted
        return None if place is None else self._list.get_option_at_index(place).id

    def _chosen(self) -> TrainRecord | PartRecord | None:
        chosen = self._chosen_id()
        if chosen is None:
            return None
        kind, _, number = chosen.partition("-")
        records = self.desk.view.trains if kind == "train" else self.desk.view.parts
        return next((each for each in records if each.id == int(number)), None)

    @on(OptionList.OptionSelected, "#kit-list")
    def _selected(self) -> None:
        chosen = self._chosen()
        bar = self.app.query_one(EntryBar)
        if not isinstance(chosen, TrainRecord):
            bar.say("A part is used in a train: c puts one together, v sets a value of this part.")
            return
        name = chosen.train.name
        if self.desk.view.night is not None:
            bar.enter(f"kit {name}")
        else:
            self.post_message(JobWanted(night_flow.choose("train", name)))

    def action_more(self) -> None:
        """Down by what fits; from the end back to the top."""
        what = self.query_one("#kit-what", VerticalScroll)
        if what.scroll_offset.y >= what.max_scroll_y:
            what.scroll_home(animate=False)
        else:
            what.scroll_relative(y=max(1, what.size.height - 1), animate=False)

    def action_new_part(self) -> None:
        from logbook.screen.kit_forms import NewPart

        self.app.push_screen(NewPart(), self._formed)

    def action_value(self) -> None:
        from logbook.screen.kit_forms import SetValue

        chosen = self._chosen()
        if isinstance(chosen, PartRecord):
            self.app.push_screen(SetValue(chosen), self._formed)
        else:
            self.app.query_one(EntryBar).say("Choose a part first, then v sets one of its values.")

    def action_new_train(self) -> None:
        from logbook.screen.kit_forms import NewTrain

        self.app.push_screen(NewTrain(self.desk), self._formed)

    def _formed(self, job: night_flow.Job | None) -> None:
        if job is not None:
            self.post_message(JobWanted(job))
