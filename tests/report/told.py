"""A page as a test reads it."""

from logbook.report.render.document import Paper
from logbook.report.render.text import text_lines


def as_text(paper: Paper, width: int = 110) -> str:
    """The whole page, wide enough that no table row is parted."""
    return "\n".join(line.plain.rstrip() for line in text_lines(paper, width))
