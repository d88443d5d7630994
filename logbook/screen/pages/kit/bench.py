"""The bench: a train put together part by part, with every number before and after.

Nothing is saved before it is asked for: as a change of the train, or as a new train. What was put
together is a draft till then, there again when the bench of that train is next opened.
"""

from collections.abc import Callable, Mapping
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Vertical, VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.errors import BadInput
from logbook.kit.parts.part import Part, Placement, Train
from logbook.kit.train.joints import joints
from logbook.kit.train.sheet import Assumed
from logbook.kit.train.whatif import placed, replaced, valued, without
from logbook.records.entries import TrainRecord
from logbook.screen.dialogs.pick import Choice, Pick
from logbook.screen.dialogs.sheet_draft import DraftedSheet
from logbook.screen.pages.kit import draft as kit_draft
from logbook.screen.pages.kit.bench_forms import KeepAsNew, KeepChange, PlacePart, TryValue
from logbook.screen.pages.kit.bench_words import change_lines, draft_lines, part_choice
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk

_KEYS = (
    "a add  t take out  u d move  r replace  c carry  g where set  v try a value\n"
    "f mend joint  z back  space more  ctrl+o keep  k keep as new  Escape leave"
)
_KEYS_SHORT = (
    "a add  t out  u d move  r replace  c carry  g set  v try\n"
    "f mend  z back  space more  ^o keep  k new  Esc leave"
)


class Bench(DraftedSheet[Job | None]):
    """A draft of a train. Answers the job that saves it, None where nothing is to be saved.

    record -- the train it began as; None for a new one.
    only_trying -- what is saved becomes a new train, never a change of this one.
    """

    DEFAULT_CSS = """
    Bench #bench-body { height: 1fr; }
    Bench #bench-list { height: 1fr; border: none; padding: 0; background: $surface; }
    Bench #bench-list:focus { border: none; }
    Bench #bench-numbers { height: 1fr; border-top: solid $primary; }
    Bench #bench-keys { height: auto; max-height: 4; color: $text-muted; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "add", "Add", tooltip="Put a part from the shelf behind the chosen one"),
        Binding("t,delete", "take_out", "Take out", tooltip="Take the chosen part out"),
        Binding("u", "shift(-1)", "Toward the sky", tooltip="One place toward the sky"),
        Binding("d", "shift(1)", "Toward the eye", tooltip="One place toward the eye or sensor"),
        Binding("r", "replace", "Replace", tooltip="Another part in place of the chosen one"),
        Binding("c", "carry", "Carried", tooltip="Out of the light path to ride along, or back"),
        Binding("g", "place", "Where set", tooltip="How far drawn out, where along the tube"),
        Binding("v", "try", "Try a value", tooltip="Reckon with another value of the part"),
        Binding("f", "mend", "Mend joint", tooltip="Put in the adapter that mends the joint"),
        Binding("z", "back", "Take back", tooltip="Take back the last step"),
        Binding("space", "more", "More", tooltip="The rest of the numbers"),
        Binding("ctrl+o", "keep", "Keep", tooltip="Keep it"),
        Binding("k", "keep_new", "Keep as new", tooltip="Keep it as a new train"),
        Binding("escape", "leave", "Leave", tooltip="Leave; it is there when you come back"),
    ]

    def __init__(
        self,
        desk: Desk,
        record: TrainRecord | None,
        draft: Train,
        assumed: Assumed,
        *,
        only_trying: bool,
    ) -> None:
        super().__init__()
        self._desk = desk
        self._record = record
        self._assumed = assumed
        self._only_trying = only_trying
        self._before = record.train if record else None
        self._left_words = ""
        self._steps = [self._before or draft]
        if draft != self._steps[0]:
            self._steps.append(draft)
        self.draft_about = f"{record.id if record else 'new'}{' try' if only_trying else ''}"
        self.draft_heading = f"what you put together of {draft.name}"

    @property
    def made(self) -> Train:
        """The train as it is put together so far."""
        return self._steps[-1]

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(self._heading(), markup=False)
            with Container(id="bench-body"):
                yield OptionList(id="bench-list", markup=False)
                with VerticalScroll(id="bench-numbers", can_focus=False):
                    yield Static(id="bench-words", markup=False)
            yield Static(id="bench-keys", markup=False)

    def _heading(self) -> Text:
        if self._record is None:
            words, more = "A new train", "put it together, then ctrl+o"
        elif self._only_trying:
            words, more = f"What if: {self.made.name}", "nothing here changes the train"
        else:
            words, more = f"Change {self.made.name}", "old nights keep it as it was"
        return Text.assemble((words, "bold"), f"   from sky to eye or sensor; {more}")

    def on_mount(self) -> None:
        asked = self._steps.pop() if len(self._steps) > 1 else None  # it comes after what was left
        self.open_draft()
        self._step(asked or self.made)
        self._list.focus()

    # --- what was left here ---

    def draft_values(self) -> dict[str, str]:
        return kit_draft.left_values(self.made, self._desk.view.parts)

    def take_values(self, values: Mapping[str, str]) -> None:
        self._left_words = ""
        try:
            left = kit_draft.train_left(values, self._steps[0], self._desk.view.parts)
        except BadInput as error:
            self._left_words = str(error)
            return
        if left != self.made:
            self._steps.append(left)
        self._show_keys()
        self._draw()

    def say_left(self, words: str) -> None:
        self._left_words = self._left_words or words

    def on_resize(self) -> None:
        self._show_keys()

    def _show_keys(self) -> None:
        keys = _KEYS if self.app.size.width >= 80 else _KEYS_SHORT
        words = Text(keys)
        if self._left_words:
            words.append(f"\n{self._left_words}", style="bold")
        self.query_one("#bench-keys", Static).update(words)

    # --- what is drawn ---

    @property
    def _list(self) -> OptionList:
        return self.query_one("#bench-list", OptionList)

    def _draw(self, chosen: str | None = None) -> None:
        """The draft anew, with the cursor on the part called `chosen`."""
        wanted = chosen or self._chosen()
        shelf = self._shelf()
        found = joints(self.made, shelf)
        lines = draft_lines(self.made, found)
        self._list.clear_options()
        self._list.add_options([Option(words) for words in lines])
        names = kit_draft.names(self.made)
        if names:
            self._list.highlighted = names.index(wanted) if wanted in names else 0
        words = change_lines(self._before, self.made, self._assumed, shelf)
        self.query_one("#bench-words", Static).update(words)

    def _shelf(self) -> tuple[Part, ...]:
        return kit_draft.shelf(self.made, self._desk.view.parts)

    def _chosen(self) -> str | None:
        names, place = kit_draft.names(self.made), self._list.highlighted
        return names[place] if place is not None and place < len(names) else None

    def _say(self, words: str) -> None:
        self.query_one("#bench-keys", Static).update(Text(words, style="reverse"))

    def _step(self, draft: Train, chosen: str | None = None) -> None:
        """One step further; the keys are shown again."""
        if draft != self.made:
            self._steps.append(draft)
            self._left_words = ""
            self.note_draft()
        self._show_keys()
        self._draw(chosen)

    def _try(self, change: Callable[[], Train], chosen: str | None = None) -> None:
        """Make a change, or say why it cannot be."""
        try:
            self._step(change(), chosen)
        except BadInput as error:
            self._say(str(error))

    # --- steps ---

    def action_add(self) -> None:
        after = self._chosen()

        def add(name: str | None) -> None:
            part = self._on_shelf(name)
            if part is not None:
                self._try(lambda: kit_draft.added(self.made, part, after), part.name)

        where = f"Behind {after}" if after else "The first part, a telescope"
        self._pick(where, self._shelf(), add)

    def action_take_out(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self._try(lambda: without(self.made, chosen))

    def action_shift(self, step: int) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self._try(lambda: kit_draft.moved(self.made, chosen, step), chosen)

    def action_replace(self) -> None:
        chosen = self._chosen()
        old = kit_draft.part_in(self.made, chosen) if chosen else None
        if chosen is None or old is None:
            return

        def put(name: str | None) -> None:
            part = self._on_shelf(name)
            if part is not None:
                self._try(lambda: replaced(self.made, chosen, part), part.name)

        choices = sorted(self._shelf(), key=lambda part: part.kind != old.kind)
        self._pick(f"In place of {chosen}", tuple(choices), put)

    def action_carry(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self._try(lambda: kit_draft.toggled(self.made, chosen), chosen)

    def action_place(self) -> None:
        chosen = self._chosen()
        part = kit_draft.part_in(self.made, chosen) if chosen else None
        if part is None:
            return

        def put(placement: Placement | None) -> None:
            if placement is not None:
                self._try(lambda: placed(self.made, placement), part.name)

        self.app.push_screen(PlacePart(part, self.made.placement(part.name)), put)

    def action_try(self) -> None:
        chosen = self._chosen()
        part = kit_draft.part_in(self.made, chosen) if chosen else None
        if part is None:
            return

        def put(answer: tuple[str, float] | None) -> None:
            if answer is not None:
                self._try(lambda: valued(self.made, part.name, *answer), part.name)

        self.app.push_screen(TryValue(part), put)

    def action_mend(self) -> None:
        """The joints of the chosen part, else the first that does not mate and can be mended."""
        found = [joint for joint in joints(self.made, self._shelf()) if joint.fixes]
        chosen = self._chosen()
        found.sort(key=lambda joint: chosen not in (joint.above, joint.below))
        if not found:
            self._say("No joint here is mended by what is on the shelf.")
            return
        joint = found[0]

        def put(answer: str | None) -> None:
            if answer is not None:
                names = joint.fixes[int(answer)].parts
                self._try(lambda: self._with_parts(names, joint.above), names[0])

        choices = [
            Choice(str(place), ", ".join(fix.parts), fix.words)
            for place, fix in enumerate(joint.fixes)
        ]
        self.app.push_screen(Pick(f"Between {joint.above} and {joint.below}", choices), put)

    def _with_parts(self, names: tuple[str, ...], after: str) -> Train:
        draft = self.made
        for name in names:
            part = self._on_shelf(name)
            if part is not None:
                draft = kit_draft.added(draft, part, after)
                after = part.name
        return draft

    def action_back(self) -> None:
        if len(self._steps) > 1:
            self._steps.pop()
            self.note_draft()
            self._draw()

    def action_more(self) -> None:
        """Down by what fits; from the end back to the top."""
        numbers = self.query_one("#bench-numbers", VerticalScroll)
        if numbers.scroll_offset.y >= numbers.max_scroll_y:
            numbers.scroll_home(animate=False)
        else:
            numbers.scroll_relative(y=max(1, numbers.size.height - 1), animate=False)

    def _pick(
        self, heading: str, parts: tuple[Part, ...], then: Callable[[str | None], None]
    ) -> None:
        if not parts:
            self._say("Nothing else is on the shelf; leave and write a part down with n.")
            return
        self.app.push_screen(Pick(heading, [part_choice(part) for part in parts]), then)

    def _on_shelf(self, name: str | None) -> Part | None:
        return next((part for part in self._shelf() if part.name == name), None)

    # --- keeping ---

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_place()

    def action_keep(self) -> None:
        if self._record is None or self._only_trying:
            self.action_keep_new()
            return
        tried = kit_draft.tried(self.made, self._desk.view.parts)
        if self.made == self._before:
            self._say("Nothing was changed; Escape leaves.")
        elif tried:
            names = ", ".join(part.name for part in tried)
            self._say(f"{names}: values only tried. k keeps this as a new train.")
        else:
            form = KeepChange(self._desk, self._record, self.made)
            self.app.push_screen(form, self._kept)

    def action_keep_new(self) -> None:
        if not self.made.parts:
            self._say("A train needs at least one part: a adds one.")
            return
        proposed = "" if self._record else self.made.name
        self.app.push_screen(KeepAsNew(self._desk, self.made, proposed), self._kept)

    def _kept(self, job: Job | None) -> None:
        if job is not None:
            self.finish(job)

    def give_way(self) -> None:
        """What was put together is not lost by a letter."""
        if len(self._steps) == 1:
            self.dismiss(None)

    def action_leave(self) -> None:
        self.leave()
