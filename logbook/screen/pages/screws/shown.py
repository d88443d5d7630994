"""What the Screws page shows: the turn in hand, the disc, the sums, the turns, large letters."""

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.records.entries import Turn
from logbook.screen.pages.screws.advice import MOVES, advice_words
from logbook.screen.pages.screws.dark import dark_words, question_in_the_dark
from logbook.screen.pages.screws.outcomes import Outcome
from logbook.screen.pages.screws.sheets import SheetsPage
from logbook.screen.pages.screws.watching import FRAMES_A_LOOK
from logbook.screen.pages.screws.words import (
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
from logbook.screen.services.book_snapshot import BookView, is_mirror_telescope
from logbook.screen.services.services import Desk
from logbook.screen.widgets.disc import disc_lines
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.picture_view import PictureView

WIDE = 100  # columns from which lines hold more
_DISC = (24, 11)  # columns and rows
_WIDE_DISC = (40, 19)


class ShownPage(SheetsPage):
    """The part of the Screws page that draws."""

    DEFAULT_CSS = """
    ShownPage #screws-next { height: auto; text-style: bold; }
    ShownPage #screws-body { height: 1fr; }
    ShownPage #screws-disc { width: 26; height: auto; }
    ShownPage #screws-right { width: 1fr; }
    ShownPage #screws-sums { height: auto; }
    ShownPage #screws-turns { height: 1fr; border: none; padding: 0; background: $background; }
    ShownPage #screws-live { height: 16; width: 56; }
    ShownPage #screws-why { height: auto; }
    ShownPage #screws-care { height: auto; color: $text-muted; }
    ShownPage #screws-dark { height: 1fr; display: none; }
    ShownPage.-dark #screws-dark { display: block; }
    ShownPage.-dark #screws-next { display: none; }
    ShownPage.-dark #screws-body { display: none; }
    ShownPage.-dark #screws-why { display: none; }
    ShownPage.-dark #screws-care { display: none; }
    """

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self.own_hand = False  # the owner changed the turn in hand; an advice leaves it alone
        self.advised_for: BookView | None = None  # the reading of the book the advice is of
        self.outcomes: dict[int, Outcome] = {}

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

    @property
    def _is_wide(self) -> bool:
        return self.app.size.width >= WIDE

    def draw(self) -> None:
        """Draw everything from the desk, the advice and the hand."""
        self.query_one("#screws-next", Static).update(self._next_words())
        self._draw_disc()
        sums = sum_words(self.desk, self.advice, wide=self._is_wide)
        self.query_one("#screws-sums", Static).update(sums)
        self._list_turns()
        self._draw_care()
        self._draw_why()
        self._draw_live()
        if self.has_class("-dark"):
            self.call_after_refresh(self._draw_dark)

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
        if self.hand_is_ready():
            words.append_text(
                hand_words(self.hand, view.screws, self.way_left, advised=advised, narrow=narrow)
            )
        else:
            words.append_text(idle_words(self.hand, view.screws))
        seen = seen_since_turn(view)
        size = self.app.size
        words.append_text(then_words(self.turn_tonight(), self.hand, *size, seen_since=seen))
        words.append_text(advice_words(self.advice, in_hand=advised))
        words.rstrip()
        return words

    def _advised_is_in_hand(self) -> bool:
        advice, hand = self.advice, self.hand
        if advice is None or advice.step is None or advice.kind not in MOVES:
            return False
        step = advice.step
        return step.screw == hand.screw and abs(step.turns - hand.turns) < 1e-3

    def hand_is_ready(self) -> bool:
        """Whether Enter may keep what is in hand: prepared by the owner, or advised just now.

        What an earlier advice left there is not.
        """
        if self.own_hand or self.way_left:
            return True
        advice, fresh = self.advice, self.advised_for is self.desk.view
        return advice is not None and fresh and advice.kind in MOVES

    def _draw_disc(self) -> None:
        view = self.desk.view
        columns, rows = _WIDE_DISC if self._is_wide else _DISC
        seen = view.last_look.content.look if view.last_look else None
        pulls = self.advice.responses if self.advice else ()
        lines = []
        if view.screws or seen is not None:
            lines = disc_lines(seen, view.screws, columns, rows, self.hand.screw or None, pulls)
        disc = self.query_one("#screws-disc", Static)
        disc.styles.width = columns + 2
        disc.update(Text("\n".join(lines)))

    def _list_turns(self) -> None:
        wide = self._is_wide
        turns = self.query_one("#screws-turns", OptionList)
        turns.clear_options()
        turns.add_options(
            [
                Option(turn_line(self.desk, each, self.outcomes.get(each.id), wide=wide))
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
        live = self.query_one("#screws-live", PictureView)
        shown = self.last_frame.shown if self.last_frame else None
        tall = self.app.size.height >= TALL
        live.display = self.watched is not None and self._is_wide and tall
        live.show(shown)

    def redraw_question(self) -> None:
        if self.has_class("-dark"):
            self.call_after_refresh(self._draw_dark)

    def _draw_dark(self) -> None:
        dark = self.query_one("#screws-dark", Static)
        size, screws = dark.size, self.desk.view.screws
        question = self.app.query_one(EntryBar).question
        if question is not None:
            dark.update(question_in_the_dark(question.words, size.width, size.height))
            return
        waiting = f"{len(self.frames)} of {FRAMES_A_LOOK} frames" if self.watched else ""
        hand = self.hand if self.hand_is_ready() else None
        words = dark_words(self.advice, hand, screws, waiting, size.width, size.height)
        dark.update(words)

    def turn_tonight(self) -> Turn | None:
        """The last turn, if it was made in the night in progress."""
        night, turns = self.desk.view.night, self.desk.view.turns
        if night is None or not turns or turns[-1].night_id != night.id:
            return None
        return turns[-1].content.turn
