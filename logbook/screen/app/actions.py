"""What the keys of every page do, by the name that each has in the table of keys."""

from collections.abc import Callable
from functools import partial

from textual.binding import Binding

from logbook.screen.app.parts import Parts
from logbook.screen.services import jobs
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.page import Page
from logbook.screen.widgets.question import Question


def open_sheet(it: Parts, name: str) -> None:
    """A form or sheet of the app; all of them are imported when the first one is wanted."""
    from logbook.screen.app.sheets import SHEETS

    SHEETS[name](it)


def red_view(it: Parts) -> None:
    """Switch the red night view, for this book from now on; every line is drawn anew."""
    red = it.red_filter.enabled = not it.red_filter.enabled
    if it.desk.book is not None:
        it.log(jobs.choose("view", "red" if red else "day"))
    it.app.screen.refresh(layout=True)
    it.app.refresh(layout=True)


def undo(it: Parts) -> None:
    it.log(jobs.take_back_last)


def redo(it: Parts) -> None:
    it.log(jobs.do_again)


def type_entry(it: Parts) -> None:
    it.app.query_one(EntryBar).take_keys()


async def ask_as_the_key(page: Page, binding: Binding) -> None:
    """Do what a key of the page does; what would ask at the key asks here too.

    Not for Enter: that key led here.
    """
    run = partial(page.app.run_action, binding.action, page)
    words = page.question_before(binding.key)
    if not words:
        await run()
        return

    async def answered(yes: bool | None) -> None:
        if yes:
            await run()

    page.app.push_screen(Question(f"{words[0].upper()}{words[1:]}?", "yes", "y"), answered)


ACTIONS: dict[str, Callable[[Parts], object]] = {
    "red": red_view,
    "undo": undo,
    "redo": redo,
    "line": type_entry,
    **{name: partial(open_sheet, name=name) for name in ("help", "far", "form", "begin")},
}
