"""The writer thread keeps things in order; drafts come back with what was typed last."""

import sqlite3
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError, wait
from contextlib import closing
from pathlib import Path

import pytest

from logbook.errors import BadInput, NotWritten
from logbook.records.entries import NewEntry, NightRecord
from logbook.records.typed_line import TypedLine
from logbook.store.book import Book
from logbook.store.file.window import Window
from logbook.store.opening import open_book
from logbook.store.tables.models import DraftRow
from logbook.store.writer import DraftKeeper, Writer
from tests.clock import EVENING, Clock

DEW = TypedLine("w", "line", "dew on the corrector")
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
    """Every reader sees whole entries in the order in which they were saved."""
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
    writer.when_idle(lambda: None).result(PATIENCE_S)


def test_steady_typing_cannot_put_off_the_draft(book: Book, writer: Writer, timers: Timers) -> None:
    """One timer for many keys; a timer begun anew at each key would never run out."""
    keeper = DraftKeeper(writer, "w")
    for length in range(1, 30):
        keeper.put("line", ["dew on the corrector, heater on"[:length]])
    assert len(timers.waits) == 1
    assert timers.waits[0] <= 0.3 / 2
    timers.run_out()
    drain(writer)
    assert book.drafts.get("w", "line") == ("dew on the corrector, heater ",)
    keeper.put("line", ["dew on the corrector, heater on"])
    assert len(timers.waits) == 2


def test_a_draft_takes_the_newest_text_when_the_disk_was_slow(
    book: Book, writer: Writer, timers: Timers
) -> None:
    hold = threading.Event()
    writer.submit(hold.wait, PATIENCE_S)
    keeper = DraftKeeper(writer, "w")
    keeper.put("line", ["dew"])
    timers.run_out()
    keeper.put("line", ["dew on the corrector"])
    hold.set()
    drain(writer)
    assert book.drafts.get("w", "line") == ("dew on the corrector",)


def test_an_entry_goes_before_a_draft_that_waited_longer(writer: Writer) -> None:
    hold, order = threading.Event(), list[str]()
    writer.submit(hold.wait, PATIENCE_S)
    draft = writer.when_idle(lambda: order.append("draft"))
    writer.submit(order.append, "entry")
    hold.set()
    draft.result(PATIENCE_S)
    assert order == ["entry", "draft"]


def test_a_line_that_was_kept_does_not_come_back_as_a_draft(
    book: Book, writer: Writer, timers: Timers
) -> None:
    keeper = DraftKeeper(writer, "w")
    keeper.put("line", [DEW.text])
    keeper.sent("line", DEW.text, ())
    keep(book, writer, DEW)
    writer.submit(keeper.saved, "line")
    timers.run_out()
    drain(writer)
    assert book.drafts.get("w", "line") == ()


def test_a_line_on_its_way_to_the_disk_is_a_draft_until_it_is_an_entry(
    book: Book, writer: Writer, timers: Timers
) -> None:
    """The draft is put while the line still waits, and holds both it and what was typed since."""
    keeper = DraftKeeper(writer, "w")
    keeper.sent("line", DEW.text, ())
    for typed in ("de", "and on the finder"):  # the first looks like the line's own beginning
        keeper.put("line", [typed])
        timers.run_out()
        drain(writer)
        assert book.drafts.get("w", "line") == (DEW.text, typed)
    keep(book, writer, DEW)
    assert book.drafts.get("w", "line") == ("and on the finder",)


@pytest.mark.parametrize("typed", ["de", "and on the finder", "dew on the corrector again"])
def test_what_is_typed_after_a_line_stays_a_draft_when_that_line_is_kept(
    book: Book, writer: Writer, timers: Timers, typed: str
) -> None:
    keeper = DraftKeeper(writer, "w")
    keeper.sent("line", DEW.text, ())
    keeper.put("line", [typed])
    keep(book, writer, DEW)
    writer.submit(keeper.saved, "line")
    timers.run_out()
    drain(writer)
    assert book.drafts.get("w", "line") == (typed,)


def test_a_line_that_came_back_is_in_the_draft_once(
    book: Book, writer: Writer, timers: Timers
) -> None:
    keeper = DraftKeeper(writer, "w")
    keeper.sent("line", DEW.text, ["calm"])
    keeper.returned("line", [DEW.text, "calm"])
    timers.run_out()
    drain(writer)
    assert book.drafts.get("w", "line") == (DEW.text, "calm")


def keep(book: Book, writer: Writer, line: TypedLine) -> None:
    entry = NewEntry("note", EVENING, line.text)
    writer.submit(book.timeline.keep, None, entry, typed=line).result(PATIENCE_S)


def test_a_draft_that_cannot_be_kept_is_tried_again_and_told(
    book: Book, book_path: Path, writer: Writer, timers: Timers
) -> None:
    told: list[str] = []
    keeper = DraftKeeper(writer, "w", report=lambda failed: told.append(str(failed)))
    with closing(sqlite3.connect(book_path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        for _ in range(3):  # each failure begins a timer for the next try
            keeper.put("line", ["dew"])
            timers.run_out()
            drain(writer)
            assert isinstance(keeper.failed, NotWritten)
        assert len(told) == 1
        assert "another program is writing" in told[0]
        other.execute("ROLLBACK")
    timers.run_out()
    drain(writer)
    assert book.drafts.get("w", "line") == ("dew",)
    assert told[1:] == ["None"]


def test_a_draft_that_fails_in_a_way_nobody_foresaw_is_tried_again_too(
    book: Book, writer: Writer, timers: Timers, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[Exception | None] = []
    keeper = DraftKeeper(writer, "w", report=told.append)

    def fails(*_: object, **__: object) -> None:
        raise ValueError("a fault of the program")

    monkeypatch.setattr(book.drafts, "put", fails)
    keeper.put("line", ["dew"])
    for _ in range(2):
        timers.run_out()
        drain(writer)
    assert [type(each) for each in told] == [ValueError]
    monkeypatch.undo()
    keeper.put_now()
    drain(writer)
    assert book.drafts.get("w", "line") == ("dew",)
    assert told[1:] == [None]


def test_lines_found_late_stay_drafts_until_the_screen_has_them(
    book: Book, writer: Writer, timers: Timers
) -> None:
    """What is typed while they are on their way to the screen must not write over them."""
    book.drafts.put("ended", "line", ("note wi", "air 4"))
    keeper = DraftKeeper(writer, "w")
    assert keeper.take_over("line").result(PATIENCE_S) == ("note wi", "air 4")
    keeper.put("line", ["dew"])
    timers.run_out()
    drain(writer)
    assert book.drafts.get("w", "line") == ("dew", "note wi", "air 4")
    keeper.sent("line", "dew", ())
    keeper.saved("line")
    keeper.put("line", ["calm", "note wi", "air 4"])
    keeper.put("line", ["calm"])  # the screen has them: the user cleared them
    timers.run_out()
    drain(writer)
    assert book.drafts.get("w", "line") == ("calm",)


def test_lines_are_found_late_only_once_no_other_program_writes(
    book: Book, book_path: Path, writer: Writer
) -> None:
    book.drafts.put("ended", "line", ("note wi",))
    keeper = DraftKeeper(writer, "w")
    with closing(sqlite3.connect(book_path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert keeper.take_over("line").result(PATIENCE_S) is None
        other.execute("ROLLBACK")
    assert keeper.take_over("line").result(PATIENCE_S) == ("note wi",)


def test_forms_and_the_line_have_places_of_their_own(
    book: Book, writer: Writer, timers: Timers
) -> None:
    keeper = DraftKeeper(writer, "w")
    keeper.put("line", ["dew"])
    keeper.put("form:part", ['["name", "Long Tube"]', '["mass", "9"]'])
    timers.run_out()
    drain(writer)
    assert book.drafts.get("w", "line") == ("dew",)
    assert keeper.held("line") == ("dew",)
    keeper.clear("line")
    assert keeper.held("line") == ()
    timers.run_out()
    drain(writer)
    assert book.drafts.get("w", "line") == ()
    assert book.drafts.get("w", "form:part") == ('["name", "Long Tube"]', '["mass", "9"]')


def test_a_form_finds_what_a_window_that_has_ended_left_in_it(
    book: Book, writer: Writer, timers: Timers
) -> None:
    book.drafts.put("ended", "form:part", ('["name", "Long Tube"]',))
    keeper = DraftKeeper(writer, "w")
    assert keeper.held("form:part") == ('["name", "Long Tube"]',)
    timers.run_out()
    drain(writer)
    assert book.drafts.get("w", "form:part") == ('["name", "Long Tube"]',)
    assert book.drafts.get("ended", "form:part") == ()
    assert keeper.held("form:site") == ()
    keeper.clear("form:part")
    timers.run_out()
    drain(writer)
    assert book.drafts.get("w", "form:part") == ()


def test_drafts_are_there_after_a_restart_as_they_were_typed(book: Book, book_path: Path) -> None:
    for text in ("half a wo", "half a word ", "x" * 5000, "odd \ud800\0 text", ""):
        book.drafts.put("w", "line", (text, "next"))
        with open_book(book_path) as again:
            kept = again.drafts.get("w", "line")
        shown = text[:4000].replace("\ud800", "").replace("\0", "")
        assert kept == ((shown, "next") if shown else ("next",))
    book.drafts.put("w", "form", ("other",))
    book.drafts.clear("w", "line")
    assert (book.drafts.get("w", "line"), book.drafts.get("w", "form")) == ((), ("other",))


def test_what_ended_windows_left_is_taken_over_once_each_line_by_itself(
    book: Book, clock: Clock
) -> None:
    book.drafts.put("one", "line", ("note wi", "air 4"))
    clock.forward(minutes=1)
    book.drafts.put("other", "line", ("note calm",))
    book.drafts.put("other", "form", ("other",))
    assert book.drafts.take_over("line", "third") == ("note wi", "air 4", "note calm")
    assert book.drafts.get("third", "line") == ("note wi", "air 4", "note calm")
    assert book.drafts.get("other", "line") == ()
    assert book.drafts.get("other", "form") == ("other",)
    assert book.drafts.take_over("line", "third") == ()
    assert book.drafts.take_over("nowhere", "third") == ()


def test_what_is_half_typed_in_an_open_window_is_left_to_it(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    one = Window()
    book.drafts.put(one.name, "line", ("note wi",))
    assert book.drafts.take_over("line", "two") == ()
    assert book.drafts.get(one.name, "line") == ("note wi",)
    one.close()
    assert book.drafts.take_over("line", "two") == ("note wi",)


def test_the_one_line_of_an_older_program_is_taken_over_once(book: Book) -> None:
    with book._sessions.writing() as session:
        session.add(DraftRow(slot="line a1b2", text="note wi", updated_utc=EVENING))
        session.add(DraftRow(slot="form", text="other", updated_utc=EVENING))
    assert book.drafts.take_over("line", "w") == ("note wi",)
    assert book.drafts.get("w", "line") == ("note wi",)
    assert book.drafts.take_over("line", "w2") == ("note wi",)  # from w, which has ended
    assert book.drafts.get("w2", "line") == ("note wi",)


def test_choices_are_proposed_at_the_next_start(book: Book, book_path: Path) -> None:
    assert book.choices.get("site") is None
    book.choices.put("site", "Mill Hill")
    book.choices.put("site", "Mill Top")
    with open_book(book_path) as again:
        assert again.choices.get("site") == "Mill Top"
    with pytest.raises(BadInput, match="400 characters"):
        book.choices.put("site", "x" * 401)
