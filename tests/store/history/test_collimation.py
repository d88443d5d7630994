"""Looking back on a telescope's collimation, and advice from what the book holds.

The evenings are simulated with screws a third of a turn of the tube apart that pull the shadow by
1.05 radii a turn, the worked 203 mm f/8 with 0.7 mm of pitch on a 20 mm circle.
"""

from datetime import date, timedelta

import numpy as np
import pytest

from logbook.entryline.understand import Surroundings, understand
from logbook.errors import NotFound
from logbook.kit.parts.part import Part
from logbook.records.entries import NewEntry, NightRecord, Screw, ScrewSum, StarLook, TrainRecord
from logbook.startest.screws.advice import step_line
from logbook.store.book import Book
from logbook.store.screw_advice import advice_for, way_back_to
from tests.clock import Clock

SCREWS = (Screw("A", 12.0), Screw("B", 4.0), Screw("C", 8.0))
PULLS = dict(zip("ABC", 1.05 * np.array([[0.0, -1.0], [0.87, 0.5], [-0.87, 0.5]]), strict=True))


class Evening:
    """A user at the telescope: looks, turns, and all of it typed into the book."""

    def __init__(self, book: Book, clock: Clock, night: NightRecord, telescope: int) -> None:
        self.book, self.clock, self.night, self.telescope = book, clock, night, telescope
        self.offset = np.array([0.12, 0.09])
        self.rng = np.random.default_rng(5)

    def keep(self, text: str) -> int:
        self.clock.forward(minutes=2)
        around = Surroundings(
            self.clock.now,
            self.night.site.time_zone,
            self.night.local_date,
            screws=SCREWS,
            parts=("Long Tube",),
            last_turns=self.book.timeline.turns(self.telescope),
        )
        understood = understand(text, around)
        assert understood.entry is not None, understood.problem
        return self.book.timeline.keep(self.night.id, understood.entry).id

    def turn(self, screw: str, turns: float, *, really: str | None = None) -> int:
        self.offset = self.offset + turns * PULLS[really or screw]
        return self.keep(f"turn {screw} {'tighten' if turns > 0 else 'loosen'} {abs(turns):.5f}")

    def look(self) -> int:
        """A picture measured, ± 0.005."""
        self.clock.forward(minutes=1)
        x, y = self.offset + 0.005 * self.rng.normal(size=2)
        angle_deg = float(np.degrees(np.arctan2(y, x)) % 360.0)
        look = StarLook(float(np.hypot(x, y)), angle_deg, 0.005, way="picture")
        entry = NewEntry("star", self.clock.now, "picture", look=look)
        return self.book.timeline.keep(self.night.id, entry).id


@pytest.fixture
def telescope(book: Book, train: TrainRecord) -> int:
    part = Part("Long Tube", "telescope")
    for quantity, value in (
        ("aperture_mm", 203.0),
        ("focal_length_mm", 1624.0),
        ("primary_focal_length_mm", 609.0),
        ("obstruction_mm", 68.4),
        ("screw_pitch_mm", 0.7),
        ("screw_circle_radius_mm", 20.0),
    ):
        part = part.with_number(quantity, value)
    telescope_id = train.part_ids[0]
    book.kit.revise_part(telescope_id, part)
    book.kit.set_screws(telescope_id, SCREWS)
    return telescope_id


@pytest.fixture
def evening(book: Book, clock: Clock, night: NightRecord, telescope: int) -> Evening:
    return Evening(book, clock, night, telescope)


def test_an_evening_as_advised_ends_with_stop(evening: Evening) -> None:
    evening.keep('seeing 2.0"')
    for _ in range(25):
        advice = advice_for(evening.book, evening.telescope, evening.clock.now)
        if advice.kind == "stop":
            break
        if advice.step is None:
            evening.look()
            continue
        evening.offset = evening.offset + advice.step.turns * PULLS[advice.step.screw]
        evening.keep(step_line(advice.step))
    assert advice.kind == "stop"
    assert advice.limit is not None
    assert (advice.limit.seeing_arcsec, advice.limit.seeing_known) == (2.0, True)
    assert np.hypot(*evening.offset) < 2.0 * advice.limit.total
    assert len(evening.book.timeline.turns(evening.telescope)) <= 8
    assert advice.way_back is not None
    total = sum(abs(each.turns) for each in evening.book.timeline.screw_sums(evening.telescope))
    assert advice.way_back.turns == pytest.approx(total, abs=0.01)


def test_advice_on_an_empty_book_asks_for_a_look(book: Book, clock: Clock, telescope: int) -> None:
    assert advice_for(book, telescope, clock.now).kind == "look"
    bare = book.kit.add_part(Part("Bare tube", "telescope"))
    assert advice_for(book, bare.id, clock.now).kind == "none"


def test_a_doubted_turn_is_answered_by_correcting_it(evening: Evening) -> None:
    evening.look()
    for screw, turns in (("A", 0.1), ("B", -0.1), ("C", 0.1), ("A", -0.1)):
        evening.turn(screw, turns)
        evening.look()
    wrong = evening.turn("B", 0.125, really="C")
    evening.look()
    advice = advice_for(evening.book, evening.telescope, evening.clock.now)
    assert advice.kind == "ask"
    assert (advice.doubts[0].entry_id, advice.doubts[0].instead) == (wrong, "C")
    old = evening.book.timeline.get(wrong).content
    around = Surroundings(old.happened_utc, "UTC", evening.night.local_date, screws=SCREWS)
    corrected = understand("turn C tighten 0.125", around).entry
    assert corrected is not None
    evening.book.timeline.correct(wrong, corrected)
    after = advice_for(evening.book, evening.telescope, evening.clock.now)
    assert after.doubts == ()


def test_a_withdrawn_look_is_not_learned_from(evening: Evening) -> None:
    look = evening.look()
    evening.book.timeline.withdraw(look)
    assert advice_for(evening.book, evening.telescope, evening.clock.now).kind == "look"


def test_a_carried_telescope_is_looked_at_again(evening: Evening) -> None:
    evening.look()
    evening.keep("knocked the tube")
    advice = advice_for(evening.book, evening.telescope, evening.clock.now)
    assert advice.kind == "look"
    assert "since the last look" in advice.reasons[0]


def test_a_turned_camera_begins_a_new_orientation(evening: Evening) -> None:
    evening.look()
    for screw in ("A", "B"):
        evening.turn(screw, 0.1)
        evening.look()
    known = advice_for(evening.book, evening.telescope, evening.clock.now)
    assert all(response.known for response in known.responses)
    evening.keep("camera turned 90 deg")
    evening.look()
    turned = advice_for(evening.book, evening.telescope, evening.clock.now)
    assert not any(response.known for response in turned.responses)


def test_the_history_holds_all_that_has_to_do_with_it(evening: Evening) -> None:
    texts = (
        "seeing 3/5",
        "check round on Vega",
        "tilt plate B in 1/8",
        "upkeep Long Tube: mirror washed",
        "transport home",
        "note cold",
    )
    for text in texts:
        evening.keep(text)
    evening.turn("A", 0.125)
    evening.look()
    found = [each.content.kind for each in evening.book.collimation.history(evening.telescope)]
    assert found == ["check", "adjust", "upkeep", "transport", "turn", "star"]
    newest = evening.book.collimation.history(evening.telescope, limit=2)
    assert [each.content.kind for each in newest] == ["turn", "star"]


def test_every_state_can_be_gone_back_to(evening: Evening) -> None:
    evening.look()
    evening.turn("A", 0.125)
    evening.look()
    second = evening.look()
    evening.turn("B", -0.0625)
    evening.look()
    states = evening.book.collimation.states(evening.telescope)
    assert [[each.turns for each in state.sums] for state in states] == [
        [0.125, -0.0625, 0.0],
        [0.125, 0.0, 0.0],
        [0.0, 0.0, 0.0],
        [0.0, 0.0, 0.0],
    ]
    assert states[1].entry_id == second
    assert states[0].sums[0] == ScrewSum("A", 0.125, 1)
    assert states[-1].label == "the start"
    back = way_back_to(evening.book, evening.telescope, states[1])
    assert [(step.screw, step.turns) for step in back.steps] == [("B", 0.0625)]
    to_start = way_back_to(evening.book, evening.telescope, states[-1])
    assert "2 turns, 0.19 of a turn in all" in to_start.words


def test_a_point_a_night_and_how_long_it_holds(
    book: Book, clock: Clock, evening: Evening, train: TrainRecord
) -> None:
    evening.keep("air 4.0")
    evening.look()
    evening.turn("A", 0.0625)
    evening.look()
    evening.keep("transport home")
    first = evening.night
    points = []
    for days in (3, 7):
        clock.now = first.started_utc + timedelta(days=days)
        night = book.nights.start(first.site_id, train.id, "R. Quill", clock.now)
        evening.night = night
        evening.offset = np.array([0.2, 0.0]) if days == 3 else np.array([0.1, 0.0])
        evening.look()
        if days == 3:
            evening.turn("B", 0.0625)
            evening.offset = np.array([0.05, 0.0])
            evening.look()
    points = list(book.collimation.offsets(evening.telescope))
    assert [point.local_date for point in points] == [
        date(2025, 10, 4),
        date(2025, 10, 7),
        date(2025, 10, 11),
    ]
    assert [point.turns for point in points] == [1, 1, 0]
    assert points[0].air_temperature_c == 4.0
    assert points[1].events == ("transport home",)
    assert [(point.carried, point.upset) for point in points] == [
        (False, False),
        (True, True),
        (False, False),
    ]
    assert points[1].first == pytest.approx(0.2, abs=0.02)
    assert points[1].last == pytest.approx(0.05, abs=0.02)
    holds = book.collimation.holds(evening.telescope)
    assert (holds.nights_between, holds.days_between, holds.nights) == (1.0, 3.0, 3)
    assert holds.grown == pytest.approx(0.05, abs=0.02)
    assert holds.grown_after_transport == pytest.approx(0.2 - points[0].last, abs=0.02)
    assert holds.transports == 1


def test_a_telescope_never_looked_through_has_no_history(book: Book, telescope: int) -> None:
    assert book.collimation.history(telescope) == ()
    assert book.collimation.offsets(telescope) == ()
    assert [state.label for state in book.collimation.states(telescope)] == ["the start"]
    holds = book.collimation.holds(telescope)
    assert (holds.grown, holds.nights_between, holds.nights) == (None, None, 0)


def test_upkeep_shakes_what_it_must(evening: Evening) -> None:
    """Washing the primary moves the offset; a new screw changes how that screw answers."""
    evening.look()
    for screw in ("A", "B", "C"):
        evening.turn(screw, 0.1)
        evening.look()
    before = advice_for(evening.book, evening.telescope, evening.clock.now)
    evening.keep("upkeep Long Tube: grub screw of B replaced")
    evening.look()
    after = advice_for(evening.book, evening.telescope, evening.clock.now)
    shares = [
        each.sigma_share / old.sigma_share
        for each, old in zip(after.responses, before.responses, strict=True)
    ]
    assert shares[1] > 1.3
    assert shares[0] == pytest.approx(1.0, abs=0.05)
    assert shares[2] == pytest.approx(1.0, abs=0.05)


def test_advice_on_a_telescope_that_is_not_there_is_refused(book: Book, clock: Clock) -> None:
    with pytest.raises(NotFound):
        advice_for(book, 999, clock.now)
