"""The words of a search: read from what was typed, put to the index, looked for in a text.

The index (FTS5 of SQLite, tokenizer unicode61) holds runs of letters and digits, in lower case and
without the accents of Latin letters. A script that sets no spaces between its words is one run
there, so words of it are looked for anywhere in the text instead.
"""

import re
import unicodedata

from logbook.errors import BadInput
from logbook.text import clean, fold

MOST_WORDS = 12
_RUN = re.compile(r"[^\W_]+")
# Thai, Lao, Burmese, Khmer; Han, kana and their neighbours; half-width kana; rare Han.
_UNSPACED = re.compile(
    "[\u0e00-\u0eff\u1000-\u109f\u1780-\u17ff\u2e80-\ua4cf\uf900-\ufaff\uff66-\uff9d"
    "\U00020000-\U0003ffff]"
)


def words_wanted(text: str) -> tuple[str, ...]:
    """The words, and the phrases between double quotes, of what was typed.

    Raises BadInput for more than 12.
    """
    found: list[str] = []
    for place, piece in enumerate(clean(text, longest=400).split('"')):
        found += [piece.strip()] if place % 2 else piece.split()
    wanted = tuple(word for word in found if any(letter.isalnum() for letter in word))
    if len(wanted) > MOST_WORDS:
        raise BadInput(f"At most {MOST_WORDS} words can be searched for at once.")
    return wanted


def is_unspaced(word: str) -> bool:
    """Whether a word is of a script that sets no spaces between words."""
    return _UNSPACED.search(word) is not None


def whole_only(word: str) -> bool:
    """Whether a word is only meant whole: with one letter or digit at its end, as in "screw A".

    As beginnings they would find a third of a book, and take longest of all.
    """
    runs = _RUN.findall(word)
    marked = any(unicodedata.category(letter).startswith("M") for letter in word)
    return bool(runs) and len(runs[-1]) == 1 and not marked  # a mark splits a run in two


def match_of(words: tuple[str, ...]) -> str:
    """Words as FTS5 takes them: quoted, so that none is an operator, and open at the end."""
    return " ".join(_quoted(word) + ("" if whole_only(word) else "*") for word in words)


def best_matches(words: tuple[str, ...]) -> tuple[str, ...]:
    """Questions to the index that find only the best: words in a row, then whole words."""
    in_a_row = _quoted(" ".join(words))
    whole = " ".join(_quoted(word) for word in words)
    return tuple(dict.fromkeys((in_a_row, whole))) if words else ()


def _quoted(word: str) -> str:
    return f'"{word}"'


def runs_of(text: str) -> list[str]:
    """The runs of letters and digits of a text, in lower case, without accents."""
    return _RUN.findall(text.lower() if text.isascii() else fold(text))


class Looked:
    """Looks for words in a text without the index, by the same rule."""

    def __init__(self, words: tuple[str, ...]) -> None:
        self._anywhere = [fold(word) for word in words if is_unspaced(word)]
        spaced = [word for word in words if not is_unspaced(word)]
        self._whole = [f" {' '.join(runs_of(word))} " for word in spaced]
        self._begun = [
            told if whole_only(word) else told[:-1]
            for word, told in zip(spaced, self._whole, strict=True)
        ]
        self._in_a_row = f" {' '.join(runs_of(' '.join(spaced)))} "

    def count(self, text: str) -> int:
        """How many of the words the text holds."""
        if not text:
            return 0
        folded = fold(text) if self._anywhere else ""
        told = f" {' '.join(runs_of(text))} "
        return sum(word in told for word in self._begun) + sum(
            word in folded for word in self._anywhere
        )

    def holds(self, text: str) -> bool:
        """Whether the text holds all of them."""
        return self.count(text) == len(self._begun) + len(self._anywhere)

    def rank(self, text: str) -> int:
        """0 for a text with the words in a row, 1 with whole words, 2 with beginnings."""
        told = f" {' '.join(runs_of(text))} "
        if self._in_a_row in told:
            return 0
        return 1 if all(word in told for word in self._whole) else 2
