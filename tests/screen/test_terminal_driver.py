"""What a terminal may send by mistake."""

import os
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
        it.send("ζ".encode() + b"\xff" + ENTER.encode())
        it.wait_for("Kept: note: caf\N{REPLACEMENT CHARACTER} ζ")


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
