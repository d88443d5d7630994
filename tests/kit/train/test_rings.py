"""The ring finder against trying out every set, and its place in a train."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.errors import BadInput
from logbook.kit.parts.part import Part, Placement, Train
from logbook.kit.parts.threads import MATES, Thread, fit, read_thread
from logbook.kit.train.ring_sets import MOST_RINGS, Ring, nearest_sets
from logbook.kit.train.rings import find_rings
from tests.kit.made import CAMERA, FOCUSER, REDUCER, TUBE, part, ring

LENGTHS = st.floats(0.1, 60.0).map(lambda length: round(length, 2))
SHELVES = st.lists(LENGTHS, max_size=9).map(
    lambda lengths: [Ring(f"{place}", length) for place, length in enumerate(lengths)]
)
ENDS = st.sampled_from(["M42x0.75", "M48x0.75", "M54x0.75"])


def every_set(rings: Sequence[Ring]) -> Iterator[tuple[Ring, ...]]:
    """All subsets, by the standard library."""
    for count in range(len(rings) + 1):
        yield from combinations(rings, count)


def best_by_brute_force(
    sets: Iterator[tuple[Ring, ...]], wanted_mm: float, most: int
) -> list[tuple[float, int]]:
    """(length, fewest rings) of the nearest lengths: off by least, then fewest rings, shortest."""
    fewest: dict[int, int] = {}
    for chosen in sets:
        total = sum(round(each.length_mm * 10_000) for each in chosen)
        fewest[total] = min(len(chosen), fewest.get(total, len(chosen)))
    target = round(wanted_mm * 10_000)
    ranked = sorted(fewest.items(), key=lambda each: (abs(each[0] - target), each[1], each[0]))
    return [(total / 10_000, count) for total, count in ranked[:most]]


@given(rings=SHELVES, wanted_mm=st.floats(0.0, 250.0), most=st.integers(1, 6))
def test_it_finds_what_trying_every_set_finds(
    rings: list[Ring], wanted_mm: float, most: int
) -> None:
    found = nearest_sets(rings, wanted_mm, most=most)
    shown = [(each.length_mm, len(each.rings)) for each in found]
    assert shown == best_by_brute_force(every_set(rings), wanted_mm, most)
    lengths = {each.name: each.length_mm for each in rings}
    for each in found:
        assert len(set(each.rings)) == len(each.rings)
        assert sum(lengths[name] for name in each.rings) == pytest.approx(each.length_mm)
        assert each.off_mm == pytest.approx(each.length_mm - wanted_mm, abs=1e-4)


def chain(chosen: tuple[Ring, ...], above: Thread, below: Thread) -> bool:
    """Whether a set can be screwed together in any order, by trying every order."""
    return any(_mates(order, above, below) for order in permutations(chosen))


def _mates(order: tuple[Ring, ...], above: Thread, below: Thread) -> bool:
    ends = [above]
    for each in order:
        if fit(ends[-1], each.sky).verdict != MATES or each.eye is None:
            return False
        ends.append(each.eye)
    return fit(ends[-1], below).verdict == MATES


@st.composite
def threaded_rings(draw: st.DrawFn) -> list[Ring]:
    count = draw(st.integers(0, 5))
    gender = st.sampled_from(["male", "female"])
    return [
        Ring(
            f"{place}",
            draw(LENGTHS),
            read_thread(f"{draw(ENDS)} {draw(gender)}"),
            read_thread(f"{draw(ENDS)} {draw(gender)}"),
        )
        for place in range(count)
    ]


@settings(max_examples=150)
@given(
    rings=threaded_rings(),
    above=ENDS,
    below=ENDS,
    wanted_mm=st.floats(0.0, 150.0),
)
def test_sets_that_screw_together_are_those_of_trying_every_order(
    rings: list[Ring], above: str, below: str, wanted_mm: float
) -> None:
    first, last = read_thread(f"{above} female"), read_thread(f"{below} male")
    found = nearest_sets(rings, wanted_mm, between=(first, last))
    fitting = (chosen for chosen in every_set(rings) if chain(chosen, first, last))
    shown = [(each.length_mm, len(each.rings)) for each in found]
    assert shown == best_by_brute_force(fitting, wanted_mm, 5)
    by_name = {each.name: each for each in rings}
    for each in found:
        assert _mates(tuple(by_name[name] for name in each.rings), first, last)


def test_ties_go_to_the_fewest_rings() -> None:
    rings = [Ring("10", 10.0), Ring("15", 15.0), Ring("25", 25.0)]
    assert nearest_sets(rings, 25.0)[0].rings == ("25",)
    assert nearest_sets(rings, 12.5)[0].rings == ("10",), "as near: the shorter one"


def test_sums_are_exact() -> None:
    """0.1 + 0.2 is 0.3: lengths are summed as whole tenths of a micrometre."""
    found = nearest_sets([Ring("a", 0.1), Ring("b", 0.2), Ring("c", 0.3)], 0.3, tolerance_mm=0.0)
    assert found[0].off_mm == 0.0
    assert found[0].within_tolerance
    assert found[0].rings == ("c",)


def test_too_many_rings_are_refused_with_words() -> None:
    with pytest.raises(BadInput, match="at most"):
        nearest_sets([Ring(f"{n}", 1.0) for n in range(MOST_RINGS + 1)], 5.0)


# In a train


def test_the_wanted_length_is_what_the_others_leave() -> None:
    """160 - 80 (focuser) - 17.5 (camera) + 1.0224 (3 mm of glass, index 1.517) = 63.5224 mm,
    less half the focuser's 40 mm of travel: 43.5224."""
    glass = part("Ha", "filter", thickness_mm=3, refractive_index=1.517)
    train = Train("native", "camera", (TUBE, FOCUSER, ring(40), glass, CAMERA))
    shelf = [*train.parts, ring(3.5, "Thin"), ring(25)]
    found = find_rings(train, shelf, threads=True)
    assert found.wanted_mm == pytest.approx(43.5224, abs=1e-4)
    assert found.glass_mm == pytest.approx(1.0224, abs=1e-4)
    assert found.place_after == "Focuser"
    assert set(found.answers[0].rings) == {"Ring 40", "Thin"}
    assert found.answers[0].within_tolerance
    assert found.answers[0].fits_threads
    assert found.buy_mm is None
    assert "half its travel" in found.words


def test_a_focuser_that_is_set_stays_where_it_is() -> None:
    train = Train(
        "native", "camera", (TUBE, FOCUSER, CAMERA), placements=(Placement("Focuser", 12.5),)
    )
    found = find_rings(train, [ring(40), ring(10)])
    assert found.wanted_mm == pytest.approx(160 - 80 - 12.5 - 17.5)
    assert set(found.answers[0].rings) == {"Ring 40", "Ring 10"}


def test_rings_count_from_the_reducer_where_there_is_one() -> None:
    train = Train("reduced", "camera", (TUBE, FOCUSER, ring(30), REDUCER, CAMERA))
    found = find_rings(train, [ring(30), ring(60), ring(8)])
    assert found.wanted_mm == pytest.approx(85 - 17.5)
    assert found.place_after == "Reducer"
    assert set(found.answers[0].rings) == {"Ring 60", "Ring 8"}, "the ring before it stays there"


def test_what_would_have_to_be_bought_is_said() -> None:
    train = Train("reduced", "camera", (TUBE, FOCUSER, REDUCER, CAMERA))
    found = find_rings(train, [ring(60)])
    assert found.buy_mm == pytest.approx(7.5)
    assert found.buy_with == ("Ring 60",)
    assert "to buy: 7.5 mm to go with Ring 60" in found.words


def test_lent_rings_and_rings_of_unknown_length_are_left_out() -> None:
    train = Train("reduced", "camera", (TUBE, FOCUSER, REDUCER, CAMERA))
    lent = replace(ring(67.5), state="lent")
    bare = part("Bare", "extension ring")
    assert find_rings(train, [lent, bare, ring(60)]).answers[0].rings == ("Ring 60",)


@pytest.mark.parametrize(
    ("parts", "kind", "words"),
    [
        ((TUBE,), "camera", "no place for rings"),
        ((part("Bare", "telescope"), CAMERA), "camera", "back focus"),
        ((TUBE, part("F", "focuser"), CAMERA), "camera", "length of F is not known"),
        ((TUBE, ring(150), part("W", "adapter", optical_length_mm=170), CAMERA), "camera",
         "too long without any ring"),
        ((TUBE, FOCUSER, part("E", "eyepiece")), "visual", "ends at an eye"),
    ],
)  # fmt: skip
def test_what_cannot_be_found_is_refused_with_words(
    parts: tuple[Part, ...], kind: str, words: str
) -> None:
    with pytest.raises(BadInput, match=words):
        find_rings(Train("any", kind, parts), [ring(10)])


@pytest.mark.parametrize("wanted_mm", [-1.0, 1e9])
def test_a_length_that_cannot_be_is_refused(wanted_mm: float) -> None:
    with pytest.raises(BadInput, match="cannot be"):
        find_rings(Train("any", "camera", (TUBE, CAMERA)), [], wanted_mm=wanted_mm)


def test_threads_that_are_not_known_are_refused_with_words() -> None:
    bare = part("Camera", "camera", flange_distance_mm=17.5)
    with pytest.raises(BadInput, match="threads at the rings' place"):
        find_rings(Train("any", "camera", (TUBE, FOCUSER, bare)), [ring(10)], threads=True)
