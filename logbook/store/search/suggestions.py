"""What to loosen in a search that finds nothing: a filter, a word, its ending, its spelling."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from difflib import SequenceMatcher

from logbook.errors import LogbookError
from logbook.records.search import Found, Loosened, Wanted
from logbook.store.search.words import is_unspaced, runs_of, words_wanted
from logbook.store.session.sessions import Sessions
from logbook.text import fold

MOST = 6
_NEAR = 0.7  # share of letters in common, as difflib counts them
_SPELLINGS = 2
_SHORTEST = 3  # letters of a beginning

_VOCABULARY = "CREATE VIRTUAL TABLE temp.entry_vocabulary USING fts5vocab(main, entry_words, row)"
_BETWEEN = "SELECT term FROM entry_vocabulary WHERE term >= ? AND term < ?"
_ALL = "SELECT term FROM entry_vocabulary"
_LAST = "\U0010ffff"


def loosened(
    sessions: Sessions, find: Callable[[Wanted], Found], wanted: Wanted
) -> tuple[Loosened, ...]:
    """Searches like this one that find something, nearest first."""
    found: list[Loosened] = []
    for words, other in _others(sessions, wanted):
        if len(found) == MOST:
            break
        try:
            each = find(other)
        except LogbookError:  # the filter that is left names nothing
            continue
        if each.hits:
            found.append(Loosened(words, other, len(each.hits), each.more))
    return tuple(found)


def _others(sessions: Sessions, wanted: Wanted) -> Iterator[tuple[str, Wanted]]:
    yield from without_a_filter(wanted)
    words = words_wanted(wanted.words)
    for word in words:
        for near in _respelt(sessions, word):
            yield f"{near} for {word}", _with_words(wanted, words, word, near)
    if len(words) > 1:
        for word in words:
            yield f"without the word {word}", _with_words(wanted, words, word, None)


def without_a_filter(wanted: Wanted) -> Iterator[tuple[str, Wanted]]:
    """The same search with each filter in force left out, as long as something is left to ask."""
    kept: dict[str, Wanted] = {
        f"any kind, not only {', '.join(wanted.kinds)}": replace(wanted, kinds=()),
        f"any object, not only {wanted.object_name}": replace(wanted, object_name=""),
        f"any part, not only {wanted.part_name}": replace(wanted, part_name=""),
        f"any train, not only {wanted.train_name}": replace(wanted, train_name=""),
        f"also before {wanted.first}": replace(wanted, first=None),
        f"also after {wanted.last}": replace(wanted, last=None),
    }
    for words, other in kept.items():
        if other != wanted and not other.is_empty:
            yield words, other


def _with_words(wanted: Wanted, words: tuple[str, ...], word: str, other: str | None) -> Wanted:
    """The search with one of its words put otherwise, or left out."""
    put = [other if each == word else each for each in words]
    return replace(wanted, words=" ".join(_typed(each) for each in put if each))


def _typed(word: str) -> str:
    return f'"{word}"' if " " in word else word


def _respelt(sessions: Sessions, word: str) -> Iterator[str]:
    """Words of the book spelt nearly like this one, then the longest beginning that any has."""
    runs = runs_of(word)
    if len(runs) != 1 or is_unspaced(word):
        return
    run = runs[0]
    terms = _terms(sessions, run)
    spellings = [each for each in _nearest(run, terms) if not each.startswith(run)]
    yield from spellings[:_SPELLINGS]
    for length in range(len(run) - 1, _SHORTEST - 1, -1):
        begun = run[:length]
        if any(each.startswith(begun) for each in terms):
            if not any(each.startswith(begun) for each in spellings[:_SPELLINGS]):
                yield begun
            return


def _nearest(run: str, terms: list[str]) -> list[str]:
    """The words that share most letters with this one, nearest first."""
    near: list[tuple[float, str]] = []
    matcher = SequenceMatcher(autojunk=False)
    matcher.set_seq2(run)
    for term in terms:
        matcher.set_seq1(fold(term))
        if matcher.real_quick_ratio() >= _NEAR and matcher.quick_ratio() >= _NEAR:
            near.append((-matcher.ratio(), term))
    return [term for ratio, term in sorted(near) if -ratio >= _NEAR]


def _terms(sessions: Sessions, run: str) -> list[str]:
    """The words of the index with the same first letter; all of another script, for accents."""
    first = run[0]
    try:
        with closing(sessions.raw()) as connection:
            if first.isascii():
                return _read(connection, _BETWEEN, (first, first + _LAST))
            return _read(connection, _ALL, ())
    except sqlite3.Error:  # no index of words, or a build of SQLite without its vocabulary
        return []


def _read(connection: sqlite3.Connection, statement: str, values: tuple[str, ...]) -> list[str]:
    connection.execute("PRAGMA query_only=OFF")  # the vocabulary is a table in memory
    connection.execute(_VOCABULARY)
    connection.execute("PRAGMA query_only=ON")
    return [str(term) for (term,) in connection.execute(statement, values)]
