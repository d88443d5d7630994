"""The words of a search, marked in the text that was found, and a text cut so that they show."""

import re

from rich.text import Text

from logbook.store.search.words import is_unspaced, runs_of, whole_only, words_wanted
from logbook.text import fold

_RUN = re.compile(r"[^\W_]+")


class Marks:
    """Where the words that were searched for stand in a text. "" marks nothing."""

    def __init__(self, words: str) -> None:
        wanted = words_wanted(words)
        self._anywhere = tuple(word for word in wanted if is_unspaced(word))
        self._begun: list[str] = []
        self._whole: set[str] = set()
        for word in wanted:
            if is_unspaced(word):
                continue
            runs = runs_of(word)
            self._whole.update(runs if whole_only(word) else runs[:-1])
            self._begun += [] if whole_only(word) else runs[-1:]

    def spans(self, text: str) -> list[tuple[int, int]]:
        """From where to where, in order."""
        found = [
            (match.start(), match.start() + length)
            for match in _RUN.finditer(text)
            if (length := self._length(match.group()))
        ]
        for word in self._anywhere:
            found += [match.span() for match in re.finditer(re.escape(word), text, re.IGNORECASE)]
        return sorted(found)

    def _length(self, run: str) -> int:
        """How many of the letters of a run are those searched for."""
        folded = fold(run)
        if folded in self._whole:
            return len(run)
        begun = [len(word) for word in self._begun if folded.startswith(word)]
        return min(max(begun, default=0), len(run))

    def marked(self, text: str, columns: int | None = None) -> Text:
        """The text with the words in bold; cut to so many columns around the first of them."""
        spans = self.spans(text)
        shown = Text(text)
        for start, end in spans:
            shown.stylize("bold", start, end)
        if columns is None or shown.cell_len <= columns:
            return shown
        first, last = spans[0] if spans else (0, 0)
        if shown[:last].cell_len >= columns:
            begin = min(first - columns // 3, len(text) - columns + len("… "))
            shown = Text("… ").append_text(shown[_at_word(text, begin, first) :])
        shown.truncate(columns, overflow="ellipsis")
        return shown


def _at_word(text: str, begin: int, place: int) -> int:
    """Where the first word begins from there on; not after a place that must be seen."""
    after_space = text.find(" ", max(0, begin), place) + 1
    return after_space or max(0, begin)
