"""The list of the Upkeep page: the rules by how far they have come, and all about one."""

from rich.text import Text
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.records.upkeep import Due
from logbook.report.words.upkeep_words import head_words
from logbook.screen.pages.upkeep.told import FIRST_STEPS, due_line, due_words
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.page import Page, run_beside


class UpkeepList:
    """How far every rule has come, in the list of the page, and which one is chosen."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.desk = page.desk
        self.found: tuple[Due, ...] | None = None  # None until it was read

    @property
    def options(self) -> OptionList:
        return self.page.query_one("#upkeep-list", OptionList)

    def log(self, job: Job | None) -> None:
        """Have a job done; None is a form that was left."""
        if job is not None:
            self.page.post_message(JobWanted(job))

    # --- reading and drawing ---

    def read(self) -> None:
        run_beside(self.page, self._read, "upkeep")

    def _read(self) -> None:
        book = self.desk.book
        if book is not None:
            found = book.upkeep.due(self.desk.clock())
            self.page.call_later(self._was_read, found)

    def _was_read(self, found: tuple[Due, ...]) -> None:
        self.found = found
        self.draw()

    def draw(self) -> None:
        """The list anew, with the cursor on the rule it was on."""
        if self.found is None:
            return
        kept, place = self._chosen_id(), self.options.highlighted or 0
        width = self.page.app.size.width
        columns = (70 if width >= 100 else width) - 2
        lines = ((each, due_line(each, self.desk.zone, columns)) for each in self.found)
        self.options.clear_options()
        self.options.add_options(Option(line, id=f"{each.record.id}") for each, line in lines)
        if self.found:
            places = {str(each.record.id): at for at, each in enumerate(self.found)}
            self.options.highlighted = places.get(kept or "", min(place, len(self.found) - 1))
        head = f"Upkeep: {head_words(self.found)}." if self.found else "Upkeep"
        self.page.query_one("#upkeep-head", Static).update(Text(head))
        self.describe()

    def describe(self) -> None:
        chosen = self.chosen
        words = Text(FIRST_STEPS)
        if chosen is not None:
            words = due_words(chosen, self.desk.zone, self.desk.clock())
        self.page.query_one("#upkeep-words", Static).update(words)

    # --- what is chosen ---

    def _chosen_id(self) -> str | None:
        place = self.options.highlighted
        return None if place is None else self.options.get_option_at_index(place).id

    @property
    def chosen(self) -> Due | None:
        chosen = self._chosen_id()
        return next((each for each in self.found or () if str(each.record.id) == chosen), None)

    def chosen_or_say(self) -> Due | None:
        chosen = self.chosen
        if chosen is None:
            self.page.app.query_one(EntryBar).say("There is no rule yet; n sets one.")
        return chosen
