"""A page as a test reads it."""

from logbook.report.as_text import text_lines
from logbook.report.paper import Paper


def as_text(paper: Paper, width: int = 110) -> str:
    """The whole page, wide enough that no table row is parted."""
    return "\n".join(line.plain.rstrip() for line in text_lines(paper, width))
