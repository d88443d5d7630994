"""Whether the focuser reaches focus."""

from dataclasses import dataclass

from logbook.kit.parts.part import Part, Train
from logbook.kit.train.lengths import glass_mm, length_mm, rungs
from logbook.kit.train.light_cone import Lens


@dataclass(frozen=True, slots=True)
class FocusReach:
    """How the focuser must stand for the telescope's focus to fall on the sensor.

    draw_mm -- how far it must be drawn out; below 0 or above `travel_mm` it cannot.
    """

    focuser: str
    draw_mm: float
    travel_mm: float | None
    words: str


def focus_reach(train: Train, lenses: tuple[Lens, ...]) -> FocusReach | None:
    """None with two lenses, or without a focuser, an end, the back focus or any length.

    lenses -- the reducer or Barlow of the train, which moves the focus.
    Of an eyepiece the focus is taken to lie at its shoulder.
    """
    telescope, focuser = train.first("telescope"), train.first("focuser")
    ends = train.first("camera") or train.first("eyepiece")
    if telescope is None or focuser is None or ends is None or len(lenses) > 1:
        return None
    lens = lenses[0] if lenses else None
    wanted_mm = telescope.possible("back_focus_mm")
    reached_mm = _to_native_focus_mm(train, telescope, lens)
    if wanted_mm is None or reached_mm is None:
        return None
    draw_mm = wanted_mm - reached_mm + (train.placement(focuser.name).setting_mm or 0.0)
    travel_mm = focuser.possible("travel_mm")
    return FocusReach(focuser.name, draw_mm, travel_mm, _words(draw_mm, travel_mm))


def _to_native_focus_mm(train: Train, telescope: Part, lens: Lens | None) -> float | None:
    """From the telescope's back to where the focus would be without the lens, with the sensor at
    the lens's focus. Glass between is taken off."""
    begins = train.parts.index(telescope)
    if lens is None:
        ladder = rungs(train, begins)
        return ladder[-1].total_mm if ladder else None
    if lens.to_native_focus_mm is None or lens.place <= begins:
        return None
    total_mm = lens.to_native_focus_mm
    for part in train.parts[begins + 1 : lens.place + 1]:
        own_mm = length_mm(train, part)
        if own_mm is None:
            return None
        total_mm += own_mm - glass_mm(part)
    return total_mm


def _words(draw_mm: float, travel_mm: float | None) -> str:
    if draw_mm < -0.05:
        return f"no focus: {-draw_mm:.1f} mm too long even racked in"
    if travel_mm is None:
        return f"in focus drawn out {draw_mm:.1f} mm"
    if draw_mm > travel_mm + 0.05:
        return f"no focus: {draw_mm - travel_mm:.1f} mm short even drawn out {travel_mm:g} mm"
    return f"in focus drawn out {max(0.0, draw_mm):.1f} of {travel_mm:g} mm"
