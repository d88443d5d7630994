"""What ranking wants to know of a book: hours owed to projects, and when an object was seen."""

from logbook.sky.ranking.book_facts import BookFacts
from logbook.store.book import Book


def facts_of(book: Book) -> BookFacts:
    """The facts as the book stands now. 20 years of entries take part of a second once."""
    owed: dict[str, float] = {}
    for project in book.projects.all():
        name = project.target.catalogue_id
        owed[name] = owed.get(name, 0.0) + project.owed_hours
    seen = {name: held.last_date for name, held in book.holdings.all().items()}
    return BookFacts(owed_hours=owed, last_observed=seen)
