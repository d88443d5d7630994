"""Forms that write a line in a night, and ask first where its time is outside that night."""

from datetime import datetime

from logbook.records.entries import NightRecord
from logbook.screen.dialogs.form import Form
from logbook.screen.services.run_job import Job
from logbook.screen.widgets.question import Question
from logbook.store.night_context import doubt_of_time


class Doubting(Form[Job]):
    """A form whose answer may be doubted: `doubt_time` says so while the answer is made."""

    _doubt = ""

    def doubt_time(self, night: NightRecord, happened_utc: datetime) -> None:
        """Ask before the form closes, if a finished night had not begun then, or was over."""
        self._doubt = doubt_of_time(night, happened_utc)

    def finish(self, result: Job) -> None:
        save = super().finish
        if not self._doubt:
            save(result)
            return
        doubt, self._doubt = self._doubt, ""

        def answered(yes: bool | None) -> None:
            if yes:
                save(result)

        self.app.push_screen(Question(doubt, "save it all the same", "y"), answered)
