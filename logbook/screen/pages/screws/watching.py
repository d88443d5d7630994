"""A watched folder: each new frame is measured as it lands, and frames of one setting average."""

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

from textual.timer import Timer
from textual.worker import Worker, get_current_worker

from logbook.errors import LogbookError
from logbook.screen.pages.screws.frames import (
    Frame,
    average_words,
    good_of,
)
from logbook.screen.pages.screws.jobs import calculations, is_picture
from logbook.screen.services.book_snapshot import BookView
from logbook.screen.services.folder_watch import FolderWatch
from logbook.screen.widgets.page import Page
from logbook.startest.picture.averaging import average

EVERY_S = 1.0
FRAMES_A_LOOK = 3  # their scatter is an honest uncertainty; fewer have only the formal one
DRAWN = (56, 32)  # points of the small drawing stored with a frame, across and down


class FolderWatcher:
    """Looks at a folder once a second, in a short worker of its page.

    landed -- called with each new frame, measured or refused, and when it landed.
    say -- called with why the folder cannot be looked at, once.
    """

    def __init__(
        self, page: Page, landed: Callable[[Frame, datetime], None], say: Callable[[str], None]
    ) -> None:
        self._page = page
        self._landed = landed
        self._say = say
        self._watch: FolderWatch | None = None
        self._timer: Timer | None = None
        self._scan: Worker[None] | None = None
        self._problem = ""

    @property
    def folder(self) -> Path | None:
        return self._watch.folder if self._watch else None

    def start(self, folder: Path) -> None:
        """Watch a folder from now on; what lies in it is old."""
        self._watch = FolderWatch(folder, is_picture)
        self._timer = self._page.set_interval(EVERY_S, self.look)
        self.look()

    def stop(self) -> None:
        if self._timer is not None:
            self._timer.stop()
        self._watch = self._timer = None

    def look(self) -> None:
        """Look once, unless the last look is still measuring."""
        watch = self._watch
        if watch is not None and (self._scan is None or self._scan.is_finished):
            self._scan = self._page.run_worker(
                lambda: self._measure_new(watch), thread=True, exit_on_error=False, group="watch"
            )

    def _measure_new(self, watch: FolderWatch) -> None:
        worker = get_current_worker()
        for path in watch.look():
            if worker.is_cancelled or watch is not self._watch:
                return
            landed_at = self._page.desk.clock()
            self._page.call_later(self._landed, calculations().frame_of(path, *DRAWN), landed_at)
        self._page.call_later(self._looked, watch.problem)

    def _looked(self, problem: str) -> None:
        if problem and problem != self._problem:
            self._say(problem)
        self._problem = problem


class FramesOfSetting:
    """The frames measured since the last turn; a turn since begins a new setting."""

    def __init__(self) -> None:
        self.frames: list[Frame] = []
        self.last: Frame | None = None  # of all that landed, refused ones too
        self._setting: tuple[int | None, ...] = ()  # telescope and turn after which they came

    def add(self, view: BookView, frame: Frame) -> None:
        """Count a frame to the setting as it is now."""
        setting = (
            view.telescope.id if view.telescope else None,
            view.turns[-1].id if view.turns else None,
        )
        if setting != self._setting:
            self.frames, self._setting = [], setting
        self.frames.append(frame)

    def words(self) -> str:
        """The average of the setting, or why it has none."""
        try:
            return average_words(average(good_of(self.frames)))
        except LogbookError as error:
            return str(error)


def was_turned_during(view: BookView, frame: Frame, landed_at: datetime) -> bool:
    """Whether a screw was turned while a frame was taken."""
    turns, facts = view.turns, frame.measure.facts
    if not turns:
        return False
    exposure_s = (facts.exposure_s if facts else None) or 0.0
    return landed_at - timedelta(seconds=exposure_s) < turns[-1].content.happened_utc


def look_is_wanted(view: BookView, looks_wanted: int) -> bool:
    """Whether no look of this night came after the last turn, or the advice wants more."""
    if view.night is None:
        return False
    seen, turns = view.last_look, view.turns
    if seen is None or seen.night_id != view.night.id:
        return True
    if looks_wanted:
        return True
    return bool(turns) and turns[-1].content.happened_utc > seen.content.happened_utc


def is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:  # not ours to look into, or no name that a folder can have
        return False
