"""What the keys of every page do, by the name that each has in the table of keys."""

from collections.abc import Callable
from functools import partial

from textual.binding import Binding

from logbook.screen.app.parts import Parts
from logbook.screen.services import jobs
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.page import Page
from logbook.screen.widgets.question import Question


def log(it: Parts, job: Job | None) -> None:
    """Have a job done; None is a form that was left."""
    if job is not None:
        it.app.post_message(JobWanted(job))


def open_help(it: Parts) -> None:
    """Help for the form or sheet on top, else for the page in view."""
    from logbook.screen.app.help import HelpSheet

    over_page = len(it.app.screen_stack) > 1
    shown = it.app.screen if over_page else it.pages.in_view()
    if shown is not None:
        it.app.push_screen(HelpSheet(shown))


def far_view(it: Parts) -> None:
    """Big letters over everything, or away with them."""
    from logbook.screen.pages.night.big_display import FarView

    if isinstance(it.app.screen, FarView):
        it.app.screen.action_leave()
    elif len(it.app.screen_stack) == 1:
        it.app.push_screen(FarView(it.desk))


def red_view(it: Parts) -> None:
    """Switch the red night view, for this book from now on; every line is drawn anew."""
    red = it.red_filter.enabled = not it.red_filter.enabled
    if it.desk.book is not None:
        log(it, jobs.choose("view", "red" if red else "day"))
    it.app.screen.refresh(layout=True)
    it.app.refresh(layout=True)


def undo(it: Parts) -> None:
    log(it, jobs.take_back_last)


def redo(it: Parts) -> None:
    log(it, jobs.do_again)


def type_entry(it: Parts) -> None:
    it.app.query_one(EntryBar).take_keys()


def entry_form(it: Parts) -> None:
    from logbook.screen.pages.night.entry_form import EntryForm

    if it.desk.book is not None:
        it.app.push_screen(EntryForm(it.desk), lambda job: log(it, job))


def start_or_end_night(it: Parts) -> None:
    from logbook.screen.pages.night.night_form import EndNight, StartNight

    if it.desk.book is None:
        it.app.query_one(EntryBar).say("The book is not open yet.", bold=True)
        return
    form = StartNight(it.desk) if it.desk.view.night is None else EndNight(it.desk)
    it.app.push_screen(form, lambda job: log(it, job))


def new_site(it: Parts) -> None:
    from logbook.screen.dialogs.site_form import NewSite

    it.app.push_screen(NewSite(it.desk.taken_names("site")), lambda job: log(it, job))


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
    "help": open_help,
    "red": red_view,
    "far": far_view,
    "undo": undo,
    "redo": redo,
    "line": type_entry,
    "form": entry_form,
    "begin": start_or_end_night,
}
