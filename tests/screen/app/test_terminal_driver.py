"""What a terminal may send by mistake."""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from tests.screen.keys_sent import ENTER
from tests.screen.killing import book_with_a_night
from tests.screen.terminal import Terminal, quiet_environment


def _begun(home: Path) -> Terminal:
    book = book_with_a_night(home)
    return Terminal(["-m", "logbook", "--book", str(book)], environment=quiet_environment(home))


def test_a_byte_that_is_no_utf_8_ends_nothing(tmp_path: Path) -> None:
    """`caf\xe9` as a terminal set to ISO/IEC 8859-1 sends it; U+FFFD stands for it, by Unicode."""
    with _begun(tmp_path) as it:
        it.wait_for("Nothing runs")
        it.send("note café ".encode("latin-1"))
        it.wait_for("note caf\N{REPLACEMENT CHARACTER}")
        it.send("ζ".encode() + b"\xff")
        it.wait_for("note caf\N{REPLACEMENT CHARACTER} ζ\N{REPLACEMENT CHARACTER}")


def test_a_line_with_such_a_byte_is_shown_back_and_saved_once_it_is_mended(tmp_path: Path) -> None:
    with _begun(tmp_path) as it:
        it.wait_for("Nothing runs")
        it.send("note café".encode("latin-1") + ENTER.encode())
        it.wait_for("A letter did not arrive whole")
        it.wait_for("▸ note caf\N{REPLACEMENT CHARACTER}")
        it.send(b"\x7f" + "é".encode() + ENTER.encode())
        it.wait_for("Kept: note: café")
    with closing(sqlite3.connect(tmp_path / "logbook.db")) as reader:
        assert reader.execute("SELECT text FROM entry").fetchall() == [("note café",)]


def test_another_death_of_the_input_ends_with_words_a_log_and_code_1(tmp_path: Path) -> None:
    """A key whose number is beyond Unicode, which Textual cannot read."""
    with _begun(tmp_path) as it:
        it.wait_for("Nothing runs")
        it.send(b"\x1b[1114112;1u")
        while it.read():
            pass
        assert os.waitstatus_to_exitcode(os.waitpid(it.pid, 0)[1]) == 1
        assert "The program had to stop" in it.raw.decode()
        assert len([*tmp_path.rglob("crash-*.txt")]) == 1
