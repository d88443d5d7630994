"""What the owner asks of a suggestion."""

import math
from dataclasses import dataclass

from logbook.errors import BadInput


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits within which objects are suggested. Raises BadInput when they cannot be met.

    min_moon_separation_deg -- counts only while the Moon is up in the object's window.
    min_sun_separation_deg -- safety: nothing is suggested nearer to the Sun than this.
    kinds -- kinds of the catalogue; empty for all.
    faintest_mag -- objects of unknown magnitude pass.
    min_fill, max_fill -- of the frame's short side; objects of unknown size pass.
    """

    min_altitude_deg: float = 30.0
    min_moon_separation_deg: float = 30.0
    min_hours: float = 0.5
    min_sun_separation_deg: float = 20.0
    kinds: tuple[str, ...] = ()
    faintest_mag: float | None = None
    min_fill: float | None = None
    max_fill: float | None = None

    def __post_init__(self) -> None:
        _within(self.min_altitude_deg, "the least altitude", 0.0, 90.0, "°")
        _within(self.min_moon_separation_deg, "the least Moon separation", 0.0, 180.0, "°")
        _within(self.min_hours, "the least time", 0.0, 24.0, " hours")
        _within(self.min_sun_separation_deg, "the least Sun separation", 20.0, 180.0, "°")
        for fill, what in ((self.min_fill, "least"), (self.max_fill, "largest")):
            if fill is not None:
                _within(fill, f"the {what} fill", 0.0, 1000.0, " of the short side")
        if self.faintest_mag is not None:
            _within(self.faintest_mag, "the faintest magnitude", -30.0, 30.0, "")


def _within(value: float, what: str, low: float, high: float, unit: str) -> None:
    if not (math.isfinite(value) and low <= value <= high):
        raise BadInput(f"{what} cannot be {value:g}{unit}: {low:g} to {high:g}{unit}")
