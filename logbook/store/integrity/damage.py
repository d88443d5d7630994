"""Where a book is damaged, for what asks once something failed."""

from pathlib import Path


def damage_words(path: Path) -> str:
    """What is damaged in the book at `path`, in words; "" for nothing that is found."""
    from logbook.store.integrity.cells import damage_at

    return damage_at(path)
