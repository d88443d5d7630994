"""Where forms and the entry line have their drafts: the book's keeper, once there is a book."""

from datetime import datetime
from typing import TYPE_CHECKING

from textual.app import App

from logbook.crash_log import failure_words
from logbook.records.typed_line import TypedLine
from logbook.screen.services import jobs
from logbook.screen.services.form_draft import BookDraft, FormDrafts
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import DRAFT_PLACE, EntryBar
from logbook.screen.widgets.line_sender import LineEntered, LinesTyped
from logbook.sky.night.clock import night_date

if TYPE_CHECKING:
    from logbook.store.writer import Writer


class DraftsHome:
    """Drafts of this window, and what a form says of them. See `HoldsDrafts` of the forms."""

    def __init__(self, app: App[int], desk: Desk) -> None:
        self._app = app
        self._desk = desk
        self._window_name = ""
        self._form_drafts: FormDrafts | None = None  # None while there is no book

    def begin(self, writer: "Writer", window_name: str) -> None:
        """The book is there: what is typed is put in it from now on."""
        from logbook.store.writer import DraftKeeper

        self._window_name = window_name
        keeper = DraftKeeper(writer, window_name, report=self._report)
        self._desk.drafts, self._form_drafts = keeper, FormDrafts(keeper)

    def _report(self, failed: Exception | None) -> None:
        """In the writer's thread: have it shown that what is typed is not on disk, or is again."""
        words = "" if failed is None else failure_words(failed)
        self._app.call_later(self._show_failure, words)

    def _show_failure(self, why: str) -> None:
        self._app.query_one(EntryBar).lines.show_draft_failure(why)

    # --- the entry line ---

    def typed(self, event: LinesTyped) -> None:
        if self._desk.drafts is not None:
            self._desk.drafts.put(DRAFT_PLACE, event.drafts)

    def entered(self, event: LineEntered) -> None:
        assert self._desk.drafts is not None
        self._desk.drafts.sent(DRAFT_PLACE, event.line.draft, event.rest)
        line = TypedLine(self._window_name, DRAFT_PLACE, event.line.text)
        job = jobs.keep_understood(event.understood, line)
        self._app.post_message(JobWanted(job, typed=line.text))

    # --- forms ---

    def form_draft(self, place: str) -> BookDraft | None:
        """The draft of a form; None while there is no book."""
        return None if self._form_drafts is None else self._form_drafts.of(place)

    def now(self) -> datetime:
        return self._desk.clock()

    def when_words(self, instant: datetime | None) -> str:
        if instant is None:
            return ""
        then, now = self._desk.local(instant), self._desk.local(self._desk.clock())
        day = "" if then.date() == now.date() else f" on {then.day} {then:%B}"
        zone = self._desk.zone
        nights = (night_date(now, zone) - night_date(then, zone)).days
        ago = f", {nights} night{'' if nights == 1 else 's'} ago" if nights else ""
        return f"{day} at {then:%H:%M}{ago}"

    def say_left(self, words: str) -> None:
        self._app.query_one(EntryBar).say(words)

    def warn(self, words: str) -> None:
        """Say something that stays until it is dismissed."""
        self._app.query_one(EntryBar).warn(words)

    # --- the end ---

    def put_now(self) -> None:
        """Put what is typed in the book at once: the program is being left."""
        if self._desk.drafts is not None:
            self._desk.drafts.put_now()
