"""What the adviser says at one telescope, step by step, and what it makes of contradictions."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from logbook.startest.screws.advice import Advice, Step, amount_words, handy, headline_of, step_line
from logbook.startest.screws.adviser import Night, advise
from logbook.startest.screws.events import Happening, Looked, Turned, Unsettled
from logbook.startest.screws.learner import Learned, learn
from logbook.startest.screws.prior import ScrewPlace, Secondary, usual_radius_arcsec
from logbook.startest.screws.way_back import way_back
from tests.startest.nights import evening
from tests.startest.simulated import NAMES, NIGHT, Conditions, Simulated, telescope
from tests.startest.two_mirror import Array

STEADY = Conditions(hand_share=0.05, look_sigma=0.006)


def known_telescope(seed: int = 11, nights: int = 3) -> tuple[Simulated, Learned]:
    """A telescope after some evenings, carried since, a week ago."""
    simulated = telescope(seed, STEADY)
    learned = Learned(simulated.secondary)
    for _ in range(nights):
        _, learned = evening(simulated, 0.015, learned)
        simulated.carry()
        learned = learn(learned, [Unsettled(simulated.at, "transport", 6.0)])
    return simulated, learned


def advice_at(
    simulated: Simulated, before: Learned, tonight: list[Happening], seeing: float | None = 2.0
) -> Advice:
    sums = tuple(
        Step(name, float(turns)) for name, turns in zip(NAMES, simulated.sums, strict=True)
    )
    return advise(Night(before, tuple(tonight), sums, seeing), simulated.at)


def turned_otherwise(
    simulated: Simulated, logged: tuple[str, float], really: tuple[str, float]
) -> Turned:
    """What gets logged when something else was turned."""
    screw, turns = really
    simulated.offset = simulated.offset + turns * simulated.response[NAMES.index(screw)]
    simulated.at += timedelta(minutes=3)
    return Turned(simulated.at, *logged, entry_id=7)


@pytest.mark.parametrize("seed", range(6))
def test_an_evening_as_advised_ends_inside_what_the_seeing_shows(seed: int) -> None:
    simulated = telescope(900 + seed, STEADY)
    tonight: list[Happening] = []
    for _ in range(40):
        advice = advice_at(simulated, Learned(simulated.secondary), tonight)
        if advice.kind == "stop":
            break
        if advice.step is None:
            tonight.append(simulated.look())
        else:
            tonight.append(simulated.turn(NAMES.index(advice.step.screw), advice.step.turns))
    assert advice.kind == "stop"
    assert advice.limit is not None
    assert np.hypot(*simulated.offset) < 2.0 * advice.limit.total
    assert simulated.turns <= 10
    assert advice.net == pytest.approx(simulated.net)
    assert abs(simulated.net) <= 0.25


def test_every_turn_says_its_reasons_in_numbers() -> None:
    simulated, learned = known_telescope()
    advice = advice_at(simulated, learned, [simulated.look()])
    assert advice.kind == "turn"
    assert advice.step is not None
    assert advice.predicted is not None
    assert advice.now is not None
    assert advice.predicted.fraction < advice.now.fraction
    assert advice.chance_better is not None
    assert advice.chance_better > 0.9
    assert advice.headline == headline_of(advice.step)
    said = " ".join(advice.reasons)
    for words in ("The shadow sits 0.", "radii a turn", "Should leave 0.", "Sum of all", "Seeing"):
        assert words in said


def test_what_is_foretold_comes_true() -> None:
    simulated, learned = known_telescope()
    simulated.conditions = Conditions(hand_share=0.0, look_sigma=0.001)
    advice = advice_at(simulated, learned, [simulated.look()])
    assert advice.step is not None
    assert advice.predicted is not None
    simulated.turn(NAMES.index(advice.step.screw), advice.step.turns)
    angle = np.radians(advice.predicted.angle_deg or 0.0)
    foretold = advice.predicted.fraction * np.array([np.cos(angle), np.sin(angle)])
    assert np.hypot(*(foretold - simulated.offset)) < 3.0 * advice.predicted.sigma


def test_it_probes_what_it_does_not_know() -> None:
    simulated = telescope(3, STEADY)
    advice = advice_at(simulated, Learned(simulated.secondary), [simulated.look()])
    assert advice.kind == "probe"
    assert advice.step is not None
    assert 0.02 < abs(advice.step.turns) <= 0.2
    assert not any(response.known for response in advice.responses)
    assert advice.mirrored == pytest.approx(0.5)


def test_after_the_second_screw_it_knows_whether_the_picture_is_mirrored() -> None:
    for seed in range(5):
        simulated = telescope(seed, STEADY)
        tonight: list[Happening] = [simulated.look()]
        for screw in (0, 1):
            tonight += [simulated.turn(screw, 0.0625), simulated.look()]
        advice = advice_at(simulated, Learned(simulated.secondary), tonight)
        first, second = simulated.response[0], simulated.response[1]
        clockwise = first[0] * second[1] - first[1] * second[0] > 0.0  # A at 12, B at 4
        assert (advice.mirrored < 0.1) == clockwise


def test_it_asks_for_a_look_first() -> None:
    simulated, learned = known_telescope()
    assert advice_at(simulated, Learned(simulated.secondary), []).kind == "look"
    assert "look again" in advice_at(simulated, learned, []).reasons[0]
    looked: list[Happening] = [simulated.look(), simulated.turn(0, 0.0625)]
    advice = advice_at(simulated, learned, looked)
    assert (advice.kind, advice.reasons[0]) == ("look", "A was turned 1/16 turn: look what it did.")
    simulated.at += timedelta(hours=20)
    assert advice_at(simulated, learned, [simulated.look()]).kind == "turn"


def at_offset(simulated: Simulated, fraction: float, looks: int) -> list[Happening]:
    simulated.offset = np.array([fraction, 0.0])
    simulated.conditions = replace(STEADY, look_sigma=1e-6)
    sigma = 0.01 * simulated.radius_arcsec
    return [replace(simulated.look(), sigma_arcsec=sigma) for _ in range(looks)]


def test_near_the_limit_it_looks_twice_more() -> None:
    simulated, learned = known_telescope()
    limit = advice_at(simulated, learned, at_offset(simulated, 0.1, 1)).limit
    assert limit is not None
    again = advice_at(simulated, learned, at_offset(simulated, 0.95 * limit.total, 1))
    assert (again.kind, again.headline, again.looks_wanted) == ("look", "LOOK AGAIN", 2)
    sure = advice_at(simulated, learned, at_offset(simulated, 0.95 * limit.total, 3))
    assert sure.kind == "stop"
    over = advice_at(simulated, learned, at_offset(simulated, 1.2 * limit.total, 3))
    assert over.kind == "turn"


def test_it_stops_at_what_the_seeing_can_show_and_says_so() -> None:
    """A quarter of a 2″ star is 0.5″ of coma, of which the shadow shows 1 − ε²."""
    simulated, learned = known_telescope()
    advice = advice_at(simulated, learned, at_offset(simulated, 0.002, 2))
    assert (advice.kind, advice.headline) == ("stop", "STOP")
    assert advice.limit is not None
    share = 1.0 - simulated.secondary.obstruction_ratio**2
    assert advice.limit.coma_arcsec == 0.5
    assert advice.limit.fraction == pytest.approx(0.5 * share / simulated.radius_arcsec)
    assert "hides 0.50″ of coma" in " ".join(advice.reasons)
    assert "second star" in " ".join(advice.reasons)
    better = advice_at(simulated, learned, at_offset(simulated, 0.02, 3), seeing=0.8)
    assert better.kind == "turn"
    unknown = advice_at(simulated, learned, at_offset(simulated, 0.002, 2), seeing=None)
    assert unknown.limit is not None
    assert "not logged" in unknown.limit.words


CONTRADICTIONS = [
    ("other screw", ("A", 0.125), ("B", 0.125), "B"),
    ("other way", ("A", 0.125), ("A", -0.125), None),
    ("slips", ("A", 0.25), ("A", 0.0), None),
]


@pytest.mark.parametrize(("kind", "logged", "really", "instead"), CONTRADICTIONS)
def test_a_result_that_contradicts_is_asked_about_not_believed(
    kind: str, logged: tuple[str, float], really: tuple[str, float], instead: str | None
) -> None:
    for seed in range(4):
        simulated, learned = known_telescope(seed)
        looked: list[Happening] = [simulated.look()]
        before = advice_at(simulated, learned, looked)
        tonight = [*looked, turned_otherwise(simulated, logged, really), simulated.look()]
        advice = advice_at(simulated, learned, tonight)
        assert advice.kind == "ask"
        doubt = advice.doubts[0]
        assert (doubt.kind, doubt.screw, doubt.instead) == (kind, "A", instead)
        assert doubt.entry_id == 7
        assert doubt.odds > 30.0
        assert doubt.question.endswith("?") or "Look whether" in doubt.question
        for known, still in zip(before.responses, advice.responses, strict=True):
            assert still.arcsec_per_turn == pytest.approx(known.arcsec_per_turn, rel=0.05)
        answered = turned_otherwise(simulated, really, (really[0], 0.0))
        if really[1]:
            told = [*looked, replace(answered, at=tonight[1].at), tonight[2]]
            assert advice_at(simulated, learned, told).doubts == ()


def test_a_doubt_of_an_earlier_night_is_not_brought_up_again() -> None:
    simulated, learned = known_telescope()
    looked: list[Happening] = [simulated.look()]
    turn = turned_otherwise(simulated, ("A", 0.2), ("B", 0.2))
    before = learn(learned, [*looked, turn, simulated.look()])
    assert before.missed
    simulated.at += timedelta(days=5)
    assert advice_at(simulated, before, [simulated.look()]).kind == "turn"


def test_labels_swapped_all_night_are_noticed() -> None:
    simulated, learned = known_telescope()
    simulated.response = simulated.response[[1, 0, 2]]
    tonight: list[Happening] = [simulated.look()]
    for screw, turns in ((0, 0.125), (1, -0.125)):
        tonight += [simulated.turn(screw, turns), simulated.look()]
    advice = advice_at(simulated, learned, tonight)
    assert advice.kind == "ask"
    assert ("labels", "A", "B") in {
        (doubt.kind, doubt.screw, doubt.instead) for doubt in advice.doubts
    }


def test_a_camera_turned_unnoticed_is_asked_about() -> None:
    simulated, learned = known_telescope()
    cos, sin = np.cos(1.9), np.sin(1.9)
    turn: Array = np.array([[cos, -sin], [sin, cos]])
    simulated.response, simulated.offset = simulated.response @ turn.T, turn @ simulated.offset
    tonight: list[Happening] = [simulated.look()]
    for screw, turns in ((0, 0.09), (1, -0.09), (2, 0.09)):
        tonight += [simulated.turn(screw, turns), simulated.look()]
    advice = advice_at(simulated, learned, tonight)
    assert "camera" in {doubt.kind for doubt in advice.doubts}


def test_a_knock_is_told_from_a_wrong_screw() -> None:
    simulated, learned = known_telescope()
    looked: list[Happening] = [simulated.look(), simulated.turn(0, 0.03)]
    simulated.offset = simulated.offset + np.array([0.31, 0.33])
    advice = advice_at(simulated, learned, [*looked, simulated.look()])
    assert advice.doubts[0].kind == "moved"
    assert "knocked" in advice.doubts[0].question


def test_a_turn_that_made_it_worse_against_all_expectation_is_to_be_put_back() -> None:
    simulated, learned = known_telescope()
    outward = int(np.argmax(simulated.response @ simulated.offset))
    tonight: list[Happening] = [simulated.look()]
    turn = turned_otherwise(simulated, (NAMES[outward], -0.12), (NAMES[outward], 0.12))
    advice = advice_at(simulated, learned, [*tonight, turn, simulated.look()])
    assert advice.put_back == Step(NAMES[outward], 0.12)
    assert "put it back" in advice.reasons[1]


def test_a_turned_camera_keeps_the_size_of_the_answers_and_forgets_their_direction() -> None:
    simulated, learned = known_telescope()
    before = advice_at(simulated, learned, [simulated.look()])
    turned = Unsettled(simulated.at, "camera", camera=True)
    advice = advice_at(simulated, learned, [turned, simulated.look()])
    assert all(response.known for response in before.responses)
    assert not any(response.known for response in advice.responses)
    assert advice.kind == "probe"
    tonight: list[Happening] = [turned, simulated.look()]
    tonight += [simulated.turn(0, 0.125), simulated.look()]
    after = advice_at(simulated, learned, tonight)
    truth = float(np.hypot(*simulated.response[0]))
    assert after.responses[0].radii_per_turn == pytest.approx(truth, rel=0.25)


def test_what_was_learned_fades_with_the_years() -> None:
    simulated, learned = known_telescope()
    fresh = advice_at(simulated, learned, [simulated.look()])
    simulated.at += timedelta(days=3 * 365)
    old = advice_at(simulated, learned, [simulated.look()])
    for sooner, later in zip(fresh.responses, old.responses, strict=True):
        assert later.sigma_share > 2.0 * sooner.sigma_share


def test_looks_at_another_defocus_are_joined() -> None:
    """The shift on the sky is the same; its fraction of a larger disc is smaller."""
    simulated, learned = known_telescope()
    near, far = simulated.look(), simulated.look()
    far = replace(far, radius_arcsec=2.5 * far.radius_arcsec)
    advice = advice_at(simulated, learned, [near, far])
    assert advice.now is not None
    off = float(np.hypot(*simulated.offset))
    assert advice.now.fraction == pytest.approx(off / 2.5, abs=0.01)


def test_a_look_without_a_direction_works() -> None:
    simulated, learned = known_telescope()
    radius = simulated.radius_arcsec
    centred = Looked(simulated.at, 0.0, 0.0, 0.01 * radius, radius, "camera")
    advice = advice_at(simulated, learned, [centred])
    assert advice.now is not None
    assert advice.now.fraction < 0.01
    assert advice.now.angle_deg is None


def test_looks_by_eye_and_by_camera_both_serve() -> None:
    simulated, learned = known_telescope()
    eye = replace(simulated.look(), orientation="eye", sigma_arcsec=0.04 * simulated.radius_arcsec)
    assert advice_at(simulated, learned, [eye]).kind == "probe"
    assert advice_at(simulated, learned, [eye, simulated.look()]).kind == "turn"


def test_a_second_way_of_looking_before_anything_was_turned() -> None:
    simulated = telescope(3, STEADY)
    eye = replace(simulated.look(), orientation="eye")
    advice = advice_at(simulated, Learned(simulated.secondary), [eye, simulated.look()])
    assert advice.kind == "probe"
    assert advice.now is not None
    assert advice.now.fraction == pytest.approx(np.hypot(*simulated.offset), abs=0.03)


@pytest.mark.parametrize("hours", [(12.0, 6.0), (12.0, 12.0), (12.0, 12.0, 12.0), (1.0, 2.0, 3.0)])
def test_screws_in_odd_places_break_nothing(hours: tuple[float, ...]) -> None:
    screws = tuple(ScrewPlace(name, hour) for name, hour in zip("ABC", hours, strict=False))
    secondary = Secondary(screws, 200.0, 1600.0)
    radius = usual_radius_arcsec(secondary)
    tonight: list[Happening] = []
    for minute, screw in enumerate("ABAB"):
        at = NIGHT + timedelta(minutes=2 * minute)
        tonight.append(Looked(at, 0.1 * radius, 0.02 * minute * radius, 0.1, radius, "camera"))
        tonight.append(Turned(at + timedelta(minutes=1), screw, 0.05))
    tonight.append(Looked(NIGHT + timedelta(hours=1), radius * 0.1, 0.0, 0.1, radius, "camera"))
    advice = advise(Night(Learned(secondary), tuple(tonight)), NIGHT + timedelta(hours=1))
    assert advice.kind in ("turn", "probe", "look", "ask")
    assert advice.now is not None
    assert np.isfinite(advice.now.sigma)


def test_the_sum_of_all_turns_is_kept_within_a_quarter_even_from_its_edge() -> None:
    simulated, learned = known_telescope()
    for net in (0.24, -0.24, 0.6):
        simulated.sums = np.array([net, 0.0, 0.0])
        advice = advice_at(simulated, learned, [simulated.look()])
        assert advice.step is not None
        assert abs(net + advice.step.turns) <= max(0.25, abs(net))


def test_a_screw_far_loosened_is_warned_about() -> None:
    simulated, learned = known_telescope()
    simulated.sums = np.array([-0.6, -0.6, -0.6])
    found = False
    for _ in range(30):
        simulated.carry()
        learned = learn(learned, [Unsettled(simulated.at, "transport", 6.0)])
        advice = advice_at(simulated, learned, [simulated.look()])
        assert advice.step is not None
        if advice.step.turns < 0:
            found = True
            assert "may come free" in advice.cautions[0]
            assert "hand under the cell" in advice.cautions[0]
    assert found or simulated.sums.sum() < -0.25  # far below 0 only tightening is left


def test_a_turn_of_a_screw_no_longer_named_calls_for_a_look() -> None:
    simulated, learned = known_telescope()
    tonight: list[Happening] = [simulated.look(), Turned(simulated.at, "old X", 0.125)]
    advice = advice_at(simulated, learned, tonight)
    assert advice.kind == "look"
    assert "old X turned" in advice.reasons[0]


def test_how_a_screw_is_held_is_said() -> None:
    simulated, learned = known_telescope()
    screws = tuple(
        replace(screw, lock_kind=kind)
        for screw, kind in zip(simulated.secondary.screws, ("push-pull",) * 3, strict=True)
    )
    learned = replace(learned, secondary=replace(simulated.secondary, screws=screws))
    advice = advice_at(simulated, learned, [simulated.look()])
    assert any("push-pull" in caution for caution in advice.cautions)


def test_no_advice_without_named_screws() -> None:
    advice = advise(Night(Learned(Secondary(()))), NIGHT)
    assert advice.kind == "none"
    assert "Name the outer screws" in advice.reasons[0]


def test_four_screws_work_too() -> None:
    screws = tuple(ScrewPlace(name, hour) for name, hour in zip("ABCD", (12, 3, 6, 9), strict=True))
    secondary = Secondary(screws, 200.0, 1600.0)
    radius = usual_radius_arcsec(secondary)
    look = Looked(NIGHT, 0.1 * radius, 0.0, 0.005 * radius, radius, "camera")
    advice = advise(Night(Learned(secondary), (look,)), NIGHT)
    assert advice.kind == "probe"
    assert len(advice.responses) == 4


def test_the_way_back_is_told_turn_by_turn_with_its_cost() -> None:
    now = {"A": 0.4, "B": -0.125, "C": 0.0}
    back = way_back(now, {}, "the start")
    assert {step.screw for step in back.steps} == {"A", "B"}
    assert sum(step.turns for step in back.steps if step.screw == "A") == pytest.approx(-0.4)
    assert max(abs(step.turns) for step in back.steps) <= 0.25
    assert back.turns == pytest.approx(0.525)
    assert len(back.steps) == 3
    assert back.words.startswith("Back to the start: 3 turns, 0.53 of a turn in all")
    earlier = way_back(now, {"A": 0.4, "B": 0.0}, "the look of 21:10")
    assert [(step.screw, step.turns) for step in earlier.steps] == [("B", 0.125)]
    assert way_back({"A": 0.0}, {}, "the start").steps == ()


def test_turns_are_what_a_hand_can_do_and_the_entry_line_reads() -> None:
    assert handy(0.0640) == 1 / 16
    assert handy(-0.1201) == -0.125
    assert handy(0.0755) == pytest.approx(4.5 / 60)
    assert handy(0.001) == pytest.approx(0.5 / 60)
    assert amount_words(1 / 16) == "1/16 turn"
    assert amount_words(4.5 / 60) == "4.5 min (27°)"
    assert step_line(Step("B", 4.5 / 60)) == "turn B tighten 4.5 min"
    assert step_line(Step("C", -0.1875)) == "turn C loosen 3/16"
