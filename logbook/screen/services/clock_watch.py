"""Noticing that the clock did not just go on: the laptop slept, or somebody set its clock."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from logbook.screen.services.services import duration_words

_UNNOTICED = timedelta(minutes=2)


@dataclass
class ClockWatch:
    """Compares the clock with one that nobody can set and that stands still in sleep."""

    clock: Callable[[], datetime]
    steady_s: Callable[[], float] = time.monotonic
    _last: tuple[datetime, float] | None = None

    def look(self) -> str:
        """What became of the clock since the last look, and what to do; "" if it just went on."""
        now, steady = self.clock(), self.steady_s()
        before, self._last = self._last, (now, steady)
        if before is None:
            return ""
        leapt = (now - before[0]) - timedelta(seconds=steady - before[1])
        if abs(leapt) < _UNNOTICED:
            return ""
        if leapt < timedelta(0):
            return (
                f"The clock was set back by {duration_words(-leapt)}. What was kept keeps its "
                "times; new entries come before it until the clock has caught up."
            )
        return (
            f"The clock went on by {duration_words(leapt)} at once: the laptop slept, or its clock "
            "was set. Nothing is lost; `at 23:40 ...` logs what happened meanwhile."
        )
