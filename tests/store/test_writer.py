"""The writer thread keeps things in order; drafts come back with what was typed last."""

import threading
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError, wait
from pathlib import Path

import pytest

from logbook.errors import BadInput, NotWritten
from logbook.store.book import Book
from logbook.store.opening import open_book
from logbook.store.records import NewEntry, NightRecord
from logbook.store.typed import TypedLine
from logbook.store.writer import DraftKeeper, Writer
from tests.store.clock import EVENING

DEW = TypedLine("line", "dew on the corrector")
PATIENCE_S = 30.0  # for a slow machine: no test waits this long unless it fails


@pytest.fixture
def writer(book: Book) -> Iterator[Writer]:
    made = Writer(book)
    yield made
    made.close()


def test_what_is_submitted_is_done_in_order(
    book: Book, writer: Writer, night: NightRecord, note: Callable[..., NewEntry]
) -> None:
    futures = [
        writer.submit(book.timeline.keep, night.id, note(f"{number}")) for number in range(20)
    ]
    ids = [future.result(PATIENCE_S).id for future in futures]
    assert ids == sorted(ids)


def test_a_future_is_done_when_another_program_would_read_it(
    book: Book, book_path: Path, writer: Writer, note: Callable[..., NewEntry]
) -> None:
    with open_book(book_path) as other:
        kept = writer.submit(book.timeline.keep, None, note("kept")).result(PATIENCE_S)
        assert other.timeline.of_night(None) == (kept,)


def test_a_refusal_reaches_who_asked_and_the_next_is_done(book: Book, writer: Writer) -> None:
    refused = writer.submit(book.timeline.keep, None, NewEntry("note", EVENING, ""))
    kept = writer.submit(book.timeline.keep, None, NewEntry("note", EVENING, "next"))
    assert isinstance(refused.exception(PATIENCE_S), BadInput)
    assert kept.result(PATIENCE_S).content.text == "next"


def test_a_cancelled_job_is_not_done(book: Book, writer: Writer) -> None:
    hold = threading.Event()
    writer.submit(hold.wait, PATIENCE_S)
    never = writer.submit(book.timeline.keep, None, NewEntry("note", EVENING, "never"))
    assert never.cancel()
    hold.set()
    with pytest.raises(CancelledError):
        never.result(PATIENCE_S)
    assert writer.submit(book.timeline.of_night, None).result(PATIENCE_S) == ()


def test_closing_does_what_was_submitted_and_takes_no_more(book: Book) -> None:
    writer = Writer(book)
    kept = writer.submit(book.timeline.keep, None, NewEntry("note", EVENING, "the last"))
    assert writer.close(PATIENCE_S)
    assert kept.done()
    with pytest.raises(NotWritten, match="still here"):
        writer.submit(book.timeline.of_night, None)


def test_many_readers_beside_the_writer(book: Book, writer: Writer, night: NightRecord) -> None:
    """Every reader sees whole entries in the order in which they were kept."""
    failures: list[str] = []
    stop = threading.Event()

    def read() -> None:
        last = 0
        while not stop.is_set():
            seen = book.timeline.of_night(night.id)
            if len(seen) < last or any(not each.content.readings for each in seen):
                failures.append(repr(seen))
            last = len(seen)

    readers = [threading.Thread(target=read) for _ in range(3)]
    for reader in readers:
        reader.start()
    entry = NewEntry("reading", EVENING, "air 4", readings=(("air_temperature_c", 4.0),))
    futures = [writer.submit(book.timeline.keep, night.id, entry) for _ in range(40)]
    assert not wait(futures, PATIENCE_S).not_done
    stop.set()
    for reader in readers:
        reader.join()
    assert failures == []
    assert len(book.timeline.of_night(night.id)) == 40


class Timers:
    """Timers that run out when a test says so."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.due: list[Callable[[], None]] = []
        self.waits: list[float] = []
        monkeypatch.setattr(threading, "Timer", self.timer)

    def timer(self, wait_s: float, job: Callable[[], None]) -> threading.Thread:
        self.waits.append(wait_s)
        return threading.Thread(target=lambda: self.due.append(job))

    def run_out(self) -> None:
        while self.due:
            self.due.pop(0)()


@pytest.fixture
def timers(monkeypatch: pytest.MonkeyPatch) -> Timers:
    return Timers(monkeypatch)


def drain(writer: Writer) -> None:
    writer.submit(lambda: None).result(PATIENCE_S)


def test_steady_typing_cannot_put_off_the_draft(book: Book, writer: Writer, timers: Timers) -> None:
    """One timer for many keys; a timer begun anew at each key would never run out."""
    keeper = DraftKeeper(writer, "line")
    for length in range(1, 30):
        keeper.typed("dew on the corrector, heater on"[:length])
    assert len(timers.waits) == 1
    assert timers.waits[0] <= 0.3 / 2
    timers.run_out()
    drain(writer)
    assert book.drafts.get("line") == "dew on the corrector, heater "
    keeper.typed("dew on the corrector, heater on")
    assert len(timers.waits) == 2


def test_a_draft_takes_the_newest_text_when_the_disk_was_slow(
    book: Book, writer: Writer, timers: Timers
) -> None:
    hold = threading.Event()
    writer.submit(hold.wait, PATIENCE_S)
    keeper = DraftKeeper(writer, "line")
    keeper.typed("dew")
    timers.run_out()
    keeper.typed("dew on the corrector")
    hold.set()
    drain(writer)
    assert book.drafts.get("line") == "dew on the corrector"


def test_a_line_that_was_kept_does_not_come_back_as_a_draft(
    book: Book, writer: Writer, timers: Timers
) -> None:
    keeper = DraftKeeper(writer, "line")
    keeper.typed(DEW.text)
    keeper.sent(DEW.text, "")
    keep(book, writer, DEW)
    writer.submit(keeper.kept)
    timers.run_out()
    drain(writer)
    assert book.drafts.get("line") == ""


def test_a_line_on_its_way_to_the_disk_is_a_draft_until_it_is_an_entry(
    book: Book, writer: Writer, timers: Timers
) -> None:
    """The draft is put while the line still waits, and holds both it and what was typed since."""
    keeper = DraftKeeper(writer, "line")
    keeper.sent(DEW.text, "")
    for typed in ("de", "and on the finder"):  # the first looks like the line's own beginning
        keeper.typed(typed)
        timers.run_out()
        drain(writer)
        assert book.drafts.get("line") == f"{DEW.text} ; {typed}"
    keep(book, writer, DEW)
    assert book.drafts.get("line") == "and on the finder"


@pytest.mark.parametrize("typed", ["de", "and on the finder", "dew on the corrector again"])
def test_what_is_typed_after_a_line_stays_a_draft_when_that_line_is_kept(
    book: Book, writer: Writer, timers: Timers, typed: str
) -> None:
    keeper = DraftKeeper(writer, "line")
    keeper.sent(DEW.text, "")
    keeper.typed(typed)
    keep(book, writer, DEW)
    writer.submit(keeper.kept)
    timers.run_out()
    drain(writer)
    assert book.drafts.get("line") == typed


def test_a_line_that_came_back_is_in_the_draft_once(
    book: Book, writer: Writer, timers: Timers
) -> None:
    keeper = DraftKeeper(writer, "line")
    keeper.sent(DEW.text, "calm")
    keeper.returned(f"{DEW.text} ; calm")
    timers.run_out()
    drain(writer)
    assert book.drafts.get("line") == f"{DEW.text} ; calm"


def keep(book: Book, writer: Writer, line: TypedLine) -> None:
    entry = NewEntry("note", EVENING, line.text)
    writer.submit(book.timeline.keep, None, entry, typed=line).result(PATIENCE_S)


def test_a_draft_that_cannot_be_kept_says_why(book_path: Path, timers: Timers) -> None:
    with open_book(book_path, read_only=True) as book:
        writer = Writer(book)
        keeper = DraftKeeper(writer, "line")
        keeper.typed("dew")
        timers.run_out()
        drain(writer)
        assert isinstance(keeper.failed, NotWritten)
        writer.close()


def test_drafts_are_there_after_a_restart_as_they_were_typed(book: Book, book_path: Path) -> None:
    for text in ("half a wo", "half a word ", "x" * 5000, "odd \ud800\0 text", ""):
        book.drafts.put("line", text)
        with open_book(book_path) as again:
            kept = again.drafts.get("line")
        assert kept == text[:4000].replace("\ud800", "").replace("\0", "")
    book.drafts.put("form", "other")
    book.drafts.clear("line")
    assert (book.drafts.get("line"), book.drafts.get("form")) == ("", "other")


def test_what_was_half_typed_in_two_programs_is_on_one_line_at_the_next_start(book: Book) -> None:
    book.drafts.put("line one", "note wi")
    book.drafts.put("line other", "air 4")
    book.drafts.put("form", "other")
    for slot in ("line third", "line third"):  # a second time changes nothing
        assert book.drafts.take_over("line", slot) == "note wi ; air 4"
    assert book.drafts.get("line third") == "note wi ; air 4"
    assert book.drafts.get("form") == "other"
    assert book.drafts.take_over("nowhere", "nowhere else") == ""


def test_choices_are_proposed_at_the_next_start(book: Book, book_path: Path) -> None:
    assert book.choices.get("site") is None
    book.choices.put("site", "Mill Hill")
    book.choices.put("site", "Mill Top")
    with open_book(book_path) as again:
        assert again.choices.get("site") == "Mill Top"
    with pytest.raises(BadInput, match="400 characters"):
        book.choices.put("site", "x" * 401)
