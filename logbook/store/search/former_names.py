"""Words of a search in which something is named that was called otherwise before, or is today."""

from collections.abc import Iterator

from sqlalchemy.orm import Session

from logbook.store.search.words import is_unspaced, runs_of
from logbook.store.tables.former_names import former_names

MOST = 8


def phrasings(session: Session, words: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    """The words as typed, then with each name among them as it is today or was before."""
    if not words or any(is_unspaced(word) for word in words):
        return (words,)
    names = [(each.name, each.now) for each in former_names(session)]
    pairs = dict.fromkeys([*names, *((now, old) for old, now in names)])
    found = [words]
    for called, otherwise in pairs:
        if runs_of(otherwise) and not is_unspaced(otherwise):
            found += _put_otherwise(words, called, otherwise)
    return tuple(dict.fromkeys(found))[:MOST]


def _put_otherwise(
    words: tuple[str, ...], called: str, otherwise: str
) -> Iterator[tuple[str, ...]]:
    """The words with a name, wherever all of it stands in a row, put as the other."""
    wanted = runs_of(called)
    for first in range(len(words)):
        for end in range(first + 1, len(words) + 1):
            runs = [run for word in words[first:end] for run in runs_of(word)]
            if wanted and runs == wanted:
                yield (*words[:first], otherwise.replace('"', " "), *words[end:])
