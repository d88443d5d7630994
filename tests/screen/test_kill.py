"""Acknowledged means on disk: the real program is killed while somebody types.

`python -m tests.screen.killing` does the same a thousand times.
"""

from pathlib import Path

import pytest

from tests.screen.killing import book_with_a_night, kill_once
from tests.screen.terminal import Terminal, quiet_environment


# Two batches, so that two cores share them.
@pytest.mark.parametrize("first", [0, 100])
def test_a_killed_program_loses_nothing_it_said_it_kept(tmp_path: Path, first: int) -> None:
    """By three signals, at any moment; how far a draft lags is timed, so only printed."""
    path = book_with_a_night(tmp_path)
    deaths = [kill_once(path, tmp_path, first + each) for each in range(8)]
    assert len({death.how for death in deaths}) == 3
    assert sum(death.acknowledged for death in deaths) > 0
    for death in deaths:
        assert (death.lost, death.unsound) == ((), "")


def test_half_typed_words_are_back_after_a_kill(tmp_path: Path) -> None:
    book_path = book_with_a_night(tmp_path)
    environment = quiet_environment(tmp_path)
    with Terminal(["-m", "logbook", "--book", str(book_path)], environment=environment) as it:
        it.wait_for("Hollow Edge")
        it.press("note the wind is ris")
        it.wait_for("the wind is ris")
        for _ in range(40):  # a little over the 0.3 s that a draft may lag behind
            it.read(0.02)
        it.kill()
    with Terminal(["-m", "logbook", "--book", str(book_path)], environment=environment) as it:
        it.wait_for("note the wind is ris")
