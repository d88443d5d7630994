"""Which owned rings bring a train's sensor where it should be."""

from collections.abc import Sequence
from dataclasses import dataclass

from logbook.errors import BadInput
from logbook.kit.parts.part import Part, Train
from logbook.kit.parts.threads import Thread, screws
from logbook.kit.train.joints import end
from logbook.kit.train.lengths import counted_from, glass_mm, length_mm
from logbook.kit.train.ring_sets import TOLERANCE_MM, Ring, RingAnswer, nearest_sets


@dataclass(frozen=True, slots=True)
class RingSearch:
    """The best sets for a train, nearest first.

    place_after -- the part behind which the rings go; glass_mm -- what filters behind it put the
    focus back, counted in `wanted_mm`; buy_mm -- length of one more ring that would make the best
    set that is too short exact, buy_with -- that set; None where a set is within the tolerance.
    """

    wanted_mm: float
    tolerance_mm: float
    glass_mm: float
    place_after: str
    answers: tuple[RingAnswer, ...]
    buy_mm: float | None
    buy_with: tuple[str, ...]
    words: str


def ring_of(part: Part) -> Ring | None:
    """None where its length is not known."""
    length_mm = part.possible("optical_length_mm")
    if length_mm is None:
        return None
    return Ring(part.name, length_mm, end(part, "sky_side_thread"), end(part, "eye_side_thread"))


def find_rings(
    train: Train,
    shelf: Sequence[Part],
    *,
    wanted_mm: float | None = None,
    tolerance_mm: float = TOLERANCE_MM,
    most: int = 5,
    threads: bool = False,
) -> RingSearch:
    """Which owned rings bring a train's sensor where it should be.

    shelf -- every part the user has; the rings of the train itself are tried too.
    wanted_mm -- length of the rings alone; None: what the train's back focus leaves for them, with
        the focuser as it is set, else in the middle of its travel.
    threads -- only sets that screw together at their place.
    Raises BadInput in words where the wanted length or a place for the rings is not known.
    """
    place = _ring_place(train)
    drawn_mm = 0.0
    if wanted_mm is None:
        wanted_mm = _left_for_rings_mm(train)
        drawn_mm = half_travel_mm(train)
    elif not 0 <= wanted_mm <= 10_000:
        raise BadInput(f"rings of {wanted_mm:g} mm in all cannot be: 0 to 10000 mm")
    shift_mm = sum(glass_mm(part) for part in train.parts[place + 1 :])
    rings = _owned_rings(train, shelf)
    between = _between(train, place) if threads else None
    answers = nearest_sets(rings, wanted_mm, tolerance_mm=tolerance_mm, most=most, between=between)
    buy_mm, buy_with = _to_buy(answers, wanted_mm)
    after = train.parts[place].name
    words = _words(answers, wanted_mm, buy_mm, buy_with)
    if drawn_mm:
        words += f"; the focuser drawn out {drawn_mm:.0f} mm, half its travel"
    return RingSearch(wanted_mm, tolerance_mm, shift_mm, after, answers, buy_mm, buy_with, words)


def _ring_place(train: Train) -> int:
    """The part behind which the rings go: before the first ring there is, else the last part but
    the camera. Only rings behind the part that the back focus is counted from take part."""
    found = counted_from(train)
    begins = found[0] if found else 0
    for place in range(begins + 1, len(train.parts)):
        if train.parts[place].kind == "extension ring":
            return place - 1
    last = len(train.parts) - 1
    if last < 1:
        raise BadInput(f"{train.name} has no place for rings yet: give it a telescope and a camera")
    return max(begins, last - 1)


def _left_for_rings_mm(train: Train) -> float:
    """What the back focus leaves when everything but the rings is taken off."""
    found = counted_from(train)
    if found is None:
        raise BadInput(
            f"no part of {train.name} says how far behind it the sensor should be: give the "
            "telescope a back focus or the corrector a design spacing, or say a length"
        )
    if train.kind != "camera":
        raise BadInput(
            f"{train.name} ends at an eye: rings are counted to a sensor, or say a length"
        )
    place, left_mm = found
    others = [part for part in train.parts[place + 1 :] if part.kind != "extension ring"]
    for part in others:
        own_mm = length_mm(train, part)
        if own_mm is None:
            raise BadInput(f"the length of {part.name} is not known: measure it first")
        left_mm -= own_mm - glass_mm(part)
    left_mm -= half_travel_mm(train)
    if left_mm < 0:
        raise BadInput(f"{train.name} is {-left_mm:.1f} mm too long without any ring")
    return left_mm


def half_travel_mm(train: Train) -> float:
    """Half the travel of a focuser that the back focus is counted through, where it is not
    known how far it is drawn out: in the middle it can move both ways."""
    found = counted_from(train)
    behind = train.parts[found[0] + 1 :] if found else ()
    for part in behind:
        if part.kind == "focuser" and train.placement(part.name).setting_mm is None:
            return (part.possible("travel_mm") or 0.0) / 2.0
    return 0.0


def _owned_rings(train: Train, shelf: Sequence[Part]) -> tuple[Ring, ...]:
    """Rings of the train behind the counting place and those of the shelf, each once."""
    found = counted_from(train)
    begins = found[0] if found else 0
    kept_in = {part.name for part in train.parts[:begins]}
    parts = {part.name: part for part in (*train.parts[begins:], *shelf)}
    rings = (
        ring_of(part)
        for part in parts.values()
        if part.kind == "extension ring" and part.state == "owned" and part.name not in kept_in
    )
    return tuple(ring for ring in rings if ring is not None)


def _between(train: Train, place: int) -> tuple[Thread, Thread]:
    below = next(
        (
            part
            for part in train.parts[place + 1 :]
            if part.kind not in ("extension ring", "filter")
        ),
        None,
    )
    above_end = end(train.parts[place], "eye_side_thread")
    below_end = end(below, "sky_side_thread") if below else None
    if above_end is None or below_end is None or not screws(above_end, below_end):
        lacking = train.parts[place].name if above_end is None else below.name if below else ""
        raise BadInput(
            f"the threads at the rings' place are not known ({lacking}): give size and gender"
        )
    return above_end, below_end


def _to_buy(
    answers: Sequence[RingAnswer], wanted_mm: float
) -> tuple[float | None, tuple[str, ...]]:
    """One more ring for the nearest set that is too short; for none at all where no set fits."""
    if any(answer.within_tolerance for answer in answers):
        return None, ()
    short = next((answer for answer in answers if answer.off_mm < 0), None)
    if short is not None:
        return -short.off_mm, short.rings
    return (None if answers else wanted_mm), ()


def _words(
    answers: Sequence[RingAnswer],
    wanted_mm: float,
    buy_mm: float | None,
    buy_with: tuple[str, ...],
) -> str:
    if answers:
        best = answers[0]
        off = f"{best.off_mm:+.2f}".replace("-", "−")
        names = " + ".join(best.rings) or "no ring"
        words = f"{names}: {best.length_mm:.2f} of {wanted_mm:.2f} mm ({off})"
    else:
        words = "no set of owned rings fits here"
    if buy_mm is None:
        return words
    more = f" to go with {' + '.join(buy_with)}" if buy_with else ""
    return f"{words}; to buy: {buy_mm:.1f} mm{more}"
