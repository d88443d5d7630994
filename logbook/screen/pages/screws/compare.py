"""Looks of one night set against each other: where two groups differ, something sags or tilts."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from logbook.entryline.format import clock_words
from logbook.records.entries import EntryRecord, StarLook

_HIGH_DEG = 60.0  # what counts as high and as low: common practice, no source
_LOW_DEG = 45.0
_BY_EYE = 0.04  # of the radius: what a look by eye may be wrong by on each axis
_SURE = 2.448  # standard errors that hold 95 % of a scatter in two directions


@dataclass(frozen=True, slots=True)
class Mean:
    """The mean offset of a group, in disc radii, with its standard error along each axis."""

    x: float
    y: float
    sigma: float
    count: int


# (name of the pair, first group, second group, what a difference says)
Pair = tuple[str, Callable[[StarLook], bool], Callable[[StarLook], bool], str]


def _role(wanted: str) -> Callable[[StarLook], bool]:
    """A look that does not say which star it is of is of the first."""
    return lambda look: ((look.detail and look.detail.star_role) or "first") == wanted


def _pier(wanted: str) -> Callable[[StarLook], bool]:
    return lambda look: look.detail is not None and look.detail.pier_side == wanted


def _altitude(low_deg: float, high_deg: float) -> Callable[[StarLook], bool]:
    def within(look: StarLook) -> bool:
        detail = look.detail
        return (
            detail is not None
            and detail.altitude_deg is not None
            and low_deg <= detail.altitude_deg < high_deg
        )

    return within


def _azimuth(low_deg: float, high_deg: float) -> Callable[[StarLook], bool]:
    def within(look: StarLook) -> bool:
        azimuth_deg = look.detail.azimuth_deg if look.detail else None
        return azimuth_deg is not None and low_deg <= azimuth_deg < high_deg

    return within


def _side(wanted: str) -> Callable[[StarLook], bool]:
    return lambda look: look.side_of_focus == wanted


PAIRS: tuple[Pair, ...] = (
    ("first and second star", _role("first"), _role("second"), "not alike in the sky: sag"),
    ("pier east and west", _pier("east"), _pier("west"), "focuser or mirror sags"),
    (
        "star east and west of the meridian",
        _azimuth(0.0, 180.0),
        _azimuth(180.0, 360.0),
        "focuser or mirror sags",
    ),
    (
        f"high (over {_HIGH_DEG:.0f}°) and low (under {_LOW_DEG:.0f}°)",
        _altitude(_HIGH_DEG, 90.1),
        _altitude(-90.0, _LOW_DEG),
        "focuser or mirror sags with altitude",
    ),
    (
        "inside and outside focus",
        _side("inside"),
        _side("outside"),
        "the shadow sits off centre by itself (secondary sideways), not only tilted",
    ),
)


def compared(looks: Sequence[EntryRecord]) -> list[str]:
    """Each pair of groups in words: the difference, and whether it stands out of its scatter."""
    seen = [each.content.look for each in looks if each.content.look is not None]
    return [_pair_words(pair, seen) for pair in PAIRS]


def _pair_words(pair: Pair, seen: Sequence[StarLook]) -> str:
    name, is_first, is_second, meaning = pair
    first, second = mean_of(seen, is_first), mean_of(seen, is_second)
    if first is None or second is None:
        return f"{name}: looks of both are needed"
    x, y = second.x - first.x, second.y - first.y
    sigma = math.hypot(first.sigma, second.sigma)
    apart = math.hypot(x, y)
    said = f"{name}: {apart:.3f} ± {sigma:.3f} apart ({first.count} and {second.count} looks)"
    if apart <= _SURE * sigma:
        return f"{said}, within the scatter: no difference shown"
    where = clock_words(math.degrees(math.atan2(y, x)))
    return f"{said}, toward {where}: {meaning}"


def mean_of(seen: Sequence[StarLook], wanted: Callable[[StarLook], bool]) -> Mean | None:
    """The mean of the looks that are wanted and have a direction; None without any."""
    group = [each for each in seen if wanted(each) and _has_place(each)]
    if not group:
        return None
    places = [_place(each) for each in group]
    count = len(group)
    sigmas = [each.offset_sigma or _BY_EYE for each in group]
    sigma = math.sqrt(sum(each * each for each in sigmas)) / count
    return Mean(sum(x for x, _ in places) / count, sum(y for _, y in places) / count, sigma, count)


def _has_place(look: StarLook) -> bool:
    return look.position_angle_deg is not None or look.offset_fraction == 0.0


def _place(look: StarLook) -> tuple[float, float]:
    angle = math.radians(look.position_angle_deg or 0.0)
    return look.offset_fraction * math.cos(angle), look.offset_fraction * math.sin(angle)
