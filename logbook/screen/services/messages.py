"""What workers and pages report to the app. Small values; the app's handlers act on them."""

from typing import TYPE_CHECKING

from textual.message import Message

from logbook.screen.services.book_snapshot import BookView
from logbook.screen.services.live_hints import Lessons
from logbook.screen.services.run_job import Done, Job

if TYPE_CHECKING:
    from logbook.sky.altitude.track import Track
    from logbook.sky.ranking.tonight import Tonight
    from logbook.store.book import Book
    from logbook.store.writer import Writer


class BookOpened(Message):
    """The book was opened and read.

    left -- the lines that were half typed or waited when the program ended last; None if that
        could not be asked.
    """

    def __init__(
        self, book: "Book", writer: "Writer", view: BookView, left: tuple[str, ...] | None
    ) -> None:
        super().__init__()
        self.book = book
        self.writer = writer
        self.view = view
        self.left = left


class BookRefusedWords(Message):
    """The book cannot be opened; `words` say why and what to do."""

    def __init__(self, words: str, exit_code: int) -> None:
        super().__init__()
        self.words = words
        self.exit_code = exit_code


class LineWasTyped(Message):
    """What a letter opened is to give way: a line was typed, not keys of the page."""


class JobWanted(Message):
    """Something is to be written in the book."""

    def __init__(self, job: Job, *, typed: str | None = None) -> None:
        super().__init__()
        self.job = job
        self.typed = typed  # the entry line it came from, if it did


class JobDone(Message):
    """It is on disk."""

    def __init__(self, done: Done, typed: str | None) -> None:
        super().__init__()
        self.done = done
        self.typed = typed


class JobFailed(Message):
    """It could not be saved. `typed` -- the line that was to be saved, if one was typed."""

    def __init__(self, words: str, typed: str | None = None) -> None:
        super().__init__()
        self.words = words
        self.typed = typed


class SkyReady(Message):
    """The night was computed."""

    def __init__(self, tonight: "Tonight") -> None:
        super().__init__()
        self.tonight = tonight


class TrackReady(Message):
    """Where the object that runs stands through the night; None where that is not known."""

    def __init__(self, track: "Track | None") -> None:
        super().__init__()
        self.track = track


class LessonsReady(Message):
    """What the readings of the night say."""

    def __init__(self, lessons: Lessons) -> None:
        super().__init__()
        self.lessons = lessons


class BookChanged(Message):
    """Another program saved something in the book."""

    def __init__(self, book: "Book", view: BookView) -> None:
        super().__init__()
        self.book = book
        self.view = view


class RedrawWanted(Message):
    """The snapshot is another one now: everything is to be drawn from it."""


class NightEntriesWanted(Message):
    """The entries of a finished night are to be seen and changed, the named one chosen."""

    def __init__(self, night_id: int, entry_id: int | None = None) -> None:
        super().__init__()
        self.night_id = night_id
        self.entry_id = entry_id


class SkyWanted(Message):
    """Another night, site or limit was asked for."""


class CatalogueReady(Message):
    """Objects can be found by name now."""


class SkyFailed(Message):
    """The night could not be computed; `words` say why."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words
