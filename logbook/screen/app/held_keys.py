"""Keys that wait for what only this program knows: a page, the book, the job before them."""

from textual.app import App
from textual.events import Key

from logbook.screen.app.job_runner import JobRunner
from logbook.screen.app.key_pump import LONGEST_WAIT_S, TypedKey, acts_anywhere
from logbook.screen.app.opener import BookOpener
from logbook.screen.app.pages import Pages
from logbook.screen.widgets.entry_bar import EntryBar, EntryInput
from logbook.screen.widgets.keys import KEYS

_LONGEST_OPENING_S = 60.0  # how long a key is held that needs the book
_NEED_THE_BOOK = {key.key: key.shown for key in KEYS if key.id in ("begin", "form", "undo", "redo")}


class HeldKeys:
    """Says which keys wait, and once for each that it will come to its turn."""

    def __init__(self, app: App[int], pages: Pages, opener: BookOpener, jobs: JobRunner) -> None:
        self._app = app
        self._pages = pages
        self._opener = opener
        self._jobs = jobs
        self._said = ""  # the key that was reported to wait for the book

    def is_held(self, key: TypedKey) -> bool:
        """Until a page is there, the book for keys that need it, and the job that they follow."""
        name = key.key if isinstance(key, Key) else ""
        on_line = isinstance(self._app.focused, EntryInput) and not acts_anywhere(name)
        if len(self._app.screen_stack) == 1 and not on_line and not self._pages.finished():
            return True
        if name in _NEED_THE_BOOK and self._opener.is_coming:
            self._say(name)
            return True
        return self._jobs.is_busy and not on_line

    def _say(self, name: str) -> None:
        if self._said != name:
            self._said = name
            words = f"The book is being opened; {_NEED_THE_BOOK[name]} follows."
            self._app.query_one(EntryBar).say(words, bold=True)

    def longest_wait_s(self) -> float:
        return _LONGEST_OPENING_S if self._opener.is_coming else LONGEST_WAIT_S
