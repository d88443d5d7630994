"""Ways back: to the start of all turns or to any earlier state, turn by turn, with its cost."""

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.entryline.format import counted, turn_words
from logbook.screen.pages.screws.advice import sense_words, step_words
from logbook.screen.pages.screws.jobs import calculations
from logbook.screen.services.failures import TellsFailures
from logbook.screen.services.services import Desk
from logbook.screen.widgets.modal import Modal
from logbook.startest.screws.advice import WayBack

if TYPE_CHECKING:
    from logbook.store.history.collimation import ScrewState


class BackSheet(TellsFailures, Modal[WayBack | None]):
    """Earlier states, newest first; Enter puts the first turn of the way there in hand."""

    DEFAULT_CSS = """
    BackSheet .sheet { width: 100%; height: 100%; }
    BackSheet OptionList { height: 1fr; border: none; padding: 0; background: $surface; }
    BackSheet OptionList:focus { border: none; }
    BackSheet #back-way { height: auto; max-height: 8; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", tooltip="Close, changing nothing"),
    ]

    class StatesRead(Message):
        """The states were read from the book, each with the way back to it."""

        def __init__(self, states: "list[tuple[ScrewState, WayBack]]") -> None:
            super().__init__()
            self.states = states

    def __init__(self, desk: Desk, telescope_id: int) -> None:
        super().__init__()
        self._desk = desk
        self._telescope_id = telescope_id
        self._states: list[tuple[ScrewState, WayBack]] = []

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text("Back to where the screws stood", style="bold"), markup=False)
            yield OptionList(id="back-states", markup=False)
            yield Static(Text("reading …"), id="back-way", markup=False)
            foot = "↑↓ choose (+ is tightened) · Enter: its turns come into hand one by one"
            yield Static(Text(foot, style="italic"), markup=False)

    def on_mount(self) -> None:
        self._read()
        self.query_one(OptionList).focus()

    @work(thread=True, exclusive=True, exit_on_error=False, group="back")
    def _read(self) -> None:
        book = self._desk.book
        if book is not None:
            states = book.collimation.states(self._telescope_id)
            ways = [
                (each, calculations().way_back_to(book, self._telescope_id, each))
                for each in states
            ]
            self.post_message(self.StatesRead(ways))

    @on(StatesRead)
    def _states_read(self, event: StatesRead) -> None:
        self._states = event.states
        listed = self.query_one(OptionList)
        listed.add_options([Option(self._state_line(*each)) for each in event.states])
        if event.states:
            listed.highlighted = 0
        else:
            self._say_way(Text("No turn is logged yet: everything stands as at the start."))

    def _state_line(self, state: "ScrewState", way: WayBack) -> Text:
        when = f"{self._desk.local(state.at_utc):%d %b %H:%M}" if state.at_utc else state.label
        line = Text(f"{when:13}", style="bold")
        cost = counted(len(way.steps), "turn") if way.steps else "here now"
        offset = f"shadow {state.offset:.2f}" if state.offset is not None else ""
        sums = "  ".join(f"{each.screw} {_signed(each.turns)}" for each in state.sums)
        line.append(f" {cost:9} {offset:12} {sums}", style="not bold")
        return line

    @on(OptionList.OptionHighlighted)
    def _highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        _, way = self._states[event.option_index]
        words = Text(f"{way.words}\n", style="bold")
        for number, step in enumerate(way.steps, 1):
            sense = sense_words(step, self._desk.view.screws)
            words.append(f"{number}. {step_words(step)} {sense}\n", style="not bold")
        self._say_way(words)

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        _, way = self._states[event.option_index]
        if way.steps:
            self.dismiss(way)

    def _say_way(self, words: Text) -> None:
        self.query_one("#back-way", Static).update(words)

    def action_leave(self) -> None:
        self.dismiss(None)


def _signed(turns: float) -> str:
    """`+1/8`, `-1/16`, `0`: tightened is +."""
    if abs(turns) < 1e-6:
        return "0"
    return f"{'+' if turns > 0 else '-'}{turn_words(abs(turns)).removesuffix(' turn')}"
