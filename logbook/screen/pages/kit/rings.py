"""The ring finder: which owned rings come nearest to a wanted length, and what to buy."""

from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option
from textual.worker import get_current_worker

from logbook.errors import BadInput
from logbook.kit.parts.part import Part, Train
from logbook.kit.parts.typed_values import read_length_mm
from logbook.kit.train.ring_sets import RingAnswer
from logbook.kit.train.rings import RingSearch, find_rings
from logbook.kit.train.whatif import inserted, without
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.sheet_draft import DraftedSheet
from logbook.screen.services.failures import TellsFailures
from logbook.screen.widgets.line_input import LineInput

_MOST = 8


class RingFinder(TellsFailures, DraftedSheet[Train | None]):
    """Answers the train with the chosen set of rings in it, None where nothing was chosen."""

    DEFAULT_CSS = """
    RingFinder .ring-line { height: 1; }
    RingFinder .ring-label { width: 24; }
    RingFinder Input { width: 16; height: 1; border: none; padding: 0; background: $panel; }
    RingFinder Input:focus { border: none; background: $boost; text-style: bold; }
    RingFinder .ring-hint { width: 1fr; padding: 0 0 0 1; }
    RingFinder #ring-words { height: auto; }
    RingFinder #ring-answers { height: auto; max-height: 9; border: none; padding: 0;
        background: $surface; }
    RingFinder #ring-answers:focus { border: none; }
    RingFinder #ring-foot { height: auto; color: $text-muted; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Close", tooltip="Close; nothing is changed"),
        Binding("down", "move(1)", "Down", tooltip="To the next field, then the answers"),
        Binding("up", "move(-1)", "Up", tooltip="To the field before"),
    ]

    class Searched(Message):
        """The answers, or why there are none."""

        def __init__(self, found: RingSearch | None, words: str) -> None:
            super().__init__()
            self.found = found
            self.words = words

    draft_heading = "the length of rings"

    def __init__(self, train: Train, shelf: tuple[Part, ...], about: str = "") -> None:
        """about -- which train it is, by its id."""
        super().__init__()
        self.draft_about = about
        self._train = train
        self._shelf = shelf
        self._answers: tuple[RingAnswer, ...] = ()
        self._place_after = ""
        self._wanted, self._why = self._wanted_by_train()

    FIELDS: ClassVar[tuple[Field, ...]] = (
        Field(
            "ring-wanted",
            "Length wanted",
            required=True,
            help="How long the rings together are to be.",
            example="60.5, or 2 3/8 in",
        ),
        Field(
            "ring-tolerance",
            "Near enough within",
            required=True,
            help="How far off a set may be, either way.",
            example="0.5 mm",
        ),
        Field(
            "ring-threads",
            "Threads must mate",
            required=True,
            help="yes: only sets that screw together.",
            example="no",
        ),
    )

    def _wanted_by_train(self) -> tuple[str, str]:
        """What the train leaves for rings, as typed; else why that is not known."""
        try:
            found = find_rings(self._train, self._shelf, most=1)
        except BadInput as error:
            return "", str(error)
        return f"{found.wanted_mm:.2f} mm", "what the back focus leaves for rings"

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text(f"Rings for {self._train.name}", style="bold"), markup=False)
            for name, label, value, hint in (
                ("wanted", "Length wanted", self._wanted, self._why or "203, or 8 in"),
                ("tolerance", "Near enough within", "0.5 mm", "either way"),
                ("threads", "Threads must mate", "no", "yes: only sets that screw together"),
            ):
                with Horizontal(classes="ring-line"):
                    yield Static(Text(label), markup=False, classes="ring-label")
                    line = LineInput(value, id=f"ring-{name}", select_on_focus=True)
                    line.cursor_blink = False
                    yield line
                    yield Static(Text(hint), markup=False, classes="ring-hint")
            yield Static(id="ring-words", markup=False)
            yield OptionList(id="ring-answers", markup=False)
            foot = "↑ ↓ move   Enter on a set puts it on the bench   Escape closes"
            yield Static(Text(foot), id="ring-foot", markup=False)

    def on_mount(self) -> None:
        self.query_one("#ring-wanted", Input).focus()
        self.open_draft()

    def say_left(self, words: str) -> None:
        self.query_one("#ring-foot", Static).update(Text(f"{words}   Escape closes".strip()))

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        values = [
            self.query_one(f"#ring-{name}", Input).value.strip()
            for name in ("wanted", "tolerance", "threads")
        ]
        self._search(*values)

    @work(thread=True, exclusive=True, exit_on_error=False, group="rings")
    def _search(self, wanted: str, tolerance: str, threads: str) -> None:
        worker = get_current_worker()
        found: RingSearch | None = None
        try:
            if not wanted:
                raise BadInput(f"{self._why}. Type a length.")
            found = find_rings(
                self._train,
                self._shelf,
                wanted_mm=read_length_mm(wanted, "the length"),
                tolerance_mm=_tolerance(tolerance),
                most=_MOST,
                threads=threads.casefold().startswith("y"),
            )
            words = found.words
        except BadInput as error:
            words = str(error)
        if not worker.is_cancelled:  # else more was typed meanwhile
            self.post_message(self.Searched(found, words))

    @on(Searched)
    def _searched(self, event: Searched) -> None:
        answers = self.query_one("#ring-answers", OptionList)
        answers.clear_options()
        self._answers = event.found.answers if event.found else ()
        self._place_after = event.found.place_after if event.found else ""
        answers.add_options([Option(_answer_line(each)) for each in self._answers])
        answers.highlighted = 0 if self._answers else None
        words = Text(event.words, style="" if event.found else "reverse")
        if event.found is not None:
            words.append(f"\n{_search_words(event.found)}", style="bold")
        self.query_one("#ring-words", Static).update(words)

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.action_move(1)

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        answer = self._answers[event.option_index]
        self.finish(with_rings(self._train, answer, self._place_after, self._shelf))

    def action_move(self, step: int) -> None:
        """Between the fields and into the list; the list moves its own cursor."""
        stops = [*self.query(Input), self.query_one("#ring-answers", OptionList)]
        here = stops.index(self.focused) if self.focused in stops else 0
        stops[min(len(stops) - 1, max(0, here + step))].focus()


def _tolerance(typed: str) -> float:
    tolerance_mm = read_length_mm(typed, "the tolerance") if typed else 0.0
    if tolerance_mm < 0:
        raise BadInput("the tolerance is never negative")
    return tolerance_mm


def _search_words(found: RingSearch) -> str:
    glass = f", {found.glass_mm:.2f} mm of it for filters" if found.glass_mm else ""
    return f"Behind {found.place_after}: {found.wanted_mm:.2f} mm wanted{glass}."


def _answer_line(answer: RingAnswer) -> Text:
    near = "fits" if answer.within_tolerance else "    "
    line = Text(f"{near} {answer.length_mm:8.2f} mm  {answer.off_mm:+7.2f}  ")
    line.append(" + ".join(answer.rings) or "no ring", style="bold")
    return line


def with_rings(train: Train, answer: RingAnswer, after: str, shelf: tuple[Part, ...]) -> Train:
    """The train with this set of rings behind `after` in place of those it has there."""
    known = {part.name: part for part in (*shelf, *train.parts)}
    begins = [part.name for part in train.parts].index(after)
    for part in train.parts[begins + 1 :]:
        if part.kind == "extension ring":
            train = without(train, part.name)
    behind = after
    for name in answer.rings:
        train = inserted(train, known[name], behind)
        behind = name
    return train
