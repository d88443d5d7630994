"""Objects that no catalogue of the program has: the Moon, the planets, pairs of stars."""

from datetime import date
from typing import TYPE_CHECKING

from logbook.errors import NotFound

if TYPE_CHECKING:
    from logbook.screen.sky_desk import SkyDesk
    from logbook.sky.catalogue import SkyObject
    from logbook.sky.limits import Limits
    from logbook.sky.one_object import ObjectTonight
    from logbook.sky.place import Site
    from logbook.store.records import TargetCopy


def is_body(object_id: str) -> bool:
    """Whether an id is that of the Moon or a planet."""
    from logbook.sky.moving import BODIES

    return object_id in BODIES


def seen_body(
    site: "Site", name: str, local_date: date, limits: "Limits"
) -> "tuple[SkyObject, ObjectTonight]":
    """What it is in the middle of the night, and what the night holds for it."""
    from logbook.sky.almanac import night_and_frame
    from logbook.sky.moving import Mover, body_object
    from logbook.sky.one_object import object_along

    night, frame = night_and_frame(site, local_date)
    middle = night.noon_utc + (night.next_noon_utc - night.noon_utc) / 2
    seen = object_along(
        site, lambda there, mjd: Mover(there, name).directions(mjd), local_date, limits
    )
    return body_object(frame, name, middle), seen


def thing_of(sky: "SkyDesk", object_id: str, target: "TargetCopy | None") -> "SkyObject":
    """The catalogue's object, else one made from a copy with a place. Raises NotFound."""
    from logbook.sky.catalogue import SkyObject

    try:
        return sky.thing(object_id)
    except NotFound:
        if target is None or target.ra_deg is None or target.dec_deg is None:
            raise
    return SkyObject(
        id=target.catalogue_id,
        kind=target.kind,
        name=target.name,
        constellation=target.constellation,
        ra_deg=target.ra_deg,
        dec_deg=target.dec_deg,
        major_arcmin=target.major_arcmin,
        minor_arcmin=target.minor_arcmin,
        position_angle_deg=target.position_angle_deg,
        magnitude=target.magnitude,
        magnitude_band=None,
        surface_brightness_mag_arcsec2=None,
        aliases=(),
    )
