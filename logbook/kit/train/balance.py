"""Where a train's weight sits along the tube, and how to bring it over the saddle.

Positions are counted from the tube's back plate, positive toward the sky. The law is that of the
lever: about the point of balance the sum of mass times distance is nothing.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from logbook.kit.parts.part import Part, Train
from logbook.kit.train.lengths import length_mm

# On the mount's own side; a counterweight placed along the tube rides on the tube.
_MOUNT_SIDE = frozenset({"mount", "saddle"})
BALANCED_WITHIN_MM = 5.0  # own proposal: about the width of a clamp's jaw edge


@dataclass(frozen=True, slots=True)
class Load:
    """A mass and where its centre sits; assumed where nobody stated it."""

    name: str
    mass_kg: float
    along_mm: float
    assumed: bool


@dataclass(frozen=True, slots=True)
class Balance:
    """rail -- its back and front end; off_mm -- centre of mass less saddle, positive front-heavy.

    unknown -- what is left out because its mass or place is not known.
    """

    loads: tuple[Load, ...]
    mass_kg: float
    centre_mm: float
    tube_length_mm: float | None
    rail: tuple[float, float] | None
    saddle_mm: float | None
    off_mm: float | None
    grip_words: str
    helps: tuple[str, ...]
    unknown: tuple[str, ...]


def centre_mm(loads: Iterable[tuple[float, float]]) -> float:
    """Centre of mass of (mass, position) pairs: sum(m x)/sum(m). Raises ValueError for none."""
    pairs = tuple(loads)
    mass_kg = sum(mass for mass, _ in pairs)
    if not mass_kg > 0:
        raise ValueError("nothing weighs anything")
    return sum(mass * along for mass, along in pairs) / mass_kg


def arm_mm(mass_kg: float, at_mm: float, against_kg: float) -> float:
    """How far on the other side of the axis a weight balances a mass that sits at `at_mm`.

    Raises ValueError for a weight of nothing.
    """
    if not against_kg > 0:
        raise ValueError("a weight weighs something")
    return mass_kg * at_mm / against_kg


def place_for_mm(
    mass_kg: float, centre: float, wanted_mm: float, moved_kg: float, at_mm: float
) -> float:
    """Where a part of the train must sit so that the whole's centre comes to `wanted_mm`."""
    return at_mm + mass_kg * (wanted_mm - centre) / moved_kg


def weight_for_kg(mass_kg: float, centre: float, wanted_mm: float, at_mm: float) -> float:
    """How heavy a weight at `at_mm` must be to bring the centre to `wanted_mm`; negative where it
    would have to pull upward."""
    return mass_kg * (wanted_mm - centre) / (at_mm - wanted_mm)


def on_tube(train: Train, part: Part) -> bool:
    """Whether the saddle carries it: not the mount's own, nor weights that hang on its shaft."""
    if part.kind == "counterweight":
        return train.placement(part.name).along_tube_mm is not None
    return part.kind not in _MOUNT_SIDE


def balance(train: Train, shelf: Sequence[Part] = ()) -> Balance | None:
    """None without a telescope or where nothing's mass and place is known.

    shelf -- parts that may help: its owned counterweights are tried.
    """
    telescope = train.first("telescope")
    if telescope is None:
        return None
    places = dict(_light_path_places(train, telescope))
    loads: list[Load] = []
    unknown: list[str] = []
    for part in (*train.parts, *train.carried):
        if not on_tube(train, part):
            continue
        mass_kg = part.possible("mass_kg")
        along_mm, assumed = _along(train, part, telescope, places)
        if mass_kg is None or along_mm is None:
            unknown.append(f"the {'mass' if mass_kg is None else 'place'} of {part.name}")
        else:
            loads.append(Load(part.name, mass_kg, along_mm, assumed))
    if not any(load.mass_kg > 0 for load in loads):
        return None
    return _balance(train, telescope, tuple(loads), tuple(unknown), shelf)


def _light_path_places(train: Train, telescope: Part) -> Iterable[tuple[str, float]]:
    """The middle of each part behind the tube. Behind a diagonal the light goes sideways."""
    behind_mm, folded = 0.0, False
    seen = False
    for part in train.parts:
        if part is telescope:
            seen = True
        elif seen:
            own_mm = 0.0 if folded else length_mm(train, part) or 0.0
            middle_mm = own_mm if part.kind == "camera" else own_mm / 2.0  # its body is behind
            yield part.name, -(behind_mm + middle_mm)
            behind_mm += own_mm
            folded = folded or part.kind == "diagonal"


def _along(
    train: Train, part: Part, telescope: Part, places: dict[str, float]
) -> tuple[float | None, bool]:
    """Where a part's centre of mass sits, and whether that was only assumed."""
    said_mm = train.placement(part.name).along_tube_mm
    if said_mm is not None:
        return said_mm, False
    tube_mm = telescope.possible("tube_length_mm")
    if part is telescope:
        own_mm = telescope.possible("balance_mm")
        return (own_mm, False) if own_mm is not None else (_half(tube_mm), True)
    if part.name in places:
        return places[part.name], True
    if part.kind == "dovetail":
        return _half(tube_mm), True
    length = part.possible("length_mm") if part.kind == "dew shield" else None
    if tube_mm is not None and length is not None:
        return tube_mm + length / 2.0, True
    return None, False


def _half(length: float | None) -> float | None:
    return None if length is None else length / 2.0


def _balance(
    train: Train,
    telescope: Part,
    loads: tuple[Load, ...],
    unknown: tuple[str, ...],
    shelf: Sequence[Part],
) -> Balance:
    mass_kg = sum(load.mass_kg for load in loads)
    centre = centre_mm((load.mass_kg, load.along_mm) for load in loads)
    rail = _rail(train, telescope)
    saddle = train.rides("saddle")
    saddle_mm = train.placement(saddle.name).along_tube_mm if saddle else None
    off_mm = None if saddle_mm is None else centre - saddle_mm
    wanted_mm = saddle_mm if saddle_mm is not None else _nearest_grip(centre, rail)
    helps: tuple[str, ...] = ()
    if wanted_mm is not None and abs(centre - wanted_mm) > BALANCED_WITHIN_MM:
        helps = tuple(_helps(train, loads, centre, wanted_mm, rail, shelf))
    return Balance(
        loads=loads,
        mass_kg=mass_kg,
        centre_mm=centre,
        tube_length_mm=telescope.possible("tube_length_mm"),
        rail=rail,
        saddle_mm=saddle_mm,
        off_mm=off_mm,
        grip_words=_grip_words(centre, rail, off_mm),
        helps=helps,
        unknown=unknown,
    )


def _rail(train: Train, telescope: Part) -> tuple[float, float] | None:
    rail = train.rides("dovetail")
    length = rail.possible("length_mm") if rail else None
    if rail is None or length is None:
        return None
    middle_mm, _ = _along(train, rail, telescope, {})
    return None if middle_mm is None else (middle_mm - length / 2.0, middle_mm + length / 2.0)


def _nearest_grip(centre: float, rail: tuple[float, float] | None) -> float | None:
    return None if rail is None else min(max(centre, rail[0]), rail[1])


def _grip_words(centre: float, rail: tuple[float, float] | None, off_mm: float | None) -> str:
    words = f"centre of mass {_from_back(centre)}"
    if rail is not None and not rail[0] <= centre <= rail[1]:
        end, way = (rail[0], "behind") if centre < rail[0] else (rail[1], "in front of")
        words += f", {abs(centre - end):.0f} mm {way} the rail"
    elif rail is not None:
        words += f", {centre - rail[0]:.0f} mm from the rail's back end: grip there"
    if off_mm is None:
        return words
    if abs(off_mm) <= BALANCED_WITHIN_MM:
        return f"{words}; over the saddle"
    heavy, way = ("front", "back") if off_mm > 0 else ("back", "forward")
    return f"{words}; {heavy}-heavy by {abs(off_mm):.0f} mm: slide the tube that far {way}"


def _from_back(along_mm: float) -> str:
    way = "in front of" if along_mm >= 0 else "behind"
    return f"{abs(along_mm):.0f} mm {way} the back plate"


def _helps(
    train: Train,
    loads: tuple[Load, ...],
    centre: float,
    wanted_mm: float,
    rail: tuple[float, float] | None,
    shelf: Sequence[Part],
) -> Iterable[str]:
    """What else would bring the centre over the saddle, where the tube or rail is long enough."""
    mass_kg = sum(load.mass_kg for load in loads)
    reach = _reach(train, rail)
    if reach is None:
        return
    guide = train.rides("guide telescope")
    for load in loads:
        if guide is None or load.name != guide.name or not load.mass_kg:
            continue
        at_mm = place_for_mm(mass_kg, centre, wanted_mm, load.mass_kg, load.along_mm)
        if reach[0] <= at_mm <= reach[1]:
            yield f"or {load.name} {_from_back(at_mm)} (now {load.along_mm:.0f} mm)"
    taken = {part.name for part in (*train.parts, *train.carried)}
    for part in shelf:
        weight_kg = part.possible("mass_kg")
        if part.kind != "counterweight" or part.state != "owned" or part.name in taken:
            continue
        if weight_kg:
            at_mm = wanted_mm + arm_mm(mass_kg, wanted_mm - centre, weight_kg)
            if reach[0] <= at_mm <= reach[1]:
                yield f"or {part.name} ({weight_kg:.1f} kg) {_from_back(at_mm)}"
    if rail is None:
        return
    end, end_mm = ("front", rail[1]) if centre < wanted_mm else ("back", rail[0])
    if abs(end_mm - wanted_mm) > BALANCED_WITHIN_MM:
        needed_kg = weight_for_kg(mass_kg, centre, wanted_mm, end_mm)
        yield f"or {needed_kg:.1f} kg at the rail's {end} end"


def _reach(train: Train, rail: tuple[float, float] | None) -> tuple[float, float] | None:
    """Where something can be fixed: along the tube, else along the rail."""
    telescope = train.first("telescope")
    tube_mm = telescope.possible("tube_length_mm") if telescope else None
    return (0.0, tube_mm) if tube_mm is not None else rail
