"""The bench: a train put together part by part, with every number before and after.

Nothing is saved before it is asked for: as a change of the train, or as a new train. What was put
together is a draft till then, there again when the bench of that train is next opened.
"""

from collections.abc import Callable, Mapping
from functools import partial
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
from logbook.screen.pages.kit.bench_steps import Steps
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


_CHANGES: dict[str, Callable[[Train, str], Train]] = {
    "out": without,
    "up": partial(kit_draft.moved, step=-1),
    "down": partial(kit_draft.moved, step=1),
    "carry": kit_draft.toggled,
}


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
        Binding("t,delete", "change('out')", "Take out", tooltip="Take the chosen part out"),
        Binding("u", "change('up')", "Toward the sky", tooltip="One place toward the sky"),
        Binding(
            "d", "change('down')", "Toward the eye", tooltip="One place toward the eye or sensor"
        ),
        Binding("r", "replace", "Replace", tooltip="Another part in place of the chosen one"),
        Binding(
            "c",
            "change('carry')",
            "Carried",
            tooltip="Out of the light path to ride along, or back",
        ),
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
        self.desk = desk
        self._record = record
        self.assumed = assumed
        self._only_trying = only_trying
        self.before = record.train if record else None
        self.left_words = ""
        self.steps = Steps(self.before or draft, desk)
        self._asked = draft  # it comes after what was left
        self.parts_list = OptionList(id="bench-list", markup=False)
        self.draft_about = f"{record.id if record else 'new'}{' try' if only_trying else ''}"
        self.draft_heading = f"what you put together of {draft.name}"

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            heading = _heading(self._asked.name, self._record, only_trying=self._only_trying)
            yield Static(heading, markup=False)
            with Container(id="bench-body"):
                yield self.parts_list
                with VerticalScroll(id="bench-numbers", can_focus=False):
                    yield Static(id="bench-words", markup=False)
            yield Static(id="bench-keys", markup=False)

    def on_mount(self) -> None:
        self.open_draft()
        asked = self._asked if self._asked != self.steps.first else self.steps.made
        self.attempt(lambda: asked)
        self.parts_list.focus()

    # --- what was left here ---

    def draft_values(self) -> dict[str, str]:
        return kit_draft.left_values(self.steps.made, self.desk.view.parts)

    def take_values(self, values: Mapping[str, str]) -> None:
        self.left_words = ""
        try:
            left = kit_draft.train_left(values, self.steps.first, self.desk.view.parts)
        except BadInput as error:
            self.left_words = str(error)
            return
        self.steps.go_to(left)
        _show_keys(self)
        _draw(self)

    def say_left(self, words: str) -> None:
        self.left_words = self.left_words or words

    def on_resize(self) -> None:
        _show_keys(self)

    def say(self, words: str) -> None:
        self.query_one("#bench-keys", Static).update(Text(words, style="reverse"))

    def attempt(self, change: Callable[[], Train], chosen: str | None = None) -> None:
        """Make a change, or say why it cannot be; the keys are shown again."""
        try:
            made = change()
        except BadInput as error:
            self.say(str(error))
            return
        if self.steps.go_to(made):
            self.left_words = ""
            self.note_draft()
        _show_keys(self)
        _draw(self, chosen)

    # --- steps ---

    def action_add(self) -> None:
        after = _chosen(self)

        def add(name: str | None) -> None:
            part = self.steps.on_shelf(name)
            if part is not None:
                self.attempt(lambda: kit_draft.added(self.steps.made, part, after), part.name)

        where = f"Behind {after}" if after else "The first part, a telescope"
        _pick(self, where, self.steps.shelf, add)

    def action_change(self, how: str) -> None:
        """Take the chosen part out, move it, or let it ride along."""
        chosen = _chosen(self)
        if chosen is not None:
            change = partial(_CHANGES[how], self.steps.made, chosen)
            self.attempt(change, None if how == "out" else chosen)

    def action_replace(self) -> None:
        chosen = _chosen(self)
        old = kit_draft.part_in(self.steps.made, chosen) if chosen else None
        if chosen is None or old is None:
            return

        def put(name: str | None) -> None:
            part = self.steps.on_shelf(name)
            if part is not None:
                self.attempt(lambda: replaced(self.steps.made, chosen, part), part.name)

        choices = sorted(self.steps.shelf, key=lambda part: part.kind != old.kind)
        _pick(self, f"In place of {chosen}", tuple(choices), put)

    def action_place(self) -> None:
        chosen = _chosen(self)
        part = kit_draft.part_in(self.steps.made, chosen) if chosen else None
        if part is None:
            return

        def put(placement: Placement | None) -> None:
            if placement is not None:
                self.attempt(lambda: placed(self.steps.made, placement), part.name)

        self.app.push_screen(PlacePart(part, self.steps.made.placement(part.name)), put)

    def action_try(self) -> None:
        chosen = _chosen(self)
        part = kit_draft.part_in(self.steps.made, chosen) if chosen else None
        if part is None:
            return

        def put(answer: tuple[str, float] | None) -> None:
            if answer is not None:
                self.attempt(lambda: valued(self.steps.made, part.name, *answer), part.name)

        self.app.push_screen(TryValue(part), put)

    def action_mend(self) -> None:
        """The joints of the chosen part, else the first that does not mate and can be mended."""
        found = [joint for joint in joints(self.steps.made, self.steps.shelf) if joint.fixes]
        chosen = _chosen(self)
        found.sort(key=lambda joint: chosen not in (joint.above, joint.below))
        if not found:
            self.say("No joint here is mended by what is on the shelf.")
            return
        joint = found[0]

        def put(answer: str | None) -> None:
            if answer is not None:
                names = joint.fixes[int(answer)].parts
                self.attempt(lambda: self.steps.with_parts(names, joint.above), names[0])

        choices = [
            Choice(str(place), ", ".join(fix.parts), fix.words)
            for place, fix in enumerate(joint.fixes)
        ]
        self.app.push_screen(Pick(f"Between {joint.above} and {joint.below}", choices), put)

    def action_back(self) -> None:
        if self.steps.back():
            self.note_draft()
            _draw(self)

    def action_more(self) -> None:
        """Down by what fits; from the end back to the top."""
        numbers = self.query_one("#bench-numbers", VerticalScroll)
        if numbers.scroll_offset.y >= numbers.max_scroll_y:
            numbers.scroll_home(animate=False)
        else:
            numbers.scroll_relative(y=max(1, numbers.size.height - 1), animate=False)

    # --- keeping ---

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_place()

    def action_keep(self) -> None:
        if self._record is None or self._only_trying:
            self.action_keep_new()
            return
        tried = kit_draft.tried(self.steps.made, self.desk.view.parts)
        if self.steps.made == self.before:
            self.say("Nothing was changed; Escape leaves.")
        elif tried:
            names = ", ".join(part.name for part in tried)
            self.say(f"{names}: values only tried. k keeps this as a new train.")
        else:
            form = KeepChange(self.desk, self._record, self.steps.made)
            self.app.push_screen(form, partial(_keep, self))

    def action_keep_new(self) -> None:
        if not self.steps.made.parts:
            self.say("A train needs at least one part: a adds one.")
            return
        proposed = "" if self._record else self.steps.made.name
        self.app.push_screen(KeepAsNew(self.desk, self.steps.made, proposed), partial(_keep, self))

    def give_way(self) -> None:
        """What was put together is not lost by a letter."""
        if not self.steps.taken:
            self.dismiss(None)


def _heading(name: str, record: TrainRecord | None, *, only_trying: bool) -> Text:
    if record is None:
        words, more = "A new train", "put it together, then ctrl+o"
    elif only_trying:
        words, more = f"What if: {name}", "nothing here changes the train"
    else:
        words, more = f"Change {name}", "old nights keep it as it was"
    return Text.assemble((words, "bold"), f"   from sky to eye or sensor; {more}")


def _show_keys(bench: Bench) -> None:
    keys = _KEYS if bench.app.size.width >= 80 else _KEYS_SHORT
    words = Text(keys)
    if bench.left_words:
        words.append(f"\n{bench.left_words}", style="bold")
    bench.query_one("#bench-keys", Static).update(words)


def _draw(bench: Bench, chosen: str | None = None) -> None:
    """The draft anew, with the cursor on the part called `chosen`."""
    wanted = chosen or _chosen(bench)
    shelf = bench.steps.shelf
    found = joints(bench.steps.made, shelf)
    lines = draft_lines(bench.steps.made, found)
    bench.parts_list.clear_options()
    bench.parts_list.add_options([Option(words) for words in lines])
    names = kit_draft.names(bench.steps.made)
    if names:
        bench.parts_list.highlighted = names.index(wanted) if wanted in names else 0
    words = change_lines(bench.before, bench.steps.made, bench.assumed, shelf)
    bench.query_one("#bench-words", Static).update(words)


def _chosen(bench: Bench) -> str | None:
    names, place = kit_draft.names(bench.steps.made), bench.parts_list.highlighted
    return names[place] if place is not None and place < len(names) else None


def _pick(
    bench: Bench, heading: str, parts: tuple[Part, ...], then: Callable[[str | None], None]
) -> None:
    if not parts:
        bench.say("Nothing else is on the shelf; leave and write a part down with n.")
        return
    bench.app.push_screen(Pick(heading, [part_choice(part) for part in parts]), then)


def _keep(bench: Bench, job: Job | None) -> None:
    if job is not None:
        bench.finish(job)
