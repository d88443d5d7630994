"""Adding, correcting, taking out, undoing and redoing, held against a plain changeable list.

The list is what anybody would write who may forget: it changes lines in place and keeps a stack of
what to put back. The book may only add rows, finds its stacks in them, and is opened anew in
between; both must show the same lines at every step.
"""

import copy
import shutil
import tempfile
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
)

from logbook.sky.place import Site
from logbook.store.book import Book
from logbook.store.opening import make_book, open_book
from logbook.store.records import Frames, NewEntry, TargetCopy, Turn
from tests.store.clock import EVENING, Clock

TEXTS = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S")), min_size=1)
MINUTES = st.integers(0, 300)
TARGET = TargetCopy("test 7", "Test Cloud", "nebula", 10.0, 20.0)


@st.composite
def entries(draw: st.DrawFn) -> NewEntry:
    happened = EVENING + timedelta(minutes=draw(MINUTES))
    kind = draw(st.sampled_from(("note", "reading", "frames", "turn", "object")))
    text = draw(TEXTS.map(lambda text: text[:40]))
    readings = (("air_temperature_c", float(draw(st.integers(-20, 30)))),)
    frames = Frames(draw(st.integers(0, 500)), 180.0, filter_name="Ha")
    turn = Turn("A", draw(st.sampled_from((-0.25, 0.125, 0.5))))
    return NewEntry(
        kind,
        happened,
        text,
        action="start" if kind == "object" else None,
        target=TARGET if kind in ("object", "frames") else None,
        readings=readings if kind in ("reading", "frames") else (),
        frames=frames if kind == "frames" else None,
        turn=turn if kind == "turn" else None,
    )


@dataclass
class Line:
    """A line of the plain list: what it holds, or None when it was taken out."""

    content: NewEntry | None


class PlainList:
    """A timeline that forgets: the reference."""

    def __init__(self) -> None:
        self.lines: list[Line] = []
        self.before: list[list[Line]] = []
        self.after: list[list[Line]] = []

    def act(self) -> None:
        self.before.append(copy.deepcopy(self.lines))
        self.after.clear()

    def undo(self) -> bool:
        if not self.before:
            return False
        self.after.append(self.lines)
        self.lines = self.before.pop()
        return True

    def redo(self) -> bool:
        if not self.after:
            return False
        self.before.append(self.lines)
        self.lines = self.after.pop()
        return True

    def shown(self) -> list[NewEntry]:
        return [line.content for line in self.lines if line.content is not None]


def in_order(contents: list[NewEntry]) -> list[NewEntry]:
    return sorted(contents, key=lambda each: (each.happened_utc, repr(each)))


class Histories(RuleBasedStateMachine):
    template: Path

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(shutil.copyfile(self.template, Path(self.folder.name) / "night.db"))
        self.clock = Clock()
        self.book: Book = open_book(self.path, clock=self.clock)
        self.plain = PlainList()
        self.tips: list[int] = []  # of each line: any version of it, found again by its history
        self.rows = 0

    @initialize()
    def start(self) -> None:
        site = self.book.sites.add(Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna"))
        self.night = self.book.nights.start(site.id, None, "", EVENING).id

    def tip(self, index: int) -> int:
        return self.book.timeline.history(self.tips[index])[-1].id

    def standing(self) -> list[int]:
        """Places in the plain list of the lines that are shown."""
        return [place for place, line in enumerate(self.plain.lines) if line.content is not None]

    @rule(entry=entries())
    def add(self, entry: NewEntry) -> None:
        self.clock.forward(seconds=2)  # a turn kept twice at once is refused
        kept = self.book.timeline.keep(self.night, entry)
        self.plain.act()
        self.plain.lines.append(Line(kept.content))
        del self.tips[len(self.plain.lines) - 1 :]
        self.tips.append(kept.id)

    @precondition(lambda self: bool(self.standing()))
    @rule(data=st.data(), entry=entries())
    def correct(self, data: st.DataObject, entry: NewEntry) -> None:
        place = data.draw(st.sampled_from(self.standing()))
        kept = self.book.timeline.correct(self.tip(place), entry)
        self.plain.act()
        self.plain.lines[place] = Line(kept.content)

    @precondition(lambda self: bool(self.standing()))
    @rule(data=st.data())
    def withdraw(self, data: st.DataObject) -> None:
        place = data.draw(st.sampled_from(self.standing()))
        self.book.timeline.withdraw(self.tip(place))
        self.plain.act()
        self.plain.lines[place] = Line(None)

    @rule()
    def undo(self) -> None:
        assert (self.book.timeline.undo(self.night) is not None) == self.plain.undo()

    @rule()
    def redo(self) -> None:
        assert (self.book.timeline.redo(self.night) is not None) == self.plain.redo()

    @rule()
    def start_the_program_again(self) -> None:
        self.book.close()
        self.book = open_book(self.path, clock=self.clock)

    @invariant()
    def both_show_the_same(self) -> None:
        if hasattr(self, "night"):
            shown = [each.content for each in self.book.timeline.of_night(self.night)]
            assert in_order(shown) == in_order(self.plain.shown())
            assert [each.happened_utc for each in shown] == sorted(
                each.happened_utc for each in shown
            )

    @invariant()
    def nothing_is_ever_lost(self) -> None:
        with self.book._sessions.reading() as session:
            count = session.connection().exec_driver_sql("SELECT count(*) FROM entry").scalar()
        assert count is not None
        assert count >= self.rows
        self.rows = count

    def teardown(self) -> None:
        self.book.close()
        self.folder.cleanup()


def test_any_history_shows_what_a_plain_list_would(tmp_path: Path) -> None:
    template = make_book(tmp_path / "empty.db")

    class WithTemplate(Histories):
        pass

    WithTemplate.template = template
    case = WithTemplate.TestCase
    case.settings = settings(
        max_examples=25,
        stateful_step_count=20,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    case("runTest").debug()
