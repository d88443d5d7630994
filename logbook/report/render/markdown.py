"""A page as Markdown (CommonMark, with the table of GitHub's dialect)."""

import re

from logbook.report.render.document import (
    Block,
    Facts,
    FramingSketch,
    Listing,
    Paper,
    Photo,
    Plot,
    StarSketch,
    Table,
    Words,
)
from logbook.report.render.plot_text import plot_lines
from logbook.report.render.text import star_words
from logbook.text import clean

# What Markdown reads as a mark anywhere; at the beginning of a line; as an address.
_SIGNS = re.compile(r"([\\`*_{}\[\]|~$>])")
_BEGINNING = re.compile(r"^([#+\-=]|\d+(?=[.)](?:\s|$)))")
_ADDRESS = re.compile(r"(://|www\.|@)", re.IGNORECASE)


def markdown(paper: Paper) -> str:
    """The whole page. Nothing that was written in the book can be a mark, a link or HTML in it."""
    pieces = [f"# {escaped(paper.title)}"]
    for section in paper.sections:
        if section.title:
            pieces.append(f"## {escaped(section.title)}")
        pieces += [_block(block) for block in section.blocks]
    if paper.links:
        pieces.append("## Read on")
        lines = (f"- {escaped(f'{each.words}: {each.command}')}" for each in paper.links)
        pieces.append("\n".join(lines))
    return "\n\n".join(pieces) + "\n"


def escaped(text: str) -> str:
    """Text as data: every sign that Markdown could read as a mark is escaped."""
    plain = _SIGNS.sub(r"\\\1", clean(text)).replace("&", "&amp;").replace("<", "&lt;")
    return _BEGINNING.sub(_held, _ADDRESS.sub(_apart, plain))


def _held(found: re.Match[str]) -> str:
    """A sign that would begin a heading, a rule or a list; of a number its point is held."""
    sign = found[1]
    return f"{sign}\\" if sign.isdigit() else f"\\{sign}"


def _apart(found: re.Match[str]) -> str:
    """An address that some readers of Markdown would make a link of without being asked."""
    return "".join(f"&#{ord(sign)};" if sign in ":.@" else sign for sign in found[1])


def _block(block: Block) -> str:
    if isinstance(block, Words):
        words = escaped(block.text)
        return f"**{words}**" if block.strong and words else words
    if isinstance(block, Facts):
        return _table(("", ""), tuple(block.rows), ())
    if isinstance(block, Listing):
        marks = (f"{place}." if block.ordered else "-" for place in range(1, len(block.items) + 1))
        return "\n".join(
            f"{mark} {escaped(item)}" for mark, item in zip(marks, block.items, strict=True)
        )
    if isinstance(block, Table):
        caption = f"*{escaped(block.caption)}*\n\n" if block.caption else ""
        return caption + _table(block.columns, block.rows, block.numbers)
    if isinstance(block, Plot):
        drawn = "\n".join(f"    {clean_line(line)}" for line in plot_lines(block))
        return f"{drawn}\n\n{escaped(block.told)}"
    return escaped(_told(block))


def clean_line(line: str) -> str:
    """A line of a drawing, whose spaces count: without a line's end."""
    return line.replace("\n", " ").replace("\r", " ")


def _told(sketch: FramingSketch | StarSketch | Photo) -> str:
    return star_words(sketch) if isinstance(sketch, StarSketch) else sketch.told


def _table(
    columns: tuple[str, ...], rows: tuple[tuple[str, ...], ...], numbers: tuple[int, ...]
) -> str:
    rules = ("---:" if place in numbers else "---" for place in range(len(columns)))
    lines = [_row(columns), f"| {' | '.join(rules)} |", *(_row(row) for row in rows)]
    return "\n".join(lines)


def _row(cells: tuple[str, ...]) -> str:
    return f"| {' | '.join(escaped(cell) for cell in cells)} |"
