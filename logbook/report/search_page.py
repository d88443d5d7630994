"""What a search found, as text and as JSON."""

import json
import sys
from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from rich.text import Text

from logbook.errors import BadInput
from logbook.report.printing import print_lines
from logbook.store.search import Found, Hit, Wanted, words_wanted
from logbook.text import clean

if TYPE_CHECKING:
    from logbook.store.book import Book


def print_search(book: "Book", wanted: Wanted, most: int, *, as_json: bool) -> None:
    """Print the newest entries found, newest first. Raises BadInput, NotFound."""
    if most < 1:
        raise BadInput("Ask for at least one entry.")
    found = book.search.find(wanted, most)
    if as_json:
        print(json.dumps(found_json(found), ensure_ascii=False, indent=2))
        return
    print_lines(found_lines(found, wanted.words))
    if not found.hits:
        print(
            "Nothing was found. Fewer words, or the beginning of one, find more.", file=sys.stderr
        )
    elif found.more:
        print(f"There are more: these are the newest {most}.", file=sys.stderr)


def found_lines(found: Found, words: str) -> Iterator[Text]:
    """A line for each entry, with the words that were asked for in bold."""
    stems = [word for each in words_wanted(words) for word in each.split()]
    for hit in found.hits:
        line = Text(f"{_when(hit)}  {hit.entry.content.kind:10}  {_told(hit)}")
        line.highlight_words(stems, style="bold", case_sensitive=False)
        yield line


def found_json(found: Found) -> dict[str, object]:
    """The entries as plain values, and whether there are others."""
    entries = [
        {
            "night": hit.night.isoformat() if hit.night else None,
            "happened_utc": hit.entry.content.happened_utc.isoformat(),
            "kind": hit.entry.content.kind,
            "object": hit.entry.content.target.name if hit.entry.content.target else None,
            "text": hit.entry.content.text,
        }
        for hit in found.hits
    ]
    return {"entries": entries, "more": found.more}


def date_typed(typed: str | None) -> date | None:
    """The date of an option. Raises BadInput."""
    if typed is None:
        return None
    try:
        return date.fromisoformat(typed)
    except ValueError as error:
        raise BadInput(
            f"{clean(typed, longest=40)!r} is no date: write it as YYYY-MM-DD"
        ) from error


def _when(hit: Hit) -> str:
    """The evening's date, by which a night is read back; an entry by day has a time beside it."""
    if hit.night is not None:
        return hit.night.isoformat()
    return f"{hit.entry.content.happened_utc:%Y-%m-%d}"


def _told(hit: Hit) -> str:
    """What was typed, and the object that ran then if it isn't named in it."""
    content = hit.entry.content
    name = content.target.name if content.target else ""
    return f"{content.text} ({name})" if name and name not in content.text else content.text
