"""What makes an object worth the night: factors from 0 to 1 whose product is the score.

Each one is a number the user can check, for a whole catalogue at once (arrays, one value an
object). The curves are common practice without a source and are written out as tables.
"""

import numpy as np

from logbook.sky.altitude import sky_brightness
from logbook.sky.altitude.airmass import airmass
from logbook.sky.altitude.moonlight import MoonView
from logbook.sky.framing.framing import fill_worth
from logbook.sky.night.arrays import Floats

ENOUGH_HOURS = 4.0  # more time than this in one night adds little to the choice

UNKNOWN_SIZE = 0.2


def hours_factor(hours: Floats, dark_hours: float) -> Floats:
    """Share of a full evening's work, or of the whole darkness where that is shorter."""
    return np.clip(hours / min(ENOUGH_HOURS, max(dark_hours, 0.1)), 0.0, 1.0)


def altitude_factor(max_altitude_deg: Floats) -> Floats:
    """One over the airmass at the highest."""
    return 1.0 / airmass(max_altitude_deg)


def framing_factor(fill: Floats, tightest: Floats) -> Floats:
    """How the object suits the frame; a low value where its size is unknown."""
    return np.where(np.isnan(fill), UNKNOWN_SIZE, fill_worth(fill, tightest))


def moon_factor(moon: MoonView, surface_mag_arcsec2: Floats, sky_share: float) -> Floats:
    """What an hour of the window is worth against a moonless one.

    While the Moon is up an hour on a target of surface brightness S under a sky D brightened by M
    is worth (S + D) / (S + D + M): the share that photon noise leaves of the square of signal over
    noise. The rest of the window counts in full.

    sky_share -- what a filter leaves of D and M.
    """
    target = sky_brightness.nanolambert(surface_mag_arcsec2)
    dark, light = moon.dark_nl * sky_share, moon.moon_nl * sky_share
    under_moon = (target + dark) / (target + dark + light)
    return np.asarray(1.0 - moon.up_part * (1.0 - under_moon))


# What a project still wants, in hours, and what that is worth; a matter of taste, no source.
NO_PROJECT = 0.7
_OWED_HOURS = np.array([0.0, 0.5, 2.0, 6.0])
_OWED_WORTH = np.array([0.35, 0.8, 0.9, 1.0])

# Days since it was last observed, and what seeing it again is worth. Taste, no source.
_DAYS_AGO = np.array([0.0, 30.0, 365.0, 1000.0])
_AGAIN_WORTH = np.array([0.6, 0.75, 0.95, 1.0])


def owed_factor(owed_hours: Floats) -> Floats:
    """First what projects still want; NaN, no project, lies between owed and done."""
    return np.where(
        np.isnan(owed_hours), NO_PROJECT, np.interp(owed_hours, _OWED_HOURS, _OWED_WORTH)
    )


def seen_factor(days_ago: Floats, owed_hours: Floats) -> Floats:
    """What was observed lately can wait, unless a project wants more of it. NaN: never observed."""
    again = np.where(np.isnan(days_ago), 1.0, np.interp(days_ago, _DAYS_AGO, _AGAIN_WORTH))
    return np.where(owed_hours > 0.0, 1.0, again)
