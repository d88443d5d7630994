"""What can go wrong, in words that say what to do.

    LogbookError            1  anything the program foresees
    ├── BadInput            2  what was typed cannot be understood, or cannot be true
    ├── NotFound            3  no such object, site, train, night or entry
    ├── BookRefused         4  not a book, a newer book, a damaged one, or none there yet
    │   └── NoBook
    └── NotWritten          5  the book cannot be written: read-only, disk full, in use

The number is the exit code of a command that ends with it.
"""


class LogbookError(Exception):
    """A foreseen failure. The message is for the user and says what to do next."""

    exit_code = 1


class BadInput(LogbookError):
    """What was typed cannot be understood, or cannot be true."""

    exit_code = 2


class NotFound(LogbookError):
    """There is no such object, site, train, night or entry."""

    exit_code = 3


class BookRefused(LogbookError):
    """The file is not a book this program may open. It was left untouched."""

    exit_code = 4


class NoBook(BookRefused):
    """There is no file at that path yet. A book is only made when asked for."""


class NotWritten(LogbookError):
    """The book could not be written. What was typed is still with the caller."""

    exit_code = 5
