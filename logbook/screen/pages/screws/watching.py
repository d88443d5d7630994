"""A watched folder: each new frame is measured as it lands, and frames of one setting average."""

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

from textual import on, work
from textual.message import Message
from textual.timer import Timer
from textual.worker import Worker, get_current_worker

from logbook.entryline.format import spell_look
from logbook.errors import LogbookError
from logbook.screen.pages.screws.frames import (
    About,
    Frame,
    average_words,
    frame_of,
    good_of,
    is_picture,
    look_entry,
    measure_words,
)
from logbook.screen.services.folder_watch import FolderWatch
from logbook.screen.services.jobs import keep_entry
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.page import Page
from logbook.screen.widgets.path_line import real_path
from logbook.startest.picture.averaging import average

EVERY_S = 1.0
FRAMES_A_LOOK = 3  # their scatter is an honest uncertainty; fewer have only the formal one
DRAWN = (56, 32)  # points of the small drawing kept with a frame, across and down


class WatchingPage(Page):
    """The part of the Screws page that holds measured frames and watches a folder for more."""

    class FrameLanded(Message):
        """A frame of the watched folder was measured, or refused."""

        def __init__(self, frame: Frame, landed_at: datetime) -> None:
            super().__init__()
            self.frame = frame
            self.landed_at = landed_at

    class FolderLooked(Message):
        """The folder was looked at; `problem` says why it could not be."""

        def __init__(self, problem: str) -> None:
            super().__init__()
            self.problem = problem

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self.about = About()
        self.looks_wanted = 0  # by the advice, besides one after every turn
        self._picture_folder = ""
        self.frames: list[Frame] = []  # of the setting as it is now
        self.last_frame: Frame | None = None
        self._setting: tuple[int | None, ...] = ()  # telescope and turn after which they came
        self._watch: FolderWatch | None = None
        self._timer: Timer | None = None
        self._scan: Worker[None] | None = None
        self._problem = ""

    @property
    def picture_folder(self) -> str:
        """Where pictures were found last, now or in an earlier night; ends in a slash."""
        seen = self.desk.view.last_look
        look = seen.content.look if seen else None
        if not self._picture_folder and look is not None and look.picture_path:
            return f"{Path(look.picture_path).parent}/"
        return self._picture_folder

    def remember_folder(self, folder: str) -> None:
        self._picture_folder = folder

    # --- starting and stopping ---

    @property
    def watched(self) -> Path | None:
        return self._watch.folder if self._watch else None

    def start_watch(self, typed: str) -> None:
        """Watch a folder from now on; what lies in it is old."""
        folder = real_path(typed)
        if not _is_folder(folder):
            self.tell(f"{folder.name or typed[:60]} is no folder that can be watched.")
            return
        self.remember_folder(f"{folder}/")
        self._watch = FolderWatch(folder, is_picture)
        self._timer = self.set_interval(EVERY_S, self.look_at_folder)
        self.look_at_folder()
        self.tell(f"Watching {folder.name or folder}: each new frame is measured. f stops.")
        self.redraw()

    def stop_watch(self) -> None:
        if self._timer is not None:
            self._timer.stop()
        self._watch = self._timer = None
        self.tell("The folder is watched no longer.")
        self.redraw()

    def look_at_folder(self) -> None:
        """Look once, unless the last look is still measuring."""
        if self._watch is not None and (self._scan is None or self._scan.is_finished):
            self._scan = self._look(self._watch)

    @work(thread=True, exit_on_error=False, group="watch")
    def _look(self, watch: FolderWatch) -> None:
        worker = get_current_worker()
        for path in watch.look():
            if worker.is_cancelled or watch is not self._watch:
                return
            landed_at = self.desk.clock()
            self.post_message(self.FrameLanded(frame_of(path, *DRAWN), landed_at))
        self.post_message(self.FolderLooked(watch.problem))

    @on(FolderLooked)
    def _folder_looked(self, event: FolderLooked) -> None:
        if event.problem and event.problem != self._problem:
            self.tell(event.problem)
        self._problem = event.problem

    # --- frames ---

    @on(FrameLanded)
    def _frame_landed(self, event: FrameLanded) -> None:
        frame = event.frame
        self.last_frame = frame
        if not frame.measure.ok:
            self.tell(f"{frame.measure.file}: {measure_words(frame.measure)}")
        elif self._was_turned_during(frame, event.landed_at):
            self.tell(f"{frame.measure.file}: passed over, a screw was turned while it was taken.")
        else:
            self.add_frame(frame)
            self._say_setting(frame)
        self.redraw()

    def add_frame(self, frame: Frame) -> None:
        """Count a frame to the setting as it is now; a turn since begins a new setting."""
        view = self.desk.view
        setting = (
            view.telescope.id if view.telescope else None,
            view.turns[-1].id if view.turns else None,
        )
        if setting != self._setting:
            self.frames, self._setting = [], setting
        self.frames.append(frame)

    def _was_turned_during(self, frame: Frame, landed_at: datetime) -> bool:
        turns, facts = self.desk.view.turns, frame.measure.facts
        if not turns:
            return False
        exposure_s = (facts.exposure_s if facts else None) or 0.0
        return landed_at - timedelta(seconds=exposure_s) < turns[-1].content.happened_utc

    def _say_setting(self, frame: Frame) -> None:
        """Say what the frames come to; keep them once there are enough and a look is wanted."""
        if len(self.frames) >= FRAMES_A_LOOK and self.look_is_wanted():
            kept = self.keep_look(self.frames)
            self.frames = [] if kept else self.frames[-1:]  # a new defocus begins with the last
            return
        words = f"{frame.measure.file}: {measure_words(frame.measure)}"
        if len(self.frames) > 1:
            words += f" · {self.frames_words()}"
        self.tell(words)

    def frames_words(self) -> str:
        """The average of the setting, or why it has none."""
        try:
            return average_words(average(good_of(self.frames)))
        except LogbookError as error:
            return str(error)

    def look_is_wanted(self) -> bool:
        """Whether no look of this night came after the last turn, or the advice wants more."""
        view = self.desk.view
        if view.night is None:
            return False
        seen, turns = view.last_look, view.turns
        if seen is None or seen.night_id != view.night.id:
            return True
        if self.looks_wanted:
            return True
        return bool(turns) and turns[-1].content.happened_utc > seen.content.happened_utc

    def action_keep_frames(self) -> None:
        """Keep the frames of this setting as one look; the next frames begin anew."""
        if not self.frames:
            self.tell("No frames of this setting yet: m measures a picture, f watches a folder.")
        elif self.keep_look(self.frames):
            self.frames = []

    def keep_look(
        self, frames: list[Frame], with_draft: Callable[[Job], Job] = lambda job: job
    ) -> bool:
        """Keep frames as one look, or say why not.

        with_draft -- makes the job one that empties the draft of a sheet too.
        """
        if self.desk.view.night is None:
            self.tell("Not kept: no night in progress. F10 starts one.")
            return False
        try:
            entry = look_entry(self.desk, frames, self.about)
        except LogbookError as error:
            self.tell(str(error))
            return False
        assert entry.look is not None
        self.post_message(JobWanted(with_draft(keep_entry(entry, spell_look(entry.look)))))
        return True

    def enter_in_night(self, line: str) -> bool:
        """Keep a line; turns and looks belong to a night, so without one nothing is kept."""
        if self.in_night():
            self.app.query_one(EntryBar).enter(line)
            return True
        return False

    def in_night(self) -> bool:
        """Whether a night is in progress; says so if not."""
        if self.desk.view.night is None:
            self.tell("Not kept: no night in progress. F10 starts one.")
        return self.desk.view.night is not None

    def tell(self, words: str) -> None:
        self.app.query_one(EntryBar).say(words, bold=True)


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:  # not ours to look into, or no name that a folder can have
        return False
