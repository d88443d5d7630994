"""The sheets that open from the Choose page."""

from functools import partial

from logbook.report.words.tonight_text import night_lines
from logbook.screen.dialogs.sheets import Sheet
from logbook.screen.dialogs.site_form import EditSite
from logbook.screen.pages.choose.calendar import CalendarSheet
from logbook.screen.pages.choose.frame import FrameSheet
from logbook.screen.pages.choose.instead import InsteadSheet
from logbook.screen.pages.choose.limits import LimitSets
from logbook.screen.pages.choose.list import ChooseList
from logbook.screen.pages.choose.object import ObjectSheet
from logbook.screen.pages.choose.order import OrderSheet
from logbook.screen.pages.choose.projects import ProjectsSheet
from logbook.screen.pages.choose.search import SearchSheet
from logbook.screen.pages.choose.star import StarSheet
from logbook.screen.pages.choose.words import why_words


def calendar(it: ChooseList) -> None:
    it.page.app.push_screen(CalendarSheet(it.desk))


def projects(it: ChooseList) -> None:
    found = it.chosen()
    it.page.app.push_screen(ProjectsSheet(it.desk, found.object_id if found else ""))


def search(it: ChooseList) -> None:
    it.page.app.push_screen(SearchSheet(it.desk), partial(_show_object, it))


def about_object(it: ChooseList) -> None:
    found = it.chosen()
    _show_object(it, found.object_id if found else None)


def _show_object(it: ChooseList, object_id: str | None) -> None:
    if object_id is not None and it.desk.view.site is not None:
        it.page.app.push_screen(ObjectSheet(it.desk, object_id))


def frame(it: ChooseList) -> None:
    found = it.chosen()
    if found is not None:
        it.page.app.push_screen(FrameSheet(it.desk, found.object_id))


def why(it: ChooseList) -> None:
    found = it.chosen()
    if found is not None:
        words = why_words(found)
        words.append_text(it.drawings(found))
        it.page.app.push_screen(Sheet("Why", list(words.split("\n"))))


def whole_night(it: ChooseList) -> None:
    if it.desk.tonight is not None:
        lines = night_lines(it.desk.tonight)
        it.page.app.push_screen(Sheet(lines[0].plain, lines[1:]))


def limit_sets(it: ChooseList) -> None:
    it.page.app.push_screen(LimitSets(it.desk))


def instead(it: ChooseList) -> None:
    it.page.app.push_screen(InsteadSheet(it.desk))


def test_star(it: ChooseList) -> None:
    it.page.app.push_screen(StarSheet(it.desk))


def running_order(it: ChooseList) -> None:
    it.page.app.push_screen(OrderSheet(it.desk))


def site(it: ChooseList) -> None:
    used = it.desk.view.site
    if used is not None:
        it.page.app.push_screen(EditSite(used, it.desk.taken_names("site", used.id)), it.log)
