"""The sheets that open from the Choose page, each made when it is wanted."""

from typing import TYPE_CHECKING

from logbook.screen.dialogs.site_form import EditSite
from logbook.screen.pages.choose.calendar import CalendarSheet
from logbook.screen.pages.choose.frame import FrameSheet
from logbook.screen.pages.choose.instead import InsteadSheet
from logbook.screen.pages.choose.limits import LimitSets
from logbook.screen.pages.choose.object import ObjectSheet
from logbook.screen.pages.choose.order import OrderSheet
from logbook.screen.pages.choose.projects import ProjectsSheet
from logbook.screen.pages.choose.search import SearchSheet
from logbook.screen.pages.choose.star import StarSheet
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.widgets.page import Page

if TYPE_CHECKING:
    from logbook.sky.ranking.suggestions import Suggestion


class OpensSheets(Page):
    """What the page and its sheets share: opening one on the chosen object."""

    def chosen(self) -> "Suggestion | None":
        """The object that the cursor is on."""
        return None

    def answered(self, job: Job | None) -> None:
        """A form was saved, or left with None."""
        if job is not None:
            self.post_message(JobWanted(job))

    def action_calendar(self) -> None:
        self.app.push_screen(CalendarSheet(self.desk))

    def action_projects(self) -> None:
        found = self.chosen()
        self.app.push_screen(ProjectsSheet(self.desk, found.object_id if found else ""))

    def action_search(self) -> None:
        self.app.push_screen(SearchSheet(self.desk), self.show_object)

    def action_object(self) -> None:
        found = self.chosen()
        self.show_object(found.object_id if found else None)

    def show_object(self, object_id: str | None) -> None:
        """All about an object; nothing for None."""
        if object_id is not None and self.desk.view.site is not None:
            self.app.push_screen(ObjectSheet(self.desk, object_id))

    def action_frame(self) -> None:
        found = self.chosen()
        if found is not None:
            self.app.push_screen(FrameSheet(self.desk, found.object_id))

    def action_limit_sets(self) -> None:
        self.app.push_screen(LimitSets(self.desk))

    def action_instead(self) -> None:
        self.app.push_screen(InsteadSheet(self.desk))

    def action_star(self) -> None:
        self.app.push_screen(StarSheet(self.desk))

    def action_order(self) -> None:
        self.app.push_screen(OrderSheet(self.desk))

    def action_site(self) -> None:
        view = self.desk.view
        if view.site is not None:
            taken = self.desk.taken_names("site", view.site.id)
            self.app.push_screen(EditSite(view.site, taken), self.answered)
