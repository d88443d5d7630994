"""Screws: the disc and shadow as last seen, the next turn advised, and every turn recorded."""

from dataclasses import replace
from datetime import datetime
from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.screen.desk import Desk
from logbook.screen.disc import disc_lines
from logbook.screen.pages.screws_advice import MOVES, advice_words
from logbook.screen.pages.screws_dark import dark_words
from logbook.screen.pages.screws_hand import Hand, hand_of
from logbook.screen.pages.screws_keys import KEYS_OF_PAGE, OWN_KEYS
from logbook.screen.pages.screws_outcomes import Outcome, outcomes
from logbook.screen.pages.screws_sheets import SheetsPage
from logbook.screen.pages.screws_watching import FRAMES_A_LOOK
from logbook.screen.pages.screws_words import (
    CARE_SHORT,
    CARE_WORDS,
    TALL,
    hand_words,
    head_words,
    idle_words,
    seen_since_turn,
    sum_words,
    then_words,
    turn_line,
)
from logbook.screen.picture_view import PictureView
from logbook.screen.view import BookView, is_mirror_telescope
from logbook.startest.advice import Advice, Doubt, Step
from logbook.store.records import Turn

BOUNCE_S = 1.5  # a key that bounces under a glove is no second turn
_DISC = (24, 11)  # columns and rows
_WIDE_DISC = (40, 19)


class ScrewsPage(SheetsPage):
    """Enter keeps the turn in hand; an advice puts its turn in hand, arrows change it."""

    TITLE = "Screws"
    can_focus = True
    DEFAULT_CSS = """
    ScrewsPage #screws-next { height: auto; text-style: bold; }
    ScrewsPage #screws-body { height: 1fr; }
    ScrewsPage #screws-disc { width: 26; height: auto; }
    ScrewsPage #screws-right { width: 1fr; }
    ScrewsPage #screws-sums { height: auto; }
    ScrewsPage #screws-turns { height: 1fr; border: none; padding: 0; background: $background; }
    ScrewsPage #screws-live { height: 16; width: 56; }
    ScrewsPage #screws-why { height: auto; }
    ScrewsPage #screws-care { height: auto; color: $text-muted; }
    ScrewsPage #screws-dark { height: 1fr; display: none; }
    ScrewsPage.-dark #screws-dark { display: block; }
    ScrewsPage.-dark #screws-next { display: none; }
    ScrewsPage.-dark #screws-body { display: none; }
    ScrewsPage.-dark #screws-why { display: none; }
    ScrewsPage.-dark #screws-care { display: none; }
    """
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
        self._own_hand = False  # the owner changed the turn in hand; an advice leaves it alone
        self._advised_view: BookView | None = None
        self._outcomes: dict[int, Outcome] = {}
        self._kept_at: datetime | None = None
        self._last_turn: int | None = None
        self._as_logged: set[tuple[str, int | None]] = set()  # doubts answered with no

    def compose(self) -> ComposeResult:
        yield Static(id="screws-dark", markup=False)
        yield Static(id="screws-next", markup=False)
        with Horizontal(id="screws-body"):
            yield Static(id="screws-disc", markup=False)
            with Vertical(id="screws-right"):
                yield Static(id="screws-sums", markup=False)
                turns = OptionList(id="screws-turns", markup=False)
                turns.can_focus = False
                yield turns
                yield PictureView(id="screws-live")
        yield Static(id="screws-why", markup=False)
        yield Static(Text(CARE_WORDS), id="screws-care", markup=False)

    # --- drawing ---

    def redraw(self) -> None:
        self._ask_advice()
        self._notice_turn()
        self._hold_a_screw()
        self.query_one("#screws-next", Static).update(self._next_words())
        self._draw_disc()
        self.query_one("#screws-sums", Static).update(
            sum_words(self.desk, self.advice, wide=self.app.size.width >= 100)
        )
        self._list_turns()
        self._draw_care()
        self._draw_why()
        self._draw_live()
        if self.has_class("-dark"):
            self.call_after_refresh(self._draw_dark)

    def on_resize(self) -> None:
        """A wide screen has room for more in each line."""
        self.redraw()

    def _next_words(self) -> Text:
        """The advice and the turn that Enter would keep, or why there is none."""
        view = self.desk.view
        words = head_words(self.desk, self.app.size.height, self.watched)
        if view.telescope is None or not is_mirror_telescope(view.telescope.part):
            return words
        if not view.screws:
            return words
        advised = self._advised_is_in_hand() and not self.way_left
        narrow = self.app.size.width < 80
        if self._hand_is_ready():
            words.append_text(
                hand_words(self.hand, view.screws, self.way_left, advised=advised, narrow=narrow)
            )
        else:
            words.append_text(idle_words(self.hand, view.screws))
        seen = seen_since_turn(view)
        size = self.app.size
        words.append_text(then_words(self._turn_tonight(), self.hand, *size, seen_since=seen))
        words.append_text(advice_words(self.advice, in_hand=advised))
        words.rstrip()
        return words

    def _advised_is_in_hand(self) -> bool:
        advice, hand = self.advice, self.hand
        if advice is None or advice.step is None or advice.kind not in MOVES:
            return False
        step = advice.step
        return step.screw == hand.screw and abs(step.turns - hand.turns) < 1e-3

    def _hand_is_ready(self) -> bool:
        """Whether Enter may keep what is in hand: not what an earlier advice left there."""
        advice = self.advice
        return self._own_hand or bool(self.way_left) or advice is None or advice.kind in MOVES

    def _draw_disc(self) -> None:
        view = self.desk.view
        columns, rows = _WIDE_DISC if self.app.size.width >= 100 else _DISC
        seen = view.last_look.content.look if view.last_look else None
        pulls = self.advice.responses if self.advice else ()
        lines = []
        if view.screws or seen is not None:
            lines = disc_lines(seen, view.screws, columns, rows, self.hand.screw or None, pulls)
        disc = self.query_one("#screws-disc", Static)
        disc.styles.width = columns + 2
        disc.update(Text("\n".join(lines)))

    def _list_turns(self) -> None:
        wide = self.app.size.width >= 100
        turns = self.query_one("#screws-turns", OptionList)
        turns.clear_options()
        turns.add_options(
            [
                Option(turn_line(self.desk, each, self._outcomes.get(each.id), wide=wide))
                for each in reversed(self.desk.view.turns)
            ]
        )

    def _draw_care(self) -> None:
        words = CARE_WORDS
        if self.advice is not None and self.advice.cautions:
            words = f"{self.advice.cautions[0]}\n{CARE_SHORT}"
        self.query_one("#screws-care", Static).update(Text(words))

    def _draw_why(self) -> None:
        """On a tall terminal the reasons stand on the page itself."""
        reasons = self.advice.reasons if self.advice and self.app.size.height >= TALL else ()
        why = self.query_one("#screws-why", Static)
        why.display = bool(reasons) and not self.has_class("-dark")
        why.update(Text("\n".join(("Why", *(f"  {each}" for each in reasons)))))

    def _draw_live(self) -> None:
        """The frame measured last with its circles, while a folder is watched and there is room."""
        width, height = self.app.size
        live = self.query_one("#screws-live", PictureView)
        shown = self.last_frame.shown if self.last_frame else None
        live.display = self.watched is not None and width >= 100 and height >= TALL
        live.show(shown)

    def _draw_dark(self) -> None:
        dark = self.query_one("#screws-dark", Static)
        size, screws = dark.size, self.desk.view.screws
        waiting = f"{len(self.frames)} of {FRAMES_A_LOOK} frames" if self.watched else ""
        words = dark_words(self.advice, self.hand, screws, waiting, size.width, size.height)
        dark.update(words)

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
        from logbook.store.advising import advice_for

        book = self.desk.book
        if book is not None:
            advice = advice_for(book, telescope_id, self.desk.clock())
            did = outcomes(book.collimation.history(telescope_id))
            self.post_message(self.AdviceReady(advice, view, did))

    @on(AdviceReady)
    def _advice_ready(self, event: AdviceReady) -> None:
        if event.view is not self.desk.view:
            return
        self.advice = self._after_answers(event.advice)
        self._outcomes = event.outcomes
        self.looks_wanted = self.advice.looks_wanted
        step = self.advice.step
        if step is not None and self.advice.kind in MOVES and not self._own_hand:
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
            self._own_hand = False
            if self.way_left and _is_step(last.content.turn, self.way_left[0]):
                self.way_left = self.way_left[1:]
                self.take_way_back()

    def _hold_a_screw(self) -> None:
        """There is always a screw in hand, if any is named."""
        screws = self.desk.view.screws
        if screws and self.hand.screw not in {each.name for each in screws}:
            self.hand = replace(self.hand, screw=screws[0].name)

    def _change_hand(self, hand: Hand) -> None:
        self.hand, self._own_hand = hand, True
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
        self._own_hand, self.way_left = False, ()
        advice = self.advice
        if advice is not None and advice.step is not None and advice.kind in MOVES:
            self.hand = hand_of(advice.step.screw, advice.step.turns, self.hand.unit)
        self.redraw()

    def action_keep(self) -> None:
        """Keep the turn in hand; in the dark only an advised turn, else have a look."""
        if not self.desk.view.screws:
            return
        now = self.desk.clock()
        if self._kept_at is not None and (now - self._kept_at).total_seconds() < BOUNCE_S:
            self.tell("Kept once: that Enter came too soon for another turn. Press it again.")
        elif self.has_class("-dark") and not (self.advice and self.advice.kind in MOVES):
            self._look_in_the_dark()
        elif self.desk.view.night is not None and not self._hand_is_ready():
            self.tell(f"{self._before_turning()} Arrows prepare a turn of your own.")
        elif self.enter_in_night(self.hand.line()):
            self._kept_at = now

    def _before_turning(self) -> str:
        """Why no turn is advised now."""
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
        if self.desk.view.night is not None and self._turn_tonight() is None:
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

    def _turn_tonight(self) -> Turn | None:
        """The last turn, if it was made in the night in progress."""
        night, turns = self.desk.view.night, self.desk.view.turns
        if night is None or not turns or turns[-1].night_id != night.id:
            return None
        return turns[-1].content.turn


def _is_step(turn: Turn | None, step: Step) -> bool:
    return turn is not None and turn.screw == step.screw and abs(turn.turns - step.turns) < 1e-3
