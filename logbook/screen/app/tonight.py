"""The sky over the pages: the night computed for the site and train, and the object that runs."""

from functools import partial
from typing import TYPE_CHECKING

from textual.app import App
from textual.worker import get_current_worker

from logbook.errors import LogbookError
from logbook.records.entries import TargetCopy
from logbook.records.runs import running_object
from logbook.screen.app.pages import Pages
from logbook.screen.services.messages import SkyReady
from logbook.screen.services.services import Desk
from logbook.screen.widgets.page import run_beside

if TYPE_CHECKING:
    from logbook.sky.altitude.track import Track


class SkyController:
    """Has the sky computed away from the screen's thread, and puts it on the desk."""

    def __init__(self, app: App[int], desk: Desk, pages: Pages) -> None:
        self._app = app
        self._desk = desk
        self._pages = pages
        self._followed: tuple[object, ...] | None = None

    def work_out(self) -> None:
        """Compute the night for the site and train in use."""
        run_beside(self._app, self._work_out, "sky")

    def _work_out(self) -> None:
        desk, worker = self._desk, get_current_worker()
        view = desk.view
        if view.site is None:
            return
        try:
            train = view.train.train if view.train else None
            tonight = desk.sky.tonight(
                view.site.site, train, desk.chosen_date, desk.limits, desk.facts()
            )
        except LogbookError as error:
            if not worker.is_cancelled:
                self._app.call_later(self._failed, str(error))
            return
        if not worker.is_cancelled:
            self._app.post_message(SkyReady(tonight))

    def is_ready(self, ready: SkyReady) -> None:
        self._desk.tonight, self._desk.sky_words = ready.tonight, ""
        self.follow()
        self._pages.redraw_sky()

    def _failed(self, words: str) -> None:
        self._desk.tonight, self._desk.sky_words = None, words
        self._pages.redraw_sky()

    def follow(self) -> None:
        """Have the object that runs followed through the night, if it is another one now."""
        view = self._desk.view
        running = running_object(view.timeline) if view.night else None
        limit_deg = self._desk.limits.min_altitude_deg
        wanted = (running, view.site, self._desk.night_date, limit_deg)
        if wanted == self._followed:
            return
        self._followed = wanted
        self._desk.track = None
        if running is not None:
            run_beside(self._app, partial(self._work_out_track, running, limit_deg), "track")

    def _work_out_track(self, target: TargetCopy, limit_deg: float) -> None:
        desk, worker = self._desk, get_current_worker()
        if desk.view.site is None:
            return
        try:
            track = desk.sky.track(desk.view.site.site, target, desk.night_date, limit_deg)
        except LogbookError:  # an object of a book from elsewhere: the page says less of it
            track = None
        if not worker.is_cancelled:
            self._app.call_later(self._track_ready, track)

    def _track_ready(self, track: "Track | None") -> None:
        self._desk.track = track
        self._pages.redraw_sky()
