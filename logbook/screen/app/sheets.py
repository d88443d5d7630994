"""The forms and sheets that the app itself opens, by name."""

from collections.abc import Callable

from logbook.screen.app.help import HelpSheet
from logbook.screen.app.parts import Parts
from logbook.screen.dialogs.site_form import NewSite
from logbook.screen.pages.night.big_display import FarView
from logbook.screen.pages.night.entry_form import EntryForm
from logbook.screen.pages.night.night_form import EndNight, StartNight
from logbook.screen.widgets.entry_bar import EntryBar


def open_help(it: Parts) -> None:
    """Help for the form or sheet on top, else for the page in view."""
    over_page = len(it.app.screen_stack) > 1
    shown = it.app.screen if over_page else it.pages.in_view()
    if shown is not None:
        it.app.push_screen(HelpSheet(shown))


def far_view(it: Parts) -> None:
    """Big letters over everything, or away with them."""
    if isinstance(it.app.screen, FarView):
        it.app.screen.action_leave()
    elif len(it.app.screen_stack) == 1:
        it.app.push_screen(FarView(it.desk))


def entry_form(it: Parts) -> None:
    if it.desk.book is not None:
        it.app.push_screen(EntryForm(it.desk), it.log)


def start_or_end_night(it: Parts) -> None:
    if it.desk.book is None:
        it.app.query_one(EntryBar).say("The book is not open yet.", bold=True)
        return
    form = StartNight(it.desk) if it.desk.view.night is None else EndNight(it.desk)
    it.app.push_screen(form, it.log)


def new_site(it: Parts) -> None:
    it.app.push_screen(NewSite(it.desk.taken_names("site")), it.log)


SHEETS: dict[str, Callable[[Parts], None]] = {
    "help": open_help,
    "far": far_view,
    "form": entry_form,
    "begin": start_or_end_night,
    "new site": new_site,
}
