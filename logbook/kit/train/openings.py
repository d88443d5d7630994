"""The clear apertures of a train, each in the light cone that passes it."""

import math

from logbook.kit.optics.focus import exit_pupil_distance_mm
from logbook.kit.optics.illumination import Opening
from logbook.kit.parts.part import Part, Train
from logbook.kit.train.lengths import length_behind_mm, rungs
from logbook.kit.train.light_cone import Lens


def pupil_mm(telescope: Part) -> float:
    """From the telescope's focus to its exit pupil; infinite where it is not known, which lights
    the corners a little less than in truth."""
    focal_mm = telescope.possible("focal_length_mm")
    primary_mm = telescope.possible("primary_focal_length_mm")
    apart_mm = telescope.possible("mirror_spacing_mm")
    if focal_mm and primary_mm and apart_mm and apart_mm < primary_mm < focal_mm:
        return exit_pupil_distance_mm(focal_mm, primary_mm, apart_mm)
    if focal_mm and telescope.possible("mirror_count") in (0, 1):
        return focal_mm
    return math.inf


def openings(train: Train, ratio: float, found: tuple[Lens, ...]) -> tuple[Opening, ...]:
    """Every clear aperture of a camera train whose distance to the focus is known.

    ratio -- the telescope's own. With one lens, what stands before it is counted in the
    telescope's own bundle and what stands behind it in the lens's; with more lenses only what
    stands behind the last one is looked at.
    """
    if train.kind != "camera":
        return ()
    telescope = train.first("telescope")
    far_mm = pupil_mm(telescope) if telescope else math.inf
    opened = (_opening(train, place, ratio, found, far_mm) for place in range(len(train.parts)))
    return tuple(each for each in opened if each is not None)


def _opening(
    train: Train, place: int, ratio: float, found: tuple[Lens, ...], far_mm: float
) -> Opening | None:
    part = train.parts[place]
    clear_mm = part.possible("clear_aperture_mm")
    lens = found[-1] if found else None
    if clear_mm is None:
        return None
    if lens is None or place < lens.place:
        before_mm = _before_focus_mm(train, place, lens) if len(found) < 2 else None
        factor, pupil = lens.factor if lens else 1.0, far_mm
    else:
        before_mm = _in_front_mm(train, place, lens)
        ratio *= math.prod(each.factor for each in found)
        factor, pupil = 1.0, _pupil_behind_mm(far_mm, lens) if len(found) == 1 else math.inf
    if before_mm is None:
        return None
    return Opening(part.name, clear_mm, before_mm, ratio, factor, pupil)


def _in_front_mm(train: Train, place: int, lens: Lens) -> float | None:
    """From the sky side of a part to the sensor; of the lens itself from the lens."""
    return lens.spacing_mm if place == lens.place else _sky_side_mm(train, place)


def _sky_side_mm(train: Train, place: int) -> float | None:
    """From the sky side of the part at `place` to the sensor; the telescope's is its back."""
    if train.parts[place].kind == "telescope":
        return length_behind_mm(train, place)
    return length_behind_mm(train, place - 1) if place else None


def _before_focus_mm(train: Train, place: int, lens: Lens | None) -> float | None:
    """The same in the telescope's own bundle, as if the lens were not there."""
    if lens is None:
        return _sky_side_mm(train, place)
    if lens.to_native_focus_mm is None:
        return None
    first = place + 1 if train.parts[place].kind == "telescope" else place
    own = rungs(train, first - 1)[: lens.place - first + 1] if first else ()
    total_mm = own[-1].total_mm if own else None
    return None if total_mm is None else total_mm + lens.to_native_focus_mm


def _pupil_behind_mm(far_mm: float, lens: Lens) -> float:
    """The exit pupil as it is seen through the lens, from the sensor; negative behind the sensor.

    1/v = 1/f - 1/u with u from the pupil to the lens (thin lens).
    """
    spacing_mm, native_mm = lens.spacing_mm, lens.to_native_focus_mm
    if spacing_mm is None or native_mm is None:
        return math.inf
    to_lens_mm = far_mm - native_mm
    image_per_mm = 1.0 / lens.focal_length_mm - (1.0 / to_lens_mm if to_lens_mm else 0.0)
    if image_per_mm == 0.0:
        return math.inf
    return spacing_mm - 1.0 / image_per_mm
