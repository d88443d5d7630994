"""The sheets that the Screws page opens, and what comes back from them."""

from dataclasses import replace
from typing import TYPE_CHECKING

from logbook.entryline.format import spell_look
from logbook.records.entries import Adjustment, EntryRecord, NewEntry, PartRecord, StarLook
from logbook.screen.pages.screws.frames import About, eye_entry
from logbook.screen.pages.screws.hand import Hand, hand_of
from logbook.screen.pages.screws.jobs import job_of_yes
from logbook.screen.pages.screws.watching import WatchingPage
from logbook.screen.pages.screws.words import CENTRE_WHY
from logbook.screen.services.book_snapshot import is_mirror_telescope
from logbook.screen.services.jobs import keep_entry
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.startest.screws.advice import Advice, Doubt, Step, WayBack

if TYPE_CHECKING:
    from logbook.screen.pages.screws.eye import EyeLook
    from logbook.screen.pages.screws.picture import Measured, MeasureSheet


class SheetsPage(WatchingPage):
    """The part of the Screws page that opens sheets."""

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self.advice: Advice | None = None
        self.hand = Hand()
        self.way_left: tuple[Step, ...] = ()

    # --- looks ---

    def action_look(self) -> None:
        from logbook.screen.pages.screws.eye import EyeLook

        if self._has_mirrors():
            sheet = EyeLook(self.desk, self.about)
            self.app.push_screen(sheet, lambda look: self._looked(look, sheet))

    def _looked(self, look: StarLook | None, sheet: "EyeLook") -> None:
        if look is not None:
            self.about = replace(self.about, star=look.star or "")
            entry = eye_entry(self.desk, look, self.about)
            job = sheet.draft.cleared_with(keep_entry(entry, spell_look(look)))
            self.post_message(JobWanted(job))

    def action_measure(self) -> None:
        from logbook.screen.pages.screws.picture import MeasureSheet

        if self._has_mirrors():
            sheet = MeasureSheet(self.desk, self.picture_folder, self.about)
            self.app.push_screen(sheet, lambda answer: self._measured(answer, sheet))

    def _measured(self, answer: "Measured | None", sheet: "MeasureSheet") -> None:
        if answer is None:
            return
        self.about = answer.about
        self.remember_folder(answer.folder)
        self.keep_look(answer.frames, sheet.draft.cleared_with)

    def action_folder(self) -> None:
        """Begin to watch a folder, or stop."""
        from logbook.screen.pages.screws.ask import AskPath

        if self.watched is not None:
            self.stop_watch()
        elif self._has_mirrors():
            words = (
                "Frames that land there from now on are measured. Files are only read, never "
                "held or changed. Three good ones after a turn are kept as one look."
            )
            ask = AskPath("Watch which folder?", self.picture_folder, words)
            self.app.push_screen(ask, self._folder_answered)

    def _folder_answered(self, typed: str | None) -> None:
        if typed is not None:
            self.start_watch(typed)

    def action_camera(self) -> None:
        if not self._has_mirrors():
            return
        entry = NewEntry(
            "adjust", self.desk.clock(), "camera turned", adjustment=Adjustment("camera")
        )
        self.post_message(
            JobWanted(keep_entry(entry, "the camera was turned; its angle is learned anew"))
        )

    def action_pictures(self) -> None:
        from logbook.screen.pages.screws.pair import PairSheet

        telescope = self._mirror_telescope()
        if telescope is not None:
            self.app.push_screen(PairSheet(self.desk, telescope.id))

    # --- advice ---

    def action_why(self) -> None:
        from logbook.screen.dialogs.sheets import Sheet
        from logbook.screen.pages.screws.advice import reason_lines

        if not self._has_mirrors():
            return
        if self.advice is None:
            self.tell("No advice yet: name the screws (n), then log a look (l, m).")
        else:
            lines = reason_lines(self.advice, self.desk.view.screws)
            self.app.push_screen(Sheet("The advice and its reasons", lines))

    def answer_yes(self, doubt: Doubt) -> None:
        """It was as asked: correct the turns, or mark what else it comes to."""
        if doubt.kind == "camera":
            self.action_camera()
        elif doubt.kind == "moved":
            self.enter_in_night("transport; the secondary moved by itself")
        else:
            self.post_message(JobWanted(job_of_yes(doubt, self._turns_tonight())))

    def _turns_tonight(self) -> list[EntryRecord]:
        night = self.desk.view.night
        return [each for each in self.desk.view.turns if night and each.night_id == night.id]

    def action_ways_back(self) -> None:
        from logbook.screen.pages.screws.back import BackSheet

        telescope = self._mirror_telescope()
        if telescope is not None:
            self.app.push_screen(BackSheet(self.desk, telescope.id), self._way_chosen)

    def _way_chosen(self, way: WayBack | None) -> None:
        """The steps come into hand one after another, as each is kept."""
        if way is not None:
            self.way_left = way.steps
            self.take_way_back()
            self.redraw()

    def take_way_back(self) -> None:
        """On a way back its next step is in hand, whatever is advised."""
        if self.way_left:
            step = self.way_left[0]
            self.hand = hand_of(step.screw, step.turns, self.hand.unit)

    # --- the rest ---

    def action_after(self) -> None:
        from logbook.screen.pages.screws.after import AfterSheet

        telescope = self._mirror_telescope()
        if telescope is not None:
            self.app.push_screen(AfterSheet(self.desk, telescope.id, self.about), self._after)

    def _after(self, answer: About | Job | None) -> None:
        """Checks come back as jobs; a star or a side marked, for the looks that follow."""
        if isinstance(answer, About):
            self.about = answer
        elif answer is not None:
            self.post_message(JobWanted(answer))

    def action_history(self) -> None:
        from logbook.screen.pages.screws.history import HistorySheet

        telescope = self._mirror_telescope()
        if telescope is not None:
            self.app.push_screen(HistorySheet(self.desk, telescope.id))

    def action_centre(self) -> None:
        self.tell(CENTRE_WHY)

    def action_name(self) -> None:
        from logbook.screen.pages.screws.form import NameScrews

        telescope = self._mirror_telescope()
        if telescope is not None:
            self.app.push_screen(NameScrews(telescope, self.desk.view.screws), self._named)

    def _named(self, job: Job | None) -> None:
        if job is not None:
            self.post_message(JobWanted(job))

    def _mirror_telescope(self) -> PartRecord | None:
        """The telescope in use, if it has a secondary; else it is said that it has none."""
        telescope = self.desk.view.telescope
        if telescope is None or not is_mirror_telescope(telescope.part):
            self.tell("No telescope with a secondary is in use: F5 chooses its train.")
            return None
        return telescope

    def _has_mirrors(self) -> bool:
        """A look belongs to a telescope with a shadow; without one the page says so."""
        return self._mirror_telescope() is not None
