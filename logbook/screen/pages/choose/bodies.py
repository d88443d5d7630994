"""The Moon and the planets, which have no place in a catalogue, as objects of a night."""

from datetime import date, datetime

from logbook.screen.services.sky import SkyDesk
from logbook.sky.altitude.ephemeris import BODIES, Mover, body_object
from logbook.sky.altitude.one_object import ObjectTonight, object_along
from logbook.sky.catalogue.objects import SkyObject
from logbook.sky.limits.limits import Limits
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.site import Site
from logbook.sky.ranking.tonight import Tonight


def is_body(object_id: str) -> bool:
    """Whether an id is that of the Moon or a planet."""
    return object_id in BODIES


def seen_body(
    site: Site, name: str, local_date: date, limits: Limits
) -> tuple[SkyObject, ObjectTonight]:
    """What it is in the middle of the night, and what the night holds for it."""
    night, frame = night_and_frame(site, local_date)
    middle = night.noon_utc + (night.next_noon_utc - night.noon_utc) / 2
    seen = object_along(
        site, lambda there, mjd: Mover(there, name).directions(mjd), local_date, limits
    )
    return body_object(frame, name, middle), seen


def thing_at(sky: SkyDesk, tonight: Tonight, object_id: str, at: datetime) -> SkyObject:
    """An object of the catalogues, or a body where it is at an instant. Raises NotFound."""
    if is_body(object_id):
        return body_object(tonight.ranking.prepared.frame, object_id, at)
    return sky.thing(object_id)
