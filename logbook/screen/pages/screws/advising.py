"""The advice of the Screws page: computed once for each reading of the book."""

from dataclasses import replace

from textual.message import Message

from logbook.screen.pages.screws.advice import MOVES
from logbook.screen.pages.screws.jobs import calculations
from logbook.screen.pages.screws.words import Outcome, outcomes
from logbook.screen.services.book_snapshot import BookView, is_mirror_telescope
from logbook.screen.widgets.page import Page, run_beside
from logbook.startest.screws.advice import Advice, Doubt, Step


class AdviceReady(Message):
    """What to do next was computed from the book as it was then."""

    def __init__(
        self, advice: Advice, view: BookView, outcomes: dict[int, Outcome] | None = None
    ) -> None:
        super().__init__()
        self.advice = advice
        self.view = view
        self.outcomes = outcomes or {}


class AdviceController:
    """Asks for the advice in a worker of its page, which is sent AdviceReady."""

    def __init__(self, page: Page) -> None:
        self.advice: Advice | None = None
        self.outcomes: dict[int, Outcome] = {}  # by turn
        self.looks_wanted = 0  # besides one after every turn
        self._page = page
        self._view: BookView | None = None  # the reading of the book that the advice is of
        self._asked_view: BookView | None = None
        self._as_logged: set[tuple[str, int | None]] = set()  # doubts answered with no

    @property
    def is_fresh(self) -> bool:
        """Whether the advice is of the book as it is."""
        return self._view is self._page.desk.view

    @property
    def step(self) -> Step | None:
        """The turn that is advised, if it is a turn."""
        advice = self.advice
        return advice.step if advice is not None and advice.kind in MOVES else None

    @property
    def doubt(self) -> Doubt | None:
        return self.advice.doubts[0] if self.advice and self.advice.doubts else None

    def ask(self) -> bool:
        """Have it computed, once for each reading; whether the one before counts no more."""
        view = self._page.desk.view
        if view is self._asked_view:
            return False
        before, self._asked_view = self._asked_view, view
        is_other = before is None or before.telescope != view.telescope
        if is_other:
            self.advice = None
        if view.telescope is not None and is_mirror_telescope(view.telescope.part):
            self._work_out(view, view.telescope.id)
        return is_other

    def _work_out(self, view: BookView, telescope_id: int) -> None:
        def work() -> None:
            book = self._page.desk.book
            if book is not None:
                advice = calculations().advice_for(book, telescope_id, self._page.desk.clock())
                did = outcomes(book.collimation.history(telescope_id))
                self._page.post_message(AdviceReady(advice, view, did))

        run_beside(self._page, work, "advice")

    def take(self, ready: AdviceReady) -> bool:
        """Take an advice that is of the book as it is; whether it is."""
        if ready.view is not self._page.desk.view:
            return False
        self.advice, self._view = self._without_answered(ready.advice), ready.view
        self.outcomes, self.looks_wanted = ready.outcomes, self.advice.looks_wanted
        return True

    def _without_answered(self, advice: Advice) -> Advice:
        """A doubt that the user answered with no is dismissed: the turn was as logged."""
        left = tuple(
            each for each in advice.doubts if (each.kind, each.entry_id) not in self._as_logged
        )
        if left or advice.kind != "ask":
            return replace(advice, doubts=left)
        kind = "turn" if advice.step is not None else "look"
        return replace(advice, doubts=(), kind=kind)

    def was_as_logged(self, doubt: Doubt) -> None:
        """A doubt is answered with no: what is advised is asked for anew."""
        self._as_logged.add((doubt.kind, doubt.entry_id))
        self._asked_view = None
