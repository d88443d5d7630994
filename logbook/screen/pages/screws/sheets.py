"""The sheets that the Screws page opens, and what comes back from them."""

from dataclasses import replace

from logbook.entryline.format import spell_look
from logbook.records.entries import Adjustment, NewEntry, StarLook
from logbook.screen.dialogs.sheets import Sheet
from logbook.screen.pages.screws.advice import reason_lines
from logbook.screen.pages.screws.after import AfterSheet
from logbook.screen.pages.screws.back import BackSheet
from logbook.screen.pages.screws.eye import EyeLook
from logbook.screen.pages.screws.form import NameScrews
from logbook.screen.pages.screws.frames import About, eye_entry
from logbook.screen.pages.screws.history import HistorySheet
from logbook.screen.pages.screws.pair import PairSheet
from logbook.screen.pages.screws.picture import AskPath, Measured, MeasureSheet
from logbook.screen.pages.screws.state import Screws
from logbook.screen.services.jobs import keep_entry
from logbook.screen.services.run_job import Job
from logbook.startest.screws.advice import WayBack

_WATCH_WORDS = (
    "Frames that land there from now on are measured. Files are only read, never "
    "held or changed. Three good ones after a turn are kept as one look."
)


def look(it: Screws) -> None:
    if it.mirror_telescope() is None:
        return
    sheet = EyeLook(it.desk, it.about)

    def looked(seen: StarLook | None) -> None:
        if seen is not None:
            it.about = replace(it.about, star=seen.star or "")
            entry = eye_entry(it.desk, seen, it.about)
            it.log(sheet.draft.cleared_with(keep_entry(entry, spell_look(seen))))

    it.page.app.push_screen(sheet, looked)


def measure(it: Screws) -> None:
    if it.mirror_telescope() is None:
        return
    sheet = MeasureSheet(it.desk, it.picture_folder, it.about)

    def measured(answer: Measured | None) -> None:
        if answer is not None:
            it.about = answer.about
            it.remember_folder(answer.folder)
            it.log_look(answer.frames, sheet.draft.cleared_with)

    it.page.app.push_screen(sheet, measured)


def watch_folder(it: Screws) -> None:
    """Begin to watch a folder, or stop."""

    def answered(typed: str | None) -> None:
        if typed is not None:
            it.start_watch(typed)

    if it.watcher.folder is not None:
        it.stop_watch()
    elif it.mirror_telescope() is not None:
        ask = AskPath("Watch which folder?", it.picture_folder, _WATCH_WORDS)
        it.page.app.push_screen(ask, answered)


def camera_turned(it: Screws) -> None:
    if it.mirror_telescope() is None:
        return
    adjustment = Adjustment("camera")
    entry = NewEntry("adjust", it.desk.clock(), "camera turned", adjustment=adjustment)
    it.log(keep_entry(entry, "the camera was turned; its angle is learned anew"))


def pictures(it: Screws) -> None:
    telescope = it.mirror_telescope()
    if telescope is not None:
        it.page.app.push_screen(PairSheet(it.desk, telescope.id))


def why(it: Screws) -> None:
    if it.mirror_telescope() is None:
        return
    advice = it.advice.advice
    if advice is None:
        it.say("No advice yet: name the screws (n), then log a look (l, m).")
    else:
        lines = reason_lines(advice, it.desk.view.screws)
        it.page.app.push_screen(Sheet("The advice and its reasons", lines))


def ways_back(it: Screws) -> None:
    """The steps of a way come into hand one after another, as each is logged."""

    def chosen(way: WayBack | None) -> None:
        if way is not None:
            it.hold(it.turn.on_way(way.steps))

    telescope = it.mirror_telescope()
    if telescope is not None:
        it.page.app.push_screen(BackSheet(it.desk, telescope.id), chosen)


def afterwards(it: Screws) -> None:
    """Checks come back as jobs; a star or a side marked, for the looks that follow."""

    def answered(answer: About | Job | None) -> None:
        if isinstance(answer, About):
            it.about = answer
        else:
            it.log(answer)

    telescope = it.mirror_telescope()
    if telescope is not None:
        it.page.app.push_screen(AfterSheet(it.desk, telescope.id, it.about), answered)


def history(it: Screws) -> None:
    telescope = it.mirror_telescope()
    if telescope is not None:
        it.page.app.push_screen(HistorySheet(it.desk, telescope.id))


def name_screws(it: Screws) -> None:
    telescope = it.mirror_telescope()
    if telescope is not None:
        it.page.app.push_screen(NameScrews(telescope, it.desk.view.screws), it.log)
