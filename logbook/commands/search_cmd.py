"""What a search found, as text and as JSON."""

import json
import sys
from collections.abc import Iterator
from dataclasses import asdict
from datetime import date
from typing import TYPE_CHECKING

from rich.text import Text

from logbook.dates import read_span
from logbook.entryline.format import counted
from logbook.errors import BadInput
from logbook.records.search import COUNTED_TO, Elsewhere, Found, Hit, Wanted
from logbook.report.defaults import tonight_of
from logbook.report.terminal import print_lines
from logbook.report.words.search_marks import Marks
from logbook.sky.night.clock import zone_or_utc

if TYPE_CHECKING:
    from logbook.store.book import Book


def print_search(
    book: "Book", wanted: Wanted, most: int, *, as_json: bool, best_first: bool = False
) -> None:
    """Print the lines found, newest or best first. Raises BadInput, NotFound."""
    if most < 1:
        raise BadInput("Ask for at least one entry.")
    found = book.search.find(wanted, max(most, COUNTED_TO), best_first=best_first)
    if as_json:
        print(json.dumps(found_json(found, most), ensure_ascii=False, indent=2))
        return
    print_lines(found_lines(found, wanted.words, most))
    print(_summary(book, wanted, found, most, best_first=best_first), file=sys.stderr)


def _summary(book: "Book", wanted: Wanted, found: Found, most: int, *, best_first: bool) -> str:
    slow = "The book has no index of words, so every line was read.\n" if found.slow else ""
    if not found.hits and not found.elsewhere:
        return slow + "\n".join(_nothing_words(book, wanted))
    shown = "best" if best_first else "newest"
    cut = f"; these are the {shown} {most}" if len(found.hits) > most else ""
    return f"{slow}{count_words(found)}{cut}."


def _nothing_words(book: "Book", wanted: Wanted) -> Iterator[str]:
    if not book.search.has_entries():
        yield "The book is empty: start `logbook` and press F10 to begin a night."
        return
    yield "Nothing was found. Fewer words, or the beginning of one, find more."
    for each in book.search.loosened(wanted):
        more = "more than " if each.more else ""
        yield f"  {each.words}: {more}{counted(each.entries, 'line')}"


def count_words(found: Found) -> str:
    """`12 lines in 5 nights; 1 more was changed since; 2 elsewhere in the book`."""
    said: list[str] = []
    nights = f" in {counted(found.nights, 'night')}" if found.nights else ""
    former = len(found.hits) - found.standing
    was = "was" if former == 1 else "were"
    if found.more:
        said.append(f"more than {_round(found.standing)} lines")
    elif found.standing:
        said.append(f"{counted(found.standing, 'line')}{nights}")
        said += [f"{former} more {was} corrected or withdrawn since"] if former else []
    elif former:
        said.append(f"{counted(former, 'line')} that {was} corrected or withdrawn since")
    if found.elsewhere:
        said.append(f"{len(found.elsewhere)} elsewhere in the book")
    return "; ".join(said)


def _round(number: int) -> int:
    """The hundreds of a number that is only a lower bound."""
    return number // 100 * 100 or number


def found_lines(found: Found, words: str, most: int = COUNTED_TO) -> Iterator[Text]:
    """A line for each that was found, with the words that were asked for in bold."""
    marks = Marks(words)
    for hit in found.hits[:most]:
        line = Text(f"{when(hit)}  {hit.kind:10}  ")
        yield line.append_text(marks.marked(told(hit))).append(now_words(hit), style="italic")
    for each in found.elsewhere:
        line = Text(f"{'elsewhere':10}  {elsewhere_kind(each):10}  ")
        yield line.append_text(marks.marked(elsewhere_told(each)))


def found_json(found: Found, most: int = COUNTED_TO) -> dict[str, object]:
    """The lines as plain values, how many there are, and what was found beside the timeline."""
    entries = [
        {
            "night": hit.night.isoformat() if hit.night else None,
            "happened_utc": hit.happened_utc.isoformat(),
            "kind": hit.kind,
            "object": hit.object_name or None,
            "text": hit.text,
            "train": hit.train_name or None,
            "standing": hit.standing,
            "now": None if hit.stands else hit.now,
        }
        for hit in found.hits[:most]
    ]
    return {
        "entries": entries,
        "more": found.more or len(found.hits) > most,
        "counted": {
            "lines": found.standing,
            "former": len(found.hits) - found.standing,
            "nights": found.nights,
            "all": not found.more,
        },
        "elsewhere": [_elsewhere_json(each) for each in found.elsewhere],
    }


def _elsewhere_json(each: Elsewhere) -> dict[str, object]:
    told = asdict(each)
    return {
        "kind": each.kind,
        "name": each.name,
        "what": each.what,
        "text": each.text,
        "as_of": told["as_of"].isoformat() if each.as_of else None,
        "is_now": each.is_now,
    }


def span_typed(
    book: "Book", first: str | None, last: str | None
) -> tuple[date | None, date | None]:
    """The evenings to search from and to, as typed; None for an end left open. Raises BadInput."""
    tonight = tonight_of(book)
    begin = None if first is None else read_span(first, tonight)[0]
    return begin, None if last is None else read_span(last, tonight)[1]


def when(hit: Hit) -> str:
    """The evening's date, by which a night is read back; an entry by day has a time beside it."""
    zone = zone_or_utc(hit.time_zone)
    return (hit.night or hit.happened_utc.astimezone(zone).date()).isoformat()


def told(hit: Hit) -> str:
    """What was typed, and the object that ran then if it isn't named in it."""
    named = hit.object_name and hit.object_name not in hit.text
    return f"{hit.text} ({hit.object_name})" if named else hit.text


def now_words(hit: Hit) -> str:
    """What became of a line that does not stand any more."""
    if hit.stands:
        return ""
    if hit.standing == "withdrawn":
        return "  (withdrawn since)"
    return f"  (corrected since: {hit.now})"


def elsewhere_kind(each: Elsewhere) -> str:
    """What it was found on, in a word."""
    words = {"rule": "upkeep due", "limits": "limits of choosing"}
    return words.get(each.kind, each.kind)


def elsewhere_told(each: Elsewhere) -> str:
    """`Two-inch focuser, note: slips in the cold (until it was changed)`."""
    former = "" if each.is_now else f" (as it was from {each.as_of})"
    if each.text == each.name:
        return f"{each.name}{former}"
    return f"{each.name}, {each.what}: {each.text}{former}"
