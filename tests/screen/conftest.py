"""Screen tests wait for no clock: a key counts the same however fast or slow the machine is."""

from math import inf

import pytest


@pytest.fixture(autouse=True)
def every_enter_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    """No Enter comes too soon, but where a test says so; programs in a terminal keep the rule."""
    monkeypatch.setattr("logbook.screen.widgets.unseen.BOUNCE_S", -inf)
