"""A page of looking back, as a test reads it."""

from logbook.report.registry import load_page, render_page
from logbook.report.render.document import Paper
from logbook.report.render.keys import PageKey
from logbook.report.render.text import text_lines
from logbook.store.book import Book


def read_document(book: Book, key: PageKey) -> Paper:
    """The document of a page. Raises BadInput and NotFound."""
    return render_page(load_page(book, key))


def as_text(paper: Paper, width: int = 110) -> str:
    """The whole page, wide enough that no table row is parted."""
    return "\n".join(line.plain.rstrip() for line in text_lines(paper, width))
