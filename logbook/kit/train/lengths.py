"""Lengths along a train: what stands how far behind what, with glass counted."""

from dataclasses import dataclass

from logbook.kit.optics import formulas
from logbook.kit.parts.part import Part, Train

GLASS_INDEX = 1.52  # of a filter whose glass is not known; crown glass, common practice
LENSES = ("reducer", "barlow")  # they change the focal length
CORRECTING = (*LENSES, "corrector")
_NO_LENGTH = frozenset({"telescope", "eyepiece"})


@dataclass(frozen=True, slots=True)
class Rung:
    """One part of the ladder of lengths.

    length_mm -- its own, drawn out as it is set; glass_mm -- what its glass puts the focus back;
    total_mm -- from where the ladder begins to its far side, glass taken off. None: not known.
    """

    name: str
    length_mm: float | None
    glass_mm: float
    total_mm: float | None


@dataclass(frozen=True, slots=True)
class BackFocus:
    """How far the sensor should be from `counted_from`, and how far it is by the parts' lengths.

    Either is None where a length is not known. What filters push the focus back is taken off.
    """

    counted_from: str
    wanted_mm: float | None
    reached_mm: float | None
    rungs: tuple[Rung, ...] = ()

    @property
    def off_mm(self) -> float | None:
        """Too far is positive."""
        if self.wanted_mm is None or self.reached_mm is None:
            return None
        return self.reached_mm - self.wanted_mm

    @property
    def words(self) -> str:
        """How far off the back focus is, in words; nothing where none is wanted."""
        off_mm = self.off_mm
        if off_mm is None:
            return "one of the lengths is not known" if self.wanted_mm is not None else ""
        if abs(off_mm) < 0.05:
            return "reached"
        return f"{abs(off_mm):.1f} mm {'too long' if off_mm > 0 else 'missing'}"


def length_mm(train: Train, part: Part) -> float | None:
    """Optical length of a part as it is set in the train; None if it is not known."""
    if part.kind == "camera":
        return part.possible("flange_distance_mm")
    if part.kind in _NO_LENGTH:
        return 0.0
    own_mm = part.possible("optical_length_mm")
    if own_mm is None:
        return 0.0 if part.kind == "filter" else None  # a filter sits in a cell that has a length
    return own_mm + (train.placement(part.name).setting_mm or 0.0)


def glass_mm(part: Part) -> float:
    """How far a filter's glass puts the focus back."""
    thickness_mm = part.possible("thickness_mm") if part.kind == "filter" else None
    if not thickness_mm:
        return 0.0
    return formulas.glass_shift_mm(thickness_mm, part.possible("refractive_index") or GLASS_INDEX)


def rungs(train: Train, place: int) -> tuple[Rung, ...]:
    """The ladder from behind the part at `place` to the sensor."""
    found = []
    total_mm: float | None = 0.0
    for part in train.parts[place + 1 :]:
        own_mm, shift_mm = length_mm(train, part), glass_mm(part)
        total_mm = None if total_mm is None or own_mm is None else total_mm + own_mm - shift_mm
        found.append(Rung(part.name, own_mm, shift_mm, total_mm))
    return tuple(found)


def length_behind_mm(train: Train, place: int) -> float | None:
    """Optical length from behind the part at `place` to the sensor; None if one is not known."""
    if train.kind == "visual":
        return None
    ladder = rungs(train, place)
    return ladder[-1].total_mm if ladder else 0.0


def counted_from(train: Train) -> tuple[int, float] | None:
    """The part that asks for a back focus, and how much: the last corrector, else the telescope.

    The telescope's does not reach through a reducer or Barlow: without a design spacing of that
    lens nobody asks for any.
    """
    for place, part in reversed(tuple(enumerate(train.parts))):
        if part.kind in CORRECTING:
            wanted_mm = part.possible("design_spacing_mm")
        elif part.kind == "telescope":
            wanted_mm = part.possible("back_focus_mm")
        else:
            continue
        if wanted_mm is not None:
            return place, wanted_mm
        if part.kind in LENSES:
            return None
    return None


def back_focus(train: Train) -> BackFocus | None:
    """The ladder from the part that asks for a back focus, else from the last lens, else from the
    telescope. To an eyepiece it is counted to its shoulder. None without any of them."""
    found = counted_from(train)
    place = found[0] if found else _last(train, LENSES) or _last(train, ("telescope",))
    if place is None or not (ladder := rungs(train, place)):
        return None
    wanted_mm = found[1] if found else None
    return BackFocus(train.parts[place].name, wanted_mm, ladder[-1].total_mm, ladder)


def _last(train: Train, kinds: tuple[str, ...]) -> int | None:
    places = (place for place, part in enumerate(train.parts) if part.kind in kinds)
    return max(places, default=None)
