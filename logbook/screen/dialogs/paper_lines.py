"""A page of looking back laid out for the screen: nights beside each other, an entry marked."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import TYPE_CHECKING

from rich.text import Text

from logbook.report.pages.night import NightWhole
from logbook.report.render.document import Facts, Paper, Section, Table
from logbook.report.render.text import section_lines

if TYPE_CHECKING:
    from logbook.report.registry import PageData

BESIDE_FROM = 100  # columns: with so many the words of two nights stand side by side
_BELOW_UNTIL = 70  # columns: with fewer their numbers stand below each other
_GAP = 3
_ENTRY = re.compile(r"\d\d:\d\d +\d\d:\d\d ")


@dataclass(frozen=True, slots=True)
class Laid:
    """A page as rows of the screen. `marked` is the first row of the entry that was asked for."""

    rows: tuple[Text, ...]
    marked: int | None = None


def laid_out(data: "PageData", paper: Paper, columns: int, entry_id: int | None = None) -> Laid:
    """The page without its title, at a width."""
    if paper.key.kind == "compare":
        return Laid(tuple(_two_nights(paper.sections, columns)))
    rows: list[Text] = []
    marked = None
    for each in paper.sections:
        lines = section_lines(each, columns)
        if each.title == "Timeline" and isinstance(data, NightWhole):
            place = _mark_entry(lines, data, entry_id)
            marked = None if place is None else len(rows) + place
        rows += lines
    return Laid(tuple(_without_blank_top(rows)), marked)


def _without_blank_top(rows: list[Text]) -> list[Text]:
    """The rows; a page whose first section has a heading would begin with an empty one."""
    return rows[1:] if rows and not rows[0].plain else rows


def _mark_entry(lines: Sequence[Text], data: NightWhole, entry_id: int | None) -> int | None:
    """Show an entry of the timeline in reverse; the place of its first line."""
    ids = [each.id for each in data.page.timeline]
    starts = [place for place, line in enumerate(lines) if _ENTRY.match(line.plain)]
    if entry_id not in ids or len(starts) != len(ids):
        return None
    start = starts[ids.index(entry_id)]
    end = next((each for each in starts if each > start), len(lines))
    for line in lines[start:end]:
        line.stylize("reverse bold")
    return start


def _two_nights(sections: Sequence[Section], columns: int) -> list[Text]:
    """The sections of a comparison, with what both nights have laid side by side or below."""
    rows: list[Text] = []
    waiting: list[Section] = []  # the words of the one night, until those of the other come
    for each in sections:
        if columns >= BESIDE_FROM and each.title.endswith("in its own words"):
            waiting.append(each)
            continue
        rows += _beside(waiting, columns)
        waiting = []
        for part in _below(each) if columns < _BELOW_UNTIL else (each,):
            rows += section_lines(part, columns)
    return [*rows, *_beside(waiting, columns)]


def _beside(sections: Sequence[Section], columns: int) -> list[Text]:
    """Two sections in two columns; one alone has the whole width."""
    if len(sections) != 2:
        return [line for each in sections for line in section_lines(each, columns)]
    wide = (columns - _GAP) // 2
    left, right = (section_lines(each, wide) for each in sections)
    rows = []
    for one, other in zip_longest(left, right, fillvalue=Text("")):
        row = one.copy()
        row.pad_right(wide + _GAP - row.cell_len)
        rows.append(row.append_text(other))
    return rows


def _below(section: Section) -> tuple[Section, ...]:
    """A section that is one table of two nights, as one list of facts for each night."""
    table = section.blocks[0]
    if len(section.blocks) != 1 or not isinstance(table, Table) or len(table.columns) != 3:
        return (section,)
    found = []
    for place in (1, 2):
        facts = Facts(tuple((row[0], row[place]) for row in table.rows))
        found.append(replace(section, title=table.columns[place], blocks=(facts,)))
    return tuple(found)
