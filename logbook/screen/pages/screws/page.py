"""Screws: the disc and shadow as last seen, the next turn advised, and every turn recorded."""

from dataclasses import replace
from typing import ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import OptionList

from logbook.entryline.format import counted, spell
from logbook.records.entries import Turn
from logbook.screen.pages.screws.advice import MOVES
from logbook.screen.pages.screws.hand import Hand, hand_of
from logbook.screen.pages.screws.keys import KEYS_OF_PAGE, OWN_KEYS
from logbook.screen.pages.screws.outcomes import Outcome, outcomes
from logbook.screen.pages.screws.shown import ShownPage
from logbook.screen.pages.screws.watching import FRAMES_A_LOOK
from logbook.screen.services.book_snapshot import BookView, is_mirror_telescope
from logbook.screen.services.jobs import keep_entry
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.services import Desk
from logbook.startest.screws.advice import Advice, Doubt, Step

BOUNCE_S = 1.5  # a key that bounces under a glove is no second turn


class ScrewsPage(ShownPage):
    """Enter keeps the turn in hand; an advice puts its turn in hand, arrows change it."""

    TITLE = "Screws"
    can_focus = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(key, action, label, tooltip=tooltip) for key, action, label, tooltip in KEYS_OF_PAGE
    ]
    OWN_KEYS = OWN_KEYS

    class AdviceReady(Message):
        """What to do next was worked out from the book as it was then."""

        def __init__(
            self, advice: Advice, view: BookView, outcomes: dict[int, Outcome] | None = None
        ) -> None:
            super().__init__()
            self.advice = advice
            self.view = view
            self.outcomes = outcomes or {}

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self._advised_view: BookView | None = None
        self._asked_at = desk.clock()  # whether the turn in hand was made
        self._last_turn: int | None = None
        self._as_logged: set[tuple[str, int | None]] = set()  # doubts answered with no

    def redraw(self) -> None:
        self._ask_advice()
        self._notice_turn()
        self._hold_a_screw()
        self.draw()

    def on_resize(self) -> None:
        """A wide screen has room for more in each line."""
        self.redraw()

    # --- the advice ---

    def _ask_advice(self) -> None:
        """Have it worked out, once for each reading of the book."""
        view = self.desk.view
        if view is self._advised_view:
            return
        before, self._advised_view = self._advised_view, view
        if before is None or before.telescope != view.telescope:
            self.advice, self.way_left = None, ()
        if view.telescope is not None and is_mirror_telescope(view.telescope.part):
            self._advise(view, view.telescope.id)

    @work(thread=True, exclusive=True, exit_on_error=False, group="advice")
    def _advise(self, view: BookView, telescope_id: int) -> None:
        from logbook.store.screw_advice import advice_for

        book = self.desk.book
        if book is not None:
            advice = advice_for(book, telescope_id, self.desk.clock())
            did = outcomes(book.collimation.history(telescope_id))
            self.post_message(self.AdviceReady(advice, view, did))

    @on(AdviceReady)
    def _advice_ready(self, event: AdviceReady) -> None:
        if event.view is not self.desk.view:
            return
        self.advice, self.advised_for = self._after_answers(event.advice), event.view
        self.outcomes = event.outcomes
        self.looks_wanted = self.advice.looks_wanted
        step = self.advice.step
        if step is not None and self.advice.kind in MOVES and not self.own_hand:
            self.hand = hand_of(step.screw, step.turns, self.hand.unit)
        self.take_way_back()
        self.redraw()

    def _after_answers(self, advice: Advice) -> Advice:
        """A doubt that the owner answered with no is put aside: the turn was as logged."""
        left = tuple(
            each for each in advice.doubts if (each.kind, each.entry_id) not in self._as_logged
        )
        if left or advice.kind != "ask":
            return replace(advice, doubts=left)
        kind = "turn" if advice.step is not None else "look"
        return replace(advice, doubts=(), kind=kind)

    def _doubt(self) -> Doubt | None:
        return self.advice.doubts[0] if self.advice and self.advice.doubts else None

    def action_answer(self, answer: int) -> None:
        """1: it was as asked; 2: it was as logged."""
        doubt = self._doubt()
        if doubt is None:
            self.tell("Nothing is asked just now.")
        elif answer == 1:
            self.answer_yes(doubt)
        else:
            self._as_logged.add((doubt.kind, doubt.entry_id))
            self._advised_view = None
            self.redraw()

    # --- the turn in hand ---

    def _notice_turn(self) -> None:
        """Once a turn is on disk, the hand is free for what is advised, or for the way back."""
        turns = self.desk.view.turns
        last = turns[-1] if turns else None
        before, self._last_turn = self._last_turn, last.id if last else 0
        if before is None or last is None or last.id == before:
            return
        if last.id < before:  # a turn was taken back: the way from here is another one
            self.way_left = ()
        elif last.supersedes_id is None:
            self.own_hand = False
            if self.way_left and _is_step(last.content.turn, self.way_left[0]):
                self.way_left = self.way_left[1:]
                self.take_way_back()

    def _hold_a_screw(self) -> None:
        """There is always a screw in hand, if any is named."""
        screws = self.desk.view.screws
        if screws and self.hand.screw not in {each.name for each in screws}:
            self.hand = replace(self.hand, screw=screws[0].name)

    def _change_hand(self, hand: Hand) -> None:
        self.hand, self.own_hand = hand, True
        self.redraw()

    def action_screw(self, step: int) -> None:
        self._change_hand(self.hand.next_screw(self.desk.view.screws, step))

    def action_way(self, step: int) -> None:
        self._change_hand(replace(self.hand, tighten=step > 0))

    def action_amount(self, step: int) -> None:
        self._change_hand(self.hand.more(step))

    def action_unit(self) -> None:
        self._change_hand(self.hand.next_unit())

    def action_advised(self) -> None:
        """Give up a turn of one's own, or a way back: the advised turn is in hand again."""
        self.own_hand, self.way_left = False, ()
        advice = self.advice
        if advice is not None and advice.step is not None and advice.kind in MOVES:
            self.hand = hand_of(advice.step.screw, advice.step.turns, self.hand.unit)
        self.redraw()

    def action_keep(self) -> None:
        """Ask whether the turn in hand was made; with none in hand, in the dark, have a look."""
        if not self.desk.view.screws:
            return
        if self.hand_is_ready():
            self._asked_at = self.desk.clock()
            self._ask_if_turned()
        elif self.has_class("-dark"):
            self._look_in_the_dark()
        else:
            self.tell(f"{self._before_turning()} Arrows prepare a turn of your own.")

    def _ask_if_turned(self) -> None:
        """Enter never logs by itself: an order to turn is no turn made."""
        if self.desk.view.night is None:
            self.tell(self._before_turning())
            return
        hand, way = self.hand, "tighter" if self.hand.tighten else "looser"
        words = f"{self._still_to_do()}Did you turn {hand.screw} {hand.amount_words()} {way}?"
        self.ask(words, self._log_turn, "Enter: yes, log it   Escape: no")

    def _still_to_do(self) -> str:
        """What should have come before another turn."""
        last = self.turn_tonight()
        if last is not None and last.result is None and last.puts_back_entry_id is None:
            return f"What the last turn, of {last.screw}, did is not logged yet (b s w). "
        if self.advice is not None and self.advice.kind == "look":
            return "The page asks for a look first. "
        return ""

    async def _log_turn(self) -> None:
        """The turn was made. A key that bounces under a glove answers nothing."""
        if (self.desk.clock() - self._asked_at).total_seconds() < BOUNCE_S:
            self._ask_if_turned()
        elif self.in_night():
            entry = self.hand.entry(self.desk.clock())
            self.post_message(JobWanted(keep_entry(entry, spell(entry))))

    def question_before(self, key: str) -> str:
        judged = {"b": "made it better", "s": "changed nothing", "w": "made it worse"}
        if key in judged and self.turn_tonight() is not None:
            return f"log that the last turn {judged[key]}"
        if key == "p" and self.desk.view.turns:
            return "log that the last turn was put back"
        if key == "c":
            return "log that the camera was turned"
        if key == "k" and self.frames:
            return f"log a look of {counted(len(self.frames), 'frame')}"
        if key == "1":
            return "yes, change the book as asked"
        return ""

    def takes(self, key: str) -> bool:
        """1 and 2 are answers only while something is asked."""
        return super().takes(key) and not (key in ("1", "2") and self._doubt() is None)

    def _before_turning(self) -> str:
        """Why no turn is advised now."""
        if self.desk.view.night is None:
            return "Not kept: no night in progress. F10 starts one."
        if self._doubt() is not None:
            return "Answer first: 1 yes, 2 no."
        advice = self.advice
        return advice.reasons[0] if advice is not None and advice.reasons else "Look first."

    def _look_in_the_dark(self) -> None:
        """By eye, unless frames come by themselves."""
        if self.watched is None:
            self.action_look()
        else:
            self.tell(f"Frames are awaited: {len(self.frames)} of {FRAMES_A_LOOK}. l looks by eye.")

    def action_result(self, result: str) -> None:
        if self.desk.view.night is not None and self.turn_tonight() is None:
            self.tell("No turn yet tonight that could be judged.")
        else:
            self.enter_in_night(result)

    def action_put_back(self) -> None:
        self.enter_in_night("put back")

    def action_dark(self) -> None:
        """Large letters, or the page again."""
        self.toggle_class("-dark")
        self._clear_for_letters()
        self.call_after_refresh(self.redraw)

    def _clear_for_letters(self, *, in_view: bool = True) -> None:
        """The night strip makes room for large letters while they are in view."""
        self.screen.set_class(in_view and self.has_class("-dark"), "-letters")

    def on_show(self) -> None:
        self._clear_for_letters()

    def on_hide(self) -> None:
        self._clear_for_letters(in_view=False)

    def action_older(self, step: int) -> None:
        turns = self.query_one("#screws-turns", OptionList)
        turns.scroll_relative(y=step * max(1, turns.size.height - 1), animate=False)


def _is_step(turn: Turn | None, step: Step) -> bool:
    return turn is not None and turn.screw == step.screw and abs(turn.turns - step.turns) < 1e-3
