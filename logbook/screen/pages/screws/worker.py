"""What worker threads of the Screws page import: the calculations, and with them numpy."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from logbook.screen.pages.screws.calculations import Calculations


def calculations() -> "type[Calculations]":
    """What the page and its sheets calculate. Imported at first use, in a worker thread."""
    from logbook.screen.pages.screws.calculations import Calculations

    return Calculations


def is_picture(name: str) -> bool:
    """Whether a file's name says that it is a picture; for workers."""
    return calculations().is_picture(name)
