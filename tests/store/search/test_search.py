"""Every word ever logged is found again, by any of its beginnings, and hostile words are words."""

import contextlib
import re
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from logbook.errors import BadInput, NotFound
from logbook.kit.parts.part import Part
from logbook.records.entries import Frames, NewEntry, NightRecord, TargetCopy, UpkeepDone
from logbook.records.search import Found, Wanted
from logbook.store.book import Book
from logbook.store.opening import open_book
from logbook.text import clean
from tests.clock import EVENING

Note = Callable[..., NewEntry]
CLOUD = TargetCopy("NGC 224", "Andromeda Galaxy", "galaxy", 10.68, 41.27)


def texts(found: Found) -> list[str]:
    return [hit.text for hit in found.hits]


@pytest.fixture
def logged(book: Book, night: NightRecord, note: Note) -> Book:
    book.timeline.keep(night.id, note("the grub screw of B slips", minutes=10))
    book.timeline.keep(night.id, note("Börje saw the Über-ring, screw grub", minutes=20))
    frames = Frames(20, 180.0, filter_name="Ha")
    book.timeline.keep(
        night.id, NewEntry("frames", EVENING, "20 x 180s Ha", target=CLOUD, frames=frames)
    )
    return book


@pytest.mark.parametrize(
    ("words", "how_many"),
    [
        ("slips", 1),
        ("SLI", 1),
        ("screw grub", 2),
        ('"grub screw"', 1),
        ("borje uber", 1),
        ("andromeda", 1),
        ("180s", 1),
        ("mirror", 0),
        ("screw mirror", 0),
    ],
)
def test_words_are_found_in_any_order_and_by_their_beginnings(
    logged: Book, words: str, how_many: int
) -> None:
    assert len(logged.search.find(Wanted(words)).hits) == how_many


def test_the_newest_comes_first_and_more_is_said(logged: Book) -> None:
    found = logged.search.find(Wanted("grub"), most=1)
    assert texts(found) == ["Börje saw the Über-ring, screw grub"]
    assert found.more
    assert found.hits[0].night == date(2025, 10, 4)
    assert found.hits[0].train_name == "Planet train"


def test_what_was_corrected_is_found_by_its_old_words_and_says_what_it_reads_now(
    book: Book, night: NightRecord, note: Note
) -> None:
    kept = book.timeline.keep(night.id, note("a marten on the roof"))
    newer = book.timeline.correct(kept.id, note("a cat on the roof"))
    (former,) = book.search.find(Wanted("marten")).hits
    assert (former.text, former.standing) == ("a marten on the roof", "corrected")
    assert (former.now, former.standing_id) == ("a cat on the roof", newer.id)
    (once,) = book.search.find(Wanted("roof")).hits
    assert (once.text, once.standing) == ("a cat on the roof", "stands")
    book.units.take_back()
    (undone,) = book.timeline.of_night(night.id)
    (again,) = book.search.find(Wanted("marten")).hits
    assert (again.entry_id, again.standing) == (undone.id, "stands")
    (taken_back,) = book.search.find(Wanted("cat")).hits
    assert (taken_back.standing, taken_back.now) == ("corrected", "a marten on the roof")


def test_what_was_withdrawn_is_found_and_said_to_be(
    book: Book, night: NightRecord, note: Note
) -> None:
    kept = book.timeline.keep(night.id, note("a marten on the roof"))
    book.timeline.withdraw(kept.id)
    found = book.search.find(Wanted("marten"))
    assert [hit.standing for hit in found.hits] == ["withdrawn"]
    assert (found.standing, found.nights) == (0, 0)
    assert not book.search.find(Wanted(kinds=("note",))).hits, "filters alone give what stands"


def test_lines_and_nights_are_counted_up_to_a_number(logged: Book) -> None:
    found = logged.search.find(Wanted("grub"))
    assert (found.standing, found.nights, found.more) == (2, 1, False)
    assert logged.search.find(Wanted("grub"), most=1).more


def test_best_first_puts_words_in_a_row_before_whole_words_before_beginnings(
    book: Book, night: NightRecord, note: Note
) -> None:
    for minutes, text in enumerate(("dew heater on", "heater against dew", "heaters, dewy")):
        book.timeline.keep(night.id, note(text, minutes=minutes))
    newest = ["heaters, dewy", "heater against dew", "dew heater on"]
    assert texts(book.search.find(Wanted("dew heater"))) == newest
    assert texts(book.search.find(Wanted("dew heater"), best_first=True)) == newest[::-1]


def test_one_letter_is_a_whole_word(book: Book, night: NightRecord, note: Note) -> None:
    book.timeline.keep(night.id, note("screw A was loose"))
    book.timeline.keep(night.id, note("all screws are tight", minutes=1))
    assert texts(book.search.find(Wanted("screw a"))) == ["screw A was loose"]


def test_words_of_scripts_without_spaces_are_found_within_a_line(
    book: Book, night: NightRecord, note: Note
) -> None:
    book.timeline.keep(night.id, note("M31を撮影した 100%"))
    book.timeline.keep(night.id, note("ดาวเสาร์ชัดมาก", minutes=1))
    for word in ("撮影", "撮", "を撮影", "M31 撮影"):
        assert texts(book.search.find(Wanted(word))) == ["M31を撮影した 100%"], word
    assert texts(book.search.find(Wanted("ชัด"))) == ["ดาวเสาร์ชัดมาก"]
    assert not book.search.find(Wanted("影%")).hits, "% is no wildcard"


@pytest.fixture(scope="module")
def any_words(empty_book: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    """A book of its own, that holds lines of many scripts."""
    path = shutil.copyfile(empty_book, tmp_path_factory.mktemp("scripts") / "words.db")
    with open_book(Path(path)) as opened:
        yield opened


# Letters of the blocks that carry living scripts (The Unicode Standard, chapters 7 to 20).
SCRIPTS = (
    "aäøłßğœþ",
    "αάβγΐλςσΣΩ",
    "абвгёжйщЯЇ",
    "אבגשתל",
    "ابتثجحخم",
    "कखगहिन्दी",
    "กขคงจฉล้",
    "观测夜空记录",
    "ほしをみたツキ",
    "가나다별관측",
    "ბგდევ",
    "աբգդե",
)
words_of_a_script = st.sampled_from(SCRIPTS).flatmap(
    lambda letters: st.text(st.sampled_from(letters), min_size=2, max_size=8)
)


@given(words=st.lists(words_of_a_script, min_size=1, max_size=4), data=st.data())
@settings(max_examples=60, deadline=None)
def test_a_word_of_any_kept_line_is_found_by_its_beginning(
    any_words: Book, words: list[str], data: st.DataObject
) -> None:
    kept = any_words.timeline.keep(None, NewEntry("note", EVENING, " ".join(words)))
    word = data.draw(st.sampled_from([clean(each) for each in words]))
    typed = word[: data.draw(st.integers(min(2, len(word)), len(word)))]
    if not any(letter.isalnum() for letter in typed):
        return
    found = any_words.search.find(Wanted(typed), most=100_000)
    assert kept.id in {hit.entry_id for hit in found.hits}, typed


def test_filters_narrow_what_is_found(logged: Book) -> None:
    assert len(logged.search.find(Wanted(kinds=("frames",))).hits) == 1
    assert len(logged.search.find(Wanted(object_name="andromeda galaxy")).hits) == 1
    assert len(logged.search.find(Wanted(object_name="m31")).hits) == 1
    assert len(logged.search.find(Wanted(train_name="planet train")).hits) == 3
    assert len(logged.search.find(Wanted("grub", first=date(2025, 10, 5))).hits) == 0
    assert len(logged.search.find(Wanted("grub", last=date(2025, 10, 4))).hits) == 2


def test_work_on_a_part_is_found_by_the_part(book: Book, night: NightRecord) -> None:
    book.kit.add_part(Part("Dew strap", "small hardware"))
    done = UpkeepDone("dried", part_name="Dew strap")
    entry = NewEntry(
        "upkeep", EVENING + timedelta(minutes=1), "upkeep Dew strap: dried", upkeep=done
    )
    book.timeline.keep(night.id, entry)
    assert texts(book.search.find(Wanted(part_name="dew strap"))) == ["upkeep Dew strap: dried"]


@pytest.fixture
def without_index(logged: Book) -> Iterator[Book]:
    """The same book opened to be read only, after its index of words was lost."""
    with contextlib.closing(sqlite3.connect(logged.path)) as connection:
        connection.execute("DROP TRIGGER entry_words_follow")
        connection.execute("DROP TABLE entry_words")
        connection.commit()
    with open_book(logged.path, read_only=True) as opened:
        yield opened


@pytest.mark.parametrize(
    ("words", "how_many"),
    [("screw grub", 2), ('"grub screw"', 1), ("borje", 1), ("180s", 1), ("scr", 2), ("b", 1)],
)
def test_a_book_without_its_index_is_read_through_and_says_so(
    without_index: Book, words: str, how_many: int
) -> None:
    found = without_index.search.find(Wanted(words))
    assert (len(found.hits), found.slow) == (how_many, True)
    assert without_index.search.find(Wanted(words, kinds=("turn",))).hits == ()
    assert without_index.search.counted(Wanted(words), "kind")
    assert without_index.search.loosened(Wanted("schrew grub"))


def test_a_book_that_may_only_be_read_is_searched_and_helped_with_spelling(logged: Book) -> None:
    with open_book(logged.path, read_only=True) as book:
        found = book.search.find(Wanted("grub"))
        assert (len(found.hits), found.slow) == (2, False)
        (near,) = book.search.loosened(Wanted("slisp"))
        assert (near.wanted.words, near.entries) == ("slips", 1)


def test_what_to_loosen_is_a_filter_a_spelling_a_beginning_or_a_word(logged: Book) -> None:
    def proposed(wanted: Wanted) -> list[str]:
        return [each.wanted.words for each in logged.search.loosened(wanted)]

    assert proposed(Wanted("grubb")) == ["grub"]
    assert proposed(Wanted("screwdriver")) == ["screw"]
    assert "slips" in proposed(Wanted("slips mirror"))
    turns = Wanted("grub", kinds=("turn",))
    (without,) = logged.search.loosened(turns)
    assert (without.wanted, without.entries) == (Wanted("grub"), 2)
    assert proposed(Wanted("%")) == []


def test_values_of_a_filter_come_with_the_lines_they_leave(logged: Book) -> None:
    def counted(what: str, wanted: Wanted = Wanted()) -> dict[str, int]:  # noqa: B008
        return {each.value: each.entries for each in logged.search.counted(wanted, what)}

    assert counted("kind") == {"note": 2, "frames": 1}
    assert counted("object") == {"Andromeda Galaxy": 1}
    assert counted("train") == {"Planet train": 3}
    assert counted("part") == {"Long Tube": 3, "Small Chip": 3}
    assert counted("year", Wanted("grub")) == {"2025": 2}
    makes: dict[str, Callable[[str], Wanted]] = {
        "kind": lambda value: Wanted(kinds=(value,)),
        "part": lambda value: Wanted(part_name=value),
        "train": lambda value: Wanted(train_name=value),
    }
    for what, wanted in makes.items():
        for value, lines in counted(what).items():
            assert logged.search.find(wanted(value)).standing == lines


def test_control_characters_of_another_program_are_not_shown(
    book: Book, night: NightRecord, note: Note
) -> None:
    kept = book.timeline.keep(night.id, note("cold"))
    with contextlib.closing(sqlite3.connect(book.path)) as connection:
        connection.execute(
            "INSERT INTO entry (uid, night_id, happened_utc, recorded_utc, kind, text) "
            "SELECT 'x', night_id, happened_utc, recorded_utc, kind, char(27) || '[31mwarm' "
            "FROM entry WHERE id = ?",
            (kept.id,),
        )
        connection.commit()
    assert texts(book.search.find(Wanted(kinds=("note",)))) == ["[31mwarm", "cold"]


def test_a_part_that_was_retired_can_still_be_searched_by(logged: Book) -> None:
    spare = logged.kit.add_part(Part("Old cap", "small hardware"))
    done = UpkeepDone("washed", part_name="Old cap")
    logged.timeline.keep(None, NewEntry("upkeep", EVENING, "upkeep Old cap: washed", upkeep=done))
    logged.kit.retire_part(spare.id)
    assert texts(logged.search.find(Wanted(part_name="old cap"))) == ["upkeep Old cap: washed"]
    assert len(logged.search.find(Wanted(part_name="tube")).hits) == 3, "a piece of one name"


@pytest.mark.parametrize(
    ("wanted", "error", "words"),
    [
        (Wanted(), BadInput, "what to search for"),
        (Wanted("%"), BadInput, "a letter or a digit"),
        (Wanted("a " * 20), BadInput, "At most 12"),
        (Wanted(first=date.min), BadInput, "the date is not possible"),
        (Wanted(kinds=("gossip",)), BadInput, "Kinds: setup"),
        (Wanted(object_name="Nowhere Nebula"), NotFound, "Nowhere Nebula"),
        (Wanted(part_name="lost cap"), NotFound, "lost cap"),
        (Wanted(train_name="ghost"), NotFound, "Trains: Planet train"),
    ],
)
def test_what_cannot_be_searched_for_is_told(
    logged: Book, wanted: Wanted, error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        logged.search.find(wanted)


@given(st.text(max_size=60))
@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_nothing_typed_is_taken_for_an_operator(logged: Book, typed: str) -> None:
    """The query language of FTS5 (sqlite.org/fts5.html, 3) never sees what was typed bare."""
    hostile = (typed, f'NEAR({typed} AND "', f"words:{typed}*", f"-{typed} OR ^{typed}")
    for words in hostile:
        asked = re.findall(r"[a-z0-9]+", words.lower()) if words.isascii() else []
        try:
            found = logged.search.find(Wanted(words)).hits
        except BadInput:  # nothing to search for, or too many words
            assert not asked or len(asked) > 12
            continue
        held = [
            f"{hit.text} {CLOUD.catalogue_id} {CLOUD.name} {CLOUD.kind}".lower() for hit in found
        ]
        assert all(word in each for each in held for word in asked)
