"""From the catalogue into the book: an object is copied when it is first used."""

from typing import TYPE_CHECKING

from logbook.errors import NotFound
from logbook.records.entries import TargetCopy
from logbook.sky.catalogue.name_search import finder

if TYPE_CHECKING:  # that module has numpy
    from logbook.sky.catalogue.objects import SkyObject

_WANDERING = ("moon", "planet")


def copy_of(found: "SkyObject") -> TargetCopy:
    """What a book keeps of a catalogue object."""
    return TargetCopy(
        catalogue_id=found.id,
        name=found.name,
        kind=found.kind,
        ra_deg=found.ra_deg,
        dec_deg=found.dec_deg,
        constellation=found.constellation,
        major_arcmin=found.major_arcmin,
        minor_arcmin=found.minor_arcmin,
        position_angle_deg=found.position_angle_deg,
        magnitude=found.magnitude,
    )


def find_target(typed: str) -> TargetCopy | None:
    """The object that a name means, or None. The Moon and the planets have no fixed place."""
    try:
        named = finder().named(typed)
    except NotFound:
        return None
    if named.kind in _WANDERING:
        return TargetCopy(named.id, named.shown, named.kind, None, None)
    return copy_of(finder().exact(typed))


def complete_target(typed: str) -> list[str]:
    """Names that begin like what was typed, best first."""
    return [found.matched for found in finder().find(typed, limit=6)]
