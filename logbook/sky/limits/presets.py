"""Limits for kinds of work, to begin with; the user's own are saved in the book.

What each kind of work asks for is common practice, no source.
"""

from dataclasses import dataclass

from logbook.sky.catalogue.kinds import GROUPS
from logbook.sky.limits.limits import Limits

NARROWBAND_SKY_SHARE = 0.05  # a band of 5 nm out of the 100 nm of V

_POINTS_AND_KNOTS = ("galaxy", "globular cluster", "planetary nebula")


@dataclass(frozen=True, slots=True)
class NamedLimits:
    """Limits under a name, and what they are for."""

    name: str
    limits: Limits
    words: str


PRESETS = (
    NamedLimits("anything", Limits(), "everything that stands high enough"),
    NamedLimits(
        "faint, broadband",
        Limits(
            min_altitude_deg=35.0,
            min_moon_separation_deg=60.0,
            min_hours=2.0,
            kinds=("galaxy", "galaxy group", "reflection nebula", "dark nebula"),
            min_fill=0.1,
            max_fill=1.5,
            max_moonlight_mag=0.3,
        ),
        "galaxies and dust: long, high, in the dark of the Moon",
    ),
    NamedLimits(
        "narrowband nebulae",
        Limits(
            min_moon_separation_deg=40.0,
            min_hours=2.0,
            kinds=GROUPS["emission nebulae"],
            min_fill=0.1,
            max_fill=3.0,
            sky_share=NARROWBAND_SKY_SHARE,
        ),
        "gas that shines in lines: stands some moonlight",
    ),
    NamedLimits(
        "small and bright",
        Limits(
            min_altitude_deg=40.0,
            min_hours=1.0,
            kinds=_POINTS_AND_KNOTS,
            faintest_mag=12.0,
            faintest_surface_mag_arcsec2=22.5,
            max_size_arcmin=12.0,
        ),
        "for a long focal length and steady air",
    ),
    NamedLimits(
        "clusters",
        Limits(
            min_moon_separation_deg=20.0,
            min_hours=1.0,
            kinds=GROUPS["clusters"],
            faintest_mag=11.0,
            min_fill=0.1,
            max_fill=1.5,
        ),
        "stars: short exposures, moonlight does little harm",
    ),
    NamedLimits(
        "planetary nebulae",
        Limits(
            min_altitude_deg=35.0,
            min_hours=1.0,
            kinds=("planetary nebula",),
            faintest_mag=15.0,
            sky_share=NARROWBAND_SKY_SHARE,
        ),
        "small, often bright, in lines: stands moonlight",
    ),
)
