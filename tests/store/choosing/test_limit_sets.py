"""Named sets of limits: the program's to begin with, the user's own from the first change on."""

from dataclasses import replace

import pytest
from sqlalchemy import update

from logbook.errors import BadInput, NotFound
from logbook.sky.limits.limits import Limits
from logbook.sky.limits.presets import PRESETS
from logbook.store.book import Book
from logbook.store.tables.models import LimitSetRow

OWN = Limits(min_altitude_deg=42.0, kinds=("galaxy",), constellations=("UMa",), faintest_mag=12.5)


def names(book: Book) -> list[str]:
    return [each.name for each in book.limit_sets.all()]


def test_a_new_book_offers_the_programs_sets(book: Book) -> None:
    found = book.limit_sets.all()
    assert [(each.name, each.limits) for each in found] == [
        (each.name, each.limits) for each in PRESETS
    ]
    assert all(each.id is None for each in found)


def test_a_set_of_ones_own_is_kept_beside_them(book: Book) -> None:
    kept = book.limit_sets.keep("Bear's galaxies", OWN)
    assert kept.limits == OWN
    assert names(book) == [*(each.name for each in PRESETS), "Bear's galaxies"]
    assert all(each.id is not None for each in book.limit_sets.all())
    assert book.limit_sets.named("BEAR'S GALAXIES") == kept


def test_a_set_is_edited_under_its_name_in_any_case(book: Book) -> None:
    first = PRESETS[0]
    other = replace(first.limits, min_altitude_deg=50.0)
    book.limit_sets.keep(first.name.upper(), other)
    found = book.limit_sets.all()
    assert len(found) == len(PRESETS)
    assert found[0].limits == other


def test_a_set_is_renamed_and_a_taken_name_refused(book: Book) -> None:
    book.limit_sets.rename(PRESETS[1].name, "my faint ones")
    assert names(book)[1] == "my faint ones"
    with pytest.raises(BadInput, match="is taken"):
        book.limit_sets.rename("my faint ones", PRESETS[0].name)
    with pytest.raises(NotFound):
        book.limit_sets.rename("no such set", "other")


def test_a_retired_set_is_gone_until_it_is_kept_again(book: Book) -> None:
    book.limit_sets.retire(PRESETS[2].name)
    assert PRESETS[2].name not in names(book)
    with pytest.raises(NotFound, match=PRESETS[0].name):
        book.limit_sets.named(PRESETS[2].name)
    book.limit_sets.keep(PRESETS[2].name, OWN)
    assert book.limit_sets.named(PRESETS[2].name).limits == OWN


def test_retiring_every_set_does_not_bring_the_programs_back(book: Book) -> None:
    for each in PRESETS:
        book.limit_sets.retire(each.name)
    assert book.limit_sets.all() == ()


def test_a_set_that_cannot_be_read_is_listed_and_left_alone(book: Book) -> None:
    kept = book.limit_sets.keep("later program", OWN)
    with book._sessions.writing() as session:
        session.execute(
            update(LimitSetRow)
            .where(LimitSetRow.id == kept.id)
            .values(limits_json='{"min_colour_index": 1.0}')
        )
    assert book.limit_sets.named("later program").limits is None
