"""What the user asks of a suggestion."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from logbook.errors import BadInput
from logbook.sky.catalogue.constellations import constellation_names
from logbook.sky.catalogue.kinds import KINDS
from logbook.text import clean


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits within which objects are suggested. Raises BadInput when they cannot be met.

    None, or an empty tuple, is no limit. What is not known of an object passes every limit on it.

    min_moon_separation_deg -- counts only while the Moon is up in the object's window.
    min_sun_separation_deg -- safety: nothing is suggested nearer to the Sun than this.
    kinds, constellations -- as the catalogue writes them: "galaxy", "Cyg".
    brightest_mag, faintest_mag -- total magnitude, roughly in V.
    faintest_surface_mag_arcsec2 -- mean over the object, for what is not made of stars.
    min_size_arcmin, max_size_arcmin -- of the major axis.
    min_fill, max_fill -- major axis over the frame's short side, 0.2 for 20 %.
    max_moonlight_mag -- how much brighter the Moon may make the sky at the object.
    sky_share -- share of the sky's light that a filter lets through while the light of the object
        passes whole: 1 without one, 0.05 for a narrow band and an object that shines in it.
    """

    min_altitude_deg: float = 30.0
    min_moon_separation_deg: float = 30.0
    min_hours: float = 0.5
    min_sun_separation_deg: float = 20.0
    kinds: tuple[str, ...] = ()
    constellations: tuple[str, ...] = ()
    brightest_mag: float | None = None
    faintest_mag: float | None = None
    faintest_surface_mag_arcsec2: float | None = None
    min_size_arcmin: float | None = None
    max_size_arcmin: float | None = None
    min_fill: float | None = None
    max_fill: float | None = None
    max_moonlight_mag: float | None = None
    sky_share: float = 1.0

    def __post_init__(self) -> None:
        for value, what, low, high, unit in self._ranges():
            if value is not None:
                _within(value, what, low, high, unit)
        _in_order(self.brightest_mag, self.faintest_mag, "magnitude")
        _in_order(self.min_size_arcmin, self.max_size_arcmin, "size")
        _in_order(self.min_fill, self.max_fill, "fill")
        _known(self.kinds, KINDS, "kind")
        if self.constellations:
            _known(self.constellations, tuple(constellation_names()), "constellation")

    def _ranges(self) -> tuple[tuple[float | None, str, float, float, str], ...]:
        return (
            (self.min_altitude_deg, "the least altitude", 0.0, 90.0, "°"),
            (self.min_moon_separation_deg, "the least Moon separation", 0.0, 180.0, "°"),
            (self.min_hours, "the least time", 0.0, 24.0, " hours"),
            (self.min_sun_separation_deg, "the least Sun separation", 20.0, 180.0, "°"),
            (self.brightest_mag, "the brightest magnitude", -30.0, 30.0, ""),
            (self.faintest_mag, "the faintest magnitude", -30.0, 30.0, ""),
            (
                self.faintest_surface_mag_arcsec2,
                "the faintest surface brightness",
                5.0,
                35.0,
                " mag/arcsec²",
            ),
            (self.min_size_arcmin, "the least size", 0.0, 21600.0, "′"),
            (self.max_size_arcmin, "the largest size", 0.0, 21600.0, "′"),
            (self.min_fill, "the least fill", 0.0, 1000.0, " of the short side"),
            (self.max_fill, "the largest fill", 0.0, 1000.0, " of the short side"),
            (self.max_moonlight_mag, "the most moonlight", 0.0, 20.0, " mag"),
            (self.sky_share, "the sky's share through the filter", 0.001, 1.0, ""),
        )


def _within(value: float, what: str, low: float, high: float, unit: str) -> None:
    if not (math.isfinite(value) and low <= value <= high):
        raise BadInput(f"{what} cannot be {value:g}{unit}: {low:g} to {high:g}{unit}")


def _in_order(low: float | None, high: float | None, what: str) -> None:
    if low is not None and high is not None and low > high:
        raise BadInput(f"the {what} cannot be over {low:g} and under {high:g}: turn them round")


def _known(given: Sequence[str], known: Sequence[str], what: str) -> None:
    for each in given:
        if each not in known:
            shown = clean(each, longest=40)
            raise BadInput(f"there is no {what} {shown!r}: {', '.join(known)}")
