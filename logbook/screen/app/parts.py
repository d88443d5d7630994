"""What the app is made of besides its widgets, each with what it needs of the others."""

from collections.abc import Callable

from textual.app import App

from logbook.screen.app.book_follower import BookFollower
from logbook.screen.app.drafts_home import DraftsHome
from logbook.screen.app.held_keys import HeldKeys
from logbook.screen.app.job_runner import JobRunner
from logbook.screen.app.opener import BookOpener
from logbook.screen.app.pages import Pages
from logbook.screen.app.tonight import SkyController
from logbook.screen.app.typed_line import TypedLines
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.widgets.red import RedFilter


class Parts:
    """The objects that the app's messages and keys are handed to."""

    def __init__(
        self,
        app: App[int],
        desk: Desk,
        source: BookSource,
        red_filter: RedFilter,
        *,
        when_settled: Callable[[], None],
        forget_typed_ahead: Callable[[], None],
    ) -> None:
        self.app = app
        self.desk = desk
        self.red_filter = red_filter
        self.pages = Pages(app, desk)
        self.typed = TypedLines(app, self.pages)
        self.drafts = DraftsHome(app, desk)
        self.sky = SkyController(app, desk, self.pages)
        self.follower = BookFollower(app, desk, self.pages, self.sky, when_settled)
        self.jobs = JobRunner(app, desk, self.pages, self.follower)
        self.opener = BookOpener(
            app, desk, source, self.pages, self.sky, self.follower, self.drafts, forget_typed_ahead
        )
        self.held_keys = HeldKeys(app, self.pages, self.opener, self.jobs)

    def log(self, job: Job | None) -> None:
        """Have a job done; None is a form that was left."""
        if job is not None:
            self.app.post_message(JobWanted(job))
