"""Which hours of a night count as dark."""

from dataclasses import dataclass

from logbook.sky.intervals import Interval, total_hours
from logbook.sky.night import Night


@dataclass(frozen=True, slots=True)
class Darkness:
    """The darkness objects are ranked in. `sun_below_deg` is None when there is none."""

    sun_below_deg: float | None
    intervals: tuple[Interval, ...]
    words: tuple[str, ...]

    @property
    def hours(self) -> float:
        return total_hours(self.intervals)


def darkness(night: Night, min_hours: float) -> Darkness:
    """Astronomical darkness, or the best there is if that does not last as long as wanted.

    Brighter than nautical twilight is not offered: only stars and planets are left then.
    """
    if night.below_18 and night.dark_hours >= min_hours:
        return Darkness(-18.0, night.below_18, ())
    short = "no" if not night.below_18 else f"only {round(night.dark_hours * 60)} min of"
    if night.below_12 and total_hours(night.below_12) >= min_hours:
        words = (
            f"There is {short} astronomical darkness: hours are counted with the Sun below −12°."
        )
        return Darkness(-12.0, night.below_12, (words,))
    if night.below_18:
        return Darkness(-18.0, night.below_18, (f"There is {short} astronomical darkness.",))
    if night.below_12:
        minutes = round(total_hours(night.below_12) * 60)
        words = f"The Sun is below −12° for {minutes} min only: no deep-sky object is suggested."
        return Darkness(-12.0, night.below_12, (words,))
    return Darkness(None, (), ("It does not get dark: no deep-sky object is suggested.",))
