"""How the search sheet says things: the filters in force, a line of the list, what it is about."""

from dataclasses import dataclass, replace
from datetime import date

from rich.text import Text

from logbook.commands.search_cmd import (
    count_words,
    elsewhere_kind,
    elsewhere_told,
    now_words,
    told,
    when,
)
from logbook.dates import read_span
from logbook.entryline.format import counted
from logbook.records.search import Elsewhere, Found, Hit, Loosened, Wanted
from logbook.report.render.keys import PageKey
from logbook.report.words.search_marks import Marks
from logbook.sky.night.clock import local_hhmm, zone_or_utc
from logbook.store.search.words import is_unspaced, whole_only, words_wanted

_TIME_FROM_COLUMNS = 100  # of the sheet
_KIND_COLUMNS = 11

TIPS = (
    "A word or the beginning of one finds every line that has it, from all years; more words "
    'narrow it. "Between quotes" they must follow each other. Tab narrows by kind, object, part, '
    "train or dates, also without a word. F1 explains all keys."
)
EMPTY = (
    "The book has no entries yet. Escape, then F10 begins a night: every word you type there "
    "can be found here years later."
)


@dataclass(frozen=True, slots=True)
class Filter:
    """One thing that narrows a search: its name, and what it is in words with a value."""

    name: str
    label: str
    says: str
    counted_by: str  # what `Search.counted` calls it


FILTERS = (
    Filter("kinds", "Kind", "kind", "kind"),
    Filter("object_name", "Object", "object", "object"),
    Filter("part_name", "Part", "with the part", "part"),
    Filter("train_name", "Train", "with the train", "train"),
    Filter("first", "From", "from", "year"),
    Filter("last", "To", "to", "year"),
)


def value_of(wanted: Wanted, name: str) -> str:
    """The value of a filter in words; "" for one that is off."""
    value = getattr(wanted, name)
    if name == "kinds":
        return ", ".join(value)
    return value.isoformat() if isinstance(value, date) else value


def without(wanted: Wanted, name: str) -> Wanted:
    """The search with a filter off."""
    if name == "kinds":
        return replace(wanted, kinds=())
    if name in ("first", "last"):
        return _with_day(wanted, name, None)
    return _with_words(wanted, name, "")


def put(wanted: Wanted, name: str, typed: str, tonight: date) -> Wanted:
    """The search with a filter set to what was picked. Raises BadInput."""
    if name == "kinds":
        return replace(wanted, kinds=(typed,))
    if name in ("first", "last"):
        return _with_day(wanted, name, day_typed(typed, tonight, last=name == "last"))
    return _with_words(wanted, name, typed)


def _with_day(wanted: Wanted, name: str, day: date | None) -> Wanted:
    return replace(wanted, first=day) if name == "first" else replace(wanted, last=day)


def _with_words(wanted: Wanted, name: str, typed: str) -> Wanted:
    if name == "object_name":
        return replace(wanted, object_name=typed)
    if name == "part_name":
        return replace(wanted, part_name=typed)
    return replace(wanted, train_name=typed)


def day_typed(typed: str, tonight: date, *, last: bool) -> date:
    """A date, or the first (last) day of a month or year as typed. Raises BadInput."""
    return read_span(typed, tonight)[last]


def filters_in_words(wanted: Wanted) -> str:
    """`Only kind turn, from 2024-01-01`; "" without any in force."""
    said = [f"{each.says} {value}" for each in FILTERS if (value := value_of(wanted, each.name))]
    return f"Only {', '.join(said)}." if said else ""


def finished(typed: str) -> str:
    """What is searched for while one types: a last letter alone is a word only just begun."""
    pieces = typed.split()
    last = pieces[-1] if len(pieces) > 1 and not typed[-1].isspace() else ""
    if len(last) == 1 and '"' not in typed and not is_unspaced(last):
        return " ".join(pieces[:-1])
    return typed


def found_words(found: Found, *, best_first: bool) -> str:
    """How many lines there are, in which order."""
    words = count_words(found)
    said = f"{words[:1].upper()}{words[1:]}."
    if len(found.hits) > 1:
        said += " Best first." if best_first else " Newest first."
    return said + (" The book has no index of words, so this is slow." if found.slow else "")


def nothing_words(wanted: Wanted) -> str:
    """That nothing was found, and why one letter finds so little."""
    if any(whole_only(word) for word in words_wanted(wanted.words)):
        return "Nothing has that. One letter is looked for as a whole word: type on."
    return "Nothing has that."


def hit_row(hit: Hit, marks: Marks, columns: int) -> Text:
    """One line of the list."""
    row = Text(when(hit), style="not bold")
    if columns >= _TIME_FROM_COLUMNS:
        row.append(f" {_local_time(hit)}")
    row.append(f"  {hit.kind:{_KIND_COLUMNS}}")
    if not hit.stands:
        row.append(f"[{hit.standing}] ", style="italic")
    words = told(hit)
    if words.startswith(f"{hit.kind} "):  # it stands there already
        words = words[len(hit.kind) + 1 :]
    return row.append_text(marks.marked(words, max(10, columns - row.cell_len)))


def elsewhere_row(each: Elsewhere, marks: Marks, columns: int) -> Text:
    row = Text(f"{'elsewhere':{12}}{elsewhere_kind(each):{_KIND_COLUMNS}}", style="not bold")
    room = max(10, columns - row.cell_len)
    return row.append_text(marks.marked(elsewhere_told(each), room))


def loosened_row(each: Loosened) -> Text:
    more = "more than " if each.more else ""
    return Text(f"{each.words}: {more}{counted(each.entries, 'line')}")


def about_hit(hit: Hit, marks: Marks) -> Text:
    """When and of what a line is, the whole of it, and what it reads now."""
    about = [f"{hit.happened_utc.astimezone(zone_or_utc(hit.time_zone)):%a %d %b %Y %H:%M}"]
    about += [each for each in (hit.object_name, hit.train_name) if each]
    words = Text(" · ".join(about) + "\n", style="not bold").append_text(marks.marked(hit.text))
    return words.append(now_words(hit), style="italic")


def about_elsewhere(each: Elsewhere, marks: Marks) -> Text:
    words = Text(f"{elsewhere_kind(each)} · ", style="not bold")
    return words.append_text(marks.marked(elsewhere_told(each)))


def page_of(found: Hit | Elsewhere) -> PageKey | None:
    """The page that a line leads to; None where there is none."""
    if found.night_id is not None and found.night is not None:
        return PageKey("night", found.night.isoformat(), found.night_id)
    if isinstance(found, Hit):
        return None
    if found.kind in ("part", "train"):
        return PageKey(found.kind, found.name, found.id)
    return PageKey("object", found.name) if found.kind == "project" else None


def _local_time(hit: Hit) -> str:
    return local_hhmm(hit.happened_utc, zone_or_utc(hit.time_zone))
