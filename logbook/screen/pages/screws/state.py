"""What the Screws page holds: the turn in hand, the advice, and the frames of a watched folder."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from logbook.entryline.format import spell_look
from logbook.errors import LogbookError
from logbook.records.entries import PartRecord, Turn
from logbook.screen.pages.screws.advice import MOVES
from logbook.screen.pages.screws.advising import AdviceController, AdviceReady
from logbook.screen.pages.screws.frames import About, Frame, look_entry, measure_words
from logbook.screen.pages.screws.hand import Hand, TurnInHand
from logbook.screen.pages.screws.watching import (
    FRAMES_A_LOOK,
    FolderWatcher,
    FramesOfSetting,
    is_folder,
    look_is_wanted,
    was_turned_during,
)
from logbook.screen.services.book_snapshot import is_mirror_telescope
from logbook.screen.services.jobs import keep_entry
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.page import Page
from logbook.screen.widgets.path_line import real_path


class Screws:
    """The state of the page; keys and sheets change it, and the page is drawn from it."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.desk = page.desk
        self.turn = TurnInHand()
        self.asked_at = page.desk.clock()  # whether the turn in hand was made
        self.advice = AdviceController(page)
        self.about = About()
        self.setting = FramesOfSetting()
        self.watcher = FolderWatcher(page, self._frame_landed, self.say)
        self._last_turn: int | None = None
        self._picture_folder = ""

    def say(self, words: str) -> None:
        self.page.app.query_one(EntryBar).say(words, bold=True)

    def log(self, job: Job | None) -> None:
        """Have a job done; None is a form that was left."""
        if job is not None:
            self.page.post_message(JobWanted(job))

    # --- the turn in hand ---

    def follow_book(self) -> None:
        """The book may be another now: ask for its advice, and see what was turned."""
        if self.advice.ask():
            self.turn = self.turn.off_way()
        self._notice_turn()
        self.turn = self.turn.on_one_of(self.desk.view.screws)

    def _notice_turn(self) -> None:
        turns = self.desk.view.turns
        last = turns[-1] if turns else None
        before, self._last_turn = self._last_turn, last.id if last else 0
        if before is None or last is None or last.id == before:
            return
        if last.id < before:  # a turn was taken back: the way from here is another one
            self.turn = self.turn.off_way()
        elif last.supersedes_id is None:
            self.turn = self.turn.after(last.content.turn)

    def take_advice(self, ready: AdviceReady) -> None:
        if self.advice.take(ready):
            self.hold(self.turn.with_advice(self.advice.step))

    def hold(self, turn: TurnInHand) -> None:
        """This is in hand from now on."""
        self.turn = turn
        self.page.redraw()

    def change_hand(self, hand: Hand) -> None:
        self.hold(self.turn.changed(hand))

    @property
    def is_ready(self) -> bool:
        """Whether Enter may log what is in hand: prepared by the user, or advised just now.

        What an earlier advice left there is not.
        """
        advice = self.advice.advice
        is_advised = advice is not None and self.advice.is_fresh and advice.kind in MOVES
        return self.turn.is_prepared or is_advised

    @property
    def is_advised_in_hand(self) -> bool:
        step = self.advice.step
        return step is not None and self.turn.holds(step)

    def turn_tonight(self) -> Turn | None:
        """The last turn, if it was made in the night in progress."""
        night, turns = self.desk.view.night, self.desk.view.turns
        if night is None or not turns or turns[-1].night_id != night.id:
            return None
        return turns[-1].content.turn

    # --- what belongs to a night, and to a telescope with a secondary ---

    def in_night(self) -> bool:
        """Whether a night is in progress; says so if not."""
        if self.desk.view.night is None:
            self.say("Not kept: no night in progress. F10 starts one.")
        return self.desk.view.night is not None

    def enter_in_night(self, line: str) -> None:
        """Log a line; turns and looks belong to a night, so without one nothing is logged."""
        if self.in_night():
            self.page.app.query_one(EntryBar).enter(line)

    def mirror_telescope(self) -> PartRecord | None:
        """The telescope in use, if it has a secondary; else a line that it has none."""
        telescope = self.desk.view.telescope
        if telescope is None or not is_mirror_telescope(telescope.part):
            self.say("No telescope with a secondary is in use: F5 chooses its train.")
            return None
        return telescope

    # --- frames ---

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

    def start_watch(self, typed: str) -> None:
        """Watch a folder from now on; what lies in it is old."""
        folder = real_path(typed)
        if not is_folder(folder):
            self.say(f"{folder.name or typed[:60]} is no folder that can be watched.")
            return
        self.remember_folder(f"{folder}/")
        self.watcher.start(folder)
        self.say(f"Watching {folder.name or folder}: each new frame is measured. f stops.")
        self.page.redraw()

    def stop_watch(self) -> None:
        self.watcher.stop()
        self.say("The folder is watched no longer.")
        self.page.redraw()

    def _frame_landed(self, frame: Frame, landed_at: datetime) -> None:
        self.setting.last = frame
        if not frame.measure.ok:
            self.say(f"{frame.measure.file}: {measure_words(frame.measure)}")
        elif was_turned_during(self.desk.view, frame, landed_at):
            self.say(f"{frame.measure.file}: passed over, a screw was turned while it was taken.")
        else:
            self.setting.add(self.desk.view, frame)
            self._say_setting(frame)
        self.page.redraw()

    def _say_setting(self, frame: Frame) -> None:
        """Say what the frames come to; log them once there are enough and a look is wanted."""
        setting = self.setting
        is_wanted = look_is_wanted(self.desk.view, self.advice.looks_wanted)
        if len(setting.frames) >= FRAMES_A_LOOK and is_wanted:
            logged = self.log_look(setting.frames)
            # a new defocus begins with the last
            setting.frames = [] if logged else setting.frames[-1:]
            return
        words = f"{frame.measure.file}: {measure_words(frame.measure)}"
        if len(setting.frames) > 1:
            words += f" · {setting.words()}"
        self.say(words)

    def log_look(
        self, frames: list[Frame], with_draft: Callable[[Job], Job] = lambda job: job
    ) -> bool:
        """Log frames as one look, or say why not.

        with_draft -- makes the job one that empties the draft of a sheet too.
        """
        if not self.in_night():
            return False
        try:
            entry = look_entry(self.desk, frames, self.about)
        except LogbookError as error:
            self.say(str(error))
            return False
        assert entry.look is not None
        self.log(with_draft(keep_entry(entry, spell_look(entry.look))))
        return True
