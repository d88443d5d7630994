"""Which hours of a night count as dark."""

from dataclasses import dataclass

from logbook.sky.night.intervals import Interval, total_hours
from logbook.sky.night.night import Night


@dataclass(frozen=True, slots=True)
class Darkness:
    """The darkness objects are ranked in. `sun_below_deg` is None when there is none."""

    sun_below_deg: float | None
    intervals: tuple[Interval, ...]
    words: tuple[str, ...]

    @property
    def hours(self) -> float:
        """Hours of darkness, all intervals together."""
        return total_hours(self.intervals)


def darkness(night: Night, min_hours: float) -> Darkness:
    """Astronomical darkness, or the best there is if that does not last as long as wanted.

    Brighter than nautical twilight is not offered: only stars and planets are left then.
    """
    if night.below_18 and night.dark_hours >= min_hours:
        return Darkness(-18.0, night.below_18, ())
    nautical_hours = total_hours(night.below_12)
    words = []
    if night.below_18:
        words.append(f"There are only {_minutes(night.dark_hours)} of astronomical darkness.")
    if night.below_12 and nautical_hours >= min_hours:
        words.append("Hours are counted with the Sun below −12° instead of −18°.")
        return Darkness(-12.0, night.below_12, tuple(words))
    if night.below_18:
        return Darkness(-18.0, night.below_18, tuple(words))
    if night.below_12:
        words.append(f"The Sun is below −12° for {_minutes(nautical_hours)} only.")
    words.append("It is too bright all night for any deep-sky object.")
    return Darkness(None, (), tuple(words))


def _minutes(hours: float) -> str:
    return f"{max(1, round(hours * 60.0))} min"
