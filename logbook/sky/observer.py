"""The same questions in astroplan's words: observers, targets, constraints.

These are the published vocabulary and the reference that the fast path is held to. astroplan keeps
positions on the Observer under a key that leaves out declination, so two questions of one Observer
can get each other's answers: take a new one for every question.
"""

from collections.abc import Sequence

import astropy.units as u
import numpy as np
from astroplan import (
    AltitudeConstraint,
    AtNightConstraint,
    Constraint,
    FixedTarget,
    MoonSeparationConstraint,
    Observer,
)
from astropy.coordinates import EarthLocation, SkyCoord
from astropy.time import Time
from astropy.utils import iers

from logbook.sky.catalogue.objects import SkyObject
from logbook.sky.framing.framing import frame_fill
from logbook.sky.limits.limits import Limits
from logbook.sky.night.arrays import Bools, Floats
from logbook.sky.night.clock import zone_of
from logbook.sky.night.site import Horizon, Site


def stay_offline() -> None:
    """Let astropy work from its installed Earth orientation tables, however old they are.

    Without this the first conversion asks the network, or refuses when the tables are 30 days old.
    What is less certain for it stands in `Orientation.words`, not in warnings.
    """
    iers.conf.auto_download = False
    iers.conf.auto_max_age = None
    iers.conf.iers_degraded_accuracy = "ignore"


def observer(site: Site) -> Observer:
    """A new astroplan Observer at the site, without air (no refraction)."""
    stay_offline()
    location = EarthLocation.from_geodetic(
        site.longitude_deg * u.deg, site.latitude_deg * u.deg, site.elevation_m * u.m
    )
    return Observer(location=location, name=site.name, timezone=zone_of(site.time_zone).key)


def fixed_targets(things: Sequence[SkyObject]) -> list[FixedTarget]:
    """Objects as astroplan targets, named by their ids."""
    return [
        FixedTarget(SkyCoord(thing.ra_deg * u.deg, thing.dec_deg * u.deg), name=thing.id)
        for thing in things
    ]


def constraints(
    limits: Limits,
    things: Sequence[SkyObject],
    field_deg: tuple[float, float] | None = None,
    horizon: Horizon = (),
    *,
    sun_below_deg: float = -18.0,
) -> list[Constraint]:
    """The limits as astroplan constraints on these objects, in this order.

    The Moon's keeps its distance whether the Moon is up or not; ours counts only when it is.
    """
    found: list[Constraint] = [
        AltitudeConstraint(min=limits.min_altitude_deg * u.deg),
        AtNightConstraint(max_solar_altitude=sun_below_deg * u.deg),
        MoonSeparationConstraint(min=limits.min_moon_separation_deg * u.deg),
    ]
    if horizon:
        found.append(SkylineConstraint(horizon))
    if field_deg is not None:
        found.append(
            FramingConstraint(
                [thing.major_arcmin for thing in things],
                field_deg,
                least=limits.min_fill or 0.0,
                largest=np.inf if limits.max_fill is None else limits.max_fill,
            )
        )
    return found


class FramingConstraint(Constraint):  # type: ignore[misc]
    """Whether objects fill the frame within limits, as an astroplan constraint.

    major_arcmin -- sizes, one a target and in the targets' order: a target does not know its own.
    An object of unknown size (None or NaN) passes.
    """

    def __init__(
        self,
        major_arcmin: Sequence[float | None],
        field_deg: tuple[float, float],
        *,
        least: float = 0.0,
        largest: float = np.inf,
    ) -> None:
        self.fill: Floats = frame_fill(np.array(major_arcmin, dtype=np.float64), field_deg)
        self.least = least
        self.largest = largest

    def compute_constraint(self, times: Time, observer: Observer, targets: SkyCoord) -> Bools:
        """One answer a target, whatever the time. Raises ValueError unless each has a size."""
        within = ~((self.fill < self.least) | (self.fill > self.largest))
        shape = np.shape(targets)
        if int(np.prod(shape)) != within.size:
            raise ValueError(f"{within.size} sizes were given for targets of shape {shape}")
        return np.broadcast_to(within.reshape(shape), np.broadcast_shapes(shape, times.shape))


class SkylineConstraint(Constraint):  # type: ignore[misc]
    """Whether objects stand above a horizon that changes with azimuth (pairs as in a Site)."""

    def __init__(self, horizon: Horizon) -> None:
        self.azimuth_deg, self.altitude_deg = np.array(horizon, dtype=np.float64).T

    def compute_constraint(self, times: Time, observer: Observer, targets: SkyCoord) -> Bools:
        """One answer a target and time."""
        place = observer.altaz(times, targets)
        needed = np.interp(place.az.deg, self.azimuth_deg, self.altitude_deg, period=360.0)
        return np.asarray(place.alt.deg >= needed)
