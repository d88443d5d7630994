"""A page as lines of a terminal or a plain text file. Nothing in it is coloured."""

import io
from itertools import chain

from rich import box
from rich.cells import cell_len
from rich.console import Console
from rich.table import Table as RichTable
from rich.text import Text

from logbook.entryline.format import clock_words
from logbook.report.render.document import (
    Block,
    Facts,
    FramingSketch,
    Listing,
    Paper,
    Photo,
    Plot,
    Section,
    StarSketch,
    Table,
    Words,
)
from logbook.report.render.plot_text import plot_lines
from logbook.text import clean

PLAIN_WIDTH = 80  # of a file or a pipe
_NARROWEST = 10  # cells of a column of words


def text_lines(paper: Paper, width: int = 80) -> list[Text]:
    """The whole page; the first line is its title. Words wrap at `width` cells."""
    lines = _rendered(Text(clean(paper.title), style="bold"), width)
    for each in paper.sections:
        lines += section_lines(each, width)
    if paper.links:
        lines += [Text(""), Text("Read on", style="bold")]
        lines += [Text(f"  {clean(each.command)}") for each in paper.links]
    return lines


def section_lines(each: Section, width: int) -> list[Text]:
    """One section under its heading."""
    head = [Text("")] if each.title else []
    head += _rendered(Text(clean(each.title), style="bold"), width) if each.title else []
    return [*head, *chain.from_iterable(_block(block, width) for block in each.blocks)]


def _block(block: Block, width: int) -> list[Text]:
    if isinstance(block, Words):
        return _rendered(Text(clean(block.text), style="bold" if block.strong else ""), width)
    if isinstance(block, Facts):
        return _facts(block, width)
    if isinstance(block, Listing):
        return _listing(block, width)
    if isinstance(block, Table):
        return _table(block, width)
    if isinstance(block, Plot):
        head, *drawn = plot_lines(block, columns=width)
        told = _rendered(Text(clean(block.told)), width)
        return [Text(""), *_rendered(Text(head), width), *map(Text, drawn), *told]
    if isinstance(block, FramingSketch | Photo):
        return _rendered(Text(clean(block.told)), width)
    return _rendered(Text(clean(star_words(block))), width)


def star_words(star: StarSketch) -> str:
    """The star test in words: "4 Nov 2026: shadow 0.25 of the radius off, toward 4 o'clock"."""
    if star.offset_fraction == 0:
        return f"{star.caption}: shadow centred"
    words = f"{star.caption}: shadow {star.offset_fraction:.2g} of the radius off"
    return words if star.angle_deg is None else f"{words}, toward {clock_words(star.angle_deg)}"


def _facts(facts: Facts, width: int) -> list[Text]:
    table = RichTable(box=None, show_header=False, padding=(0, 1), pad_edge=False)
    table.add_column(no_wrap=True, style="bold")
    table.add_column()
    for label, value in facts.rows:
        table.add_row(Text(clean(label)), Text(clean(value)))
    return _rendered(table, width)


def _listing(listing: Listing, width: int) -> list[Text]:
    table = RichTable(box=None, show_header=False, padding=(0, 1), pad_edge=False)
    table.add_column(no_wrap=True)
    table.add_column()
    for place, item in enumerate(listing.items, start=1):
        table.add_row(Text(f"{place}." if listing.ordered else "·"), Text(clean(item)))
    return _rendered(table, width)


def _table(table: Table, width: int) -> list[Text]:
    caption = _rendered(Text(clean(table.caption)), width) if table.caption else []
    if _least_width(table) > width:
        return [*caption, *_rows_told(table, width)]
    drawn = RichTable(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    for place, name in enumerate(table.columns):
        right = place in table.numbers
        drawn.add_column(
            Text(clean(name)),
            justify="right" if right else "left",
            no_wrap=right,
            header_style="bold",
            overflow="fold",
        )
    for row in table.rows:
        drawn.add_row(*(Text(clean(cell)) for cell in row))
    return [*caption, *_rendered(drawn, width)]


def _least_width(table: Table) -> int:
    """Cells that a table needs: numbers in one piece, words at least as wide as can be read."""
    cells = zip(table.columns, *table.rows, strict=True)
    longest = [max(cell_len(clean(cell)) for cell in column) for column in cells]
    least = (
        each if place in table.numbers else min(each, _NARROWEST)
        for place, each in enumerate(longest)
    )
    return sum(least) + len(longest) - 1


def _rows_told(table: Table, width: int) -> list[Text]:
    """A table that is too wide: each row by itself, what belongs to its first cell below it."""
    lines: list[Text] = []
    for first, *others in table.rows:
        lines += _rendered(Text(clean(first), style="bold"), width)
        pairs = zip(table.columns[1:], others, strict=True)
        told = " · ".join(f"{clean(name)} {clean(cell)}" for name, cell in pairs if cell)
        lines += [Text("  ").append_text(line) for line in _rendered(Text(told), width - 2)]
    return lines


def _rendered(what: Text | RichTable, width: int) -> list[Text]:
    """Laid out by Rich, as lines that can be stored."""
    console = Console(
        file=io.StringIO(), width=width, markup=False, highlight=False, emoji=False, no_color=True
    )
    lines = []
    for segments in console.render_lines(what, pad=False):
        line = Text()
        for segment in segments:
            line.append(segment.text, style=segment.style)
        line.rstrip()
        lines.append(line)
    return lines
