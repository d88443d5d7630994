"""What to look back on over all nights: the objects, parts and trains of a book, to choose from."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from logbook.entryline.format import counted
from logbook.report.render.keys import PageKey
from logbook.screen.dialogs.pick import Choice
from logbook.text import clean

if TYPE_CHECKING:
    from logbook.store.book import Book


@dataclass(frozen=True, slots=True)
class Picks:
    """Pages to choose from; without any, `words` say how there come to be some."""

    heading: str
    words: str
    pages: tuple[tuple[PageKey, str], ...]  # and what more is shown of each

    @property
    def choices(self) -> list[Choice]:
        """One for each page, which it names by its place."""
        return [
            Choice(str(place), clean(key.name), clean(remark))
            for place, (key, remark) in enumerate(self.pages)
        ]


def picks_of(book: "Book", kind: str) -> Picks:
    """The pages of a kind: "object", "part" or "train". For worker threads."""
    if kind == "object":
        return Picks(
            "Which object?",
            "No object was logged yet: `start m31` on the entry line begins one.",
            tuple(
                (PageKey("object", each.copy.name), counted(each.nights, "night"))
                for each in book.past.targets()
            ),
        )
    if kind == "part":
        return Picks(
            "Which part?",
            "No part yet: the Kit page (F5) takes them up.",
            tuple(
                (PageKey("part", each.part.name, each.id), _kind(each.part.kind, each.retired))
                for each in book.kit.parts(include_retired=True)
            ),
        )
    return Picks(
        "Which train?",
        "No train yet: the Kit page (F5) puts one together.",
        tuple(
            (PageKey("train", each.train.name, each.id), _kind(each.train.kind, each.retired))
            for each in book.kit.trains(include_retired=True)
        ),
    )


def _kind(kind: str, retired: bool) -> str:
    return f"{kind}, retired" if retired else kind
