"""The list of the Night page: the timeline, what runs now above it, what is waited for."""

from rich.text import Text
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.records.entries import EntryRecord
from logbook.report.pages.night_short import sum_words
from logbook.screen.pages.night.reminding import read_wishes, reminders
from logbook.screen.pages.night.words import entry_words, next_words, now_words, reminder_words
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.page import Page


class NightList:
    """Draws the page from the desk, and knows which entry is chosen."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.desk = page.desk
        self._rung: set[str] = set()  # the reminders that the bell rang for

    @property
    def options(self) -> OptionList:
        return self.page.query_one("#night-list", OptionList)

    @property
    def bar(self) -> EntryBar:
        return self.page.app.query_one(EntryBar)

    def log(self, job: Job | None) -> None:
        """Have a job done; None is a form that was left."""
        if job is not None:
            self.page.post_message(JobWanted(job))

    def chosen(self) -> EntryRecord | None:
        place = self.options.highlighted
        timeline = self.desk.view.timeline
        return timeline[place] if place is not None and place < len(timeline) else None

    # --- drawing ---

    def redraw(self) -> None:
        timeline, shown = self.desk.view.timeline, self.options
        at_end = shown.highlighted in (None, shown.option_count - 1)
        kept = shown.highlighted
        wide = self.page.app.size.width >= 100
        shown.clear_options()
        shown.add_options(
            [Option(entry_words(self.desk, each, wide=wide), id=str(each.id)) for each in timeline]
        )
        if timeline:
            last = len(timeline) - 1
            shown.highlighted = last if at_end or kept is None else min(kept, last)
        self.redraw_now()
        words = Text(sum_words(timeline) if timeline else "")
        self.page.query_one("#night-sums", Static).update(words)

    def redraw_now(self) -> None:
        """What runs, what comes next, and the reminders; each new one rings once."""
        if not self.page.is_mounted:  # the sky may be ready while the page is still being made
            return
        self.page.query_one("#night-now", Static).update(now_words(self.desk))
        self._show("#night-next", next_words(self.desk))
        waiting = reminders(self.desk)
        most = 3 if self.page.app.size.height >= 22 else 1
        self._show("#night-reminders", reminder_words(waiting, most))
        new = {each.occasion for each in waiting} - self._rung
        self._rung |= new
        if new and read_wishes(self.desk.view.reminders_line).bell:
            self.page.app.bell()

    def _show(self, where: str, words: Text) -> None:
        """Show words; without any their place is given to the list."""
        shown = self.page.query_one(where, Static)
        shown.update(words)
        shown.display = bool(words.plain)
