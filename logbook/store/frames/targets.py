"""Which object of the catalogue frames show: by their name for it, else by where they point."""

import re
from dataclasses import dataclass

from logbook.frames.header import Frame
from logbook.records.entries import TargetCopy
from logbook.sky.catalogue.match_position import nearest_object, separation_deg, to_icrs
from logbook.store.choosing.catalogue_targets import copy_of, find_target

# "M31_panel2", "NGC 7000 Ha": a number of a catalogue, then the user's own words.
_NUMBERED = re.compile(r"\s*([A-Za-z]{1,4}\d?[ _-]*\d+)(?![\d.])", re.ASCII)
_SURELY_ELSEWHERE_DEG = 0.5


@dataclass(frozen=True, slots=True)
class Matched:
    """An object, how it was found, and what speaks against it."""

    target: TargetCopy | None
    how: str = ""
    warning: str = ""


def match(frame: Frame, field_radius_deg: float) -> Matched:
    """The object of a light frame.

    field_radius_deg -- from the middle of the frame to its corner.
    """
    if frame.frame_type != "light":
        return Matched(None)
    named = _by_name(frame.object_name)
    if named is None:
        return _by_place(frame, field_radius_deg)
    return Matched(named, "by name", _far_off(frame, named, field_radius_deg))


def _by_name(name: str) -> TargetCopy | None:
    if not name:
        return None
    found = find_target(name)
    numbered = _NUMBERED.match(name)
    if found is None and numbered is not None:
        found = find_target(numbered[1].replace("_", " "))
    return found


def _by_place(frame: Frame, within_deg: float) -> Matched:
    unknown = f"no object is called {frame.object_name!r}" if frame.object_name else ""
    place = _place(frame)
    near = nearest_object(*place, within_deg) if place else None
    if near is None:
        beside = f" and none is catalogued within {within_deg:.2g}° of where it points"
        return Matched(None, "", f"{unknown}{beside if place else ''}" if unknown else "")
    how = f"by place, {distance_words(near.separation_deg)} from the middle"
    return Matched(copy_of(near.thing), how, f"{unknown}: taken by place" if unknown else "")


def _far_off(frame: Frame, named: TargetCopy, field_radius_deg: float) -> str:
    """A name and a place that cannot both be."""
    place = _place(frame)
    if place is None or named.ra_deg is None or named.dec_deg is None:
        return ""
    away_deg = separation_deg(*place, named.ra_deg, named.dec_deg)
    own_size_deg = (named.major_arcmin or 0.0) / 120.0
    if away_deg <= max(field_radius_deg, _SURELY_ELSEWHERE_DEG) + own_size_deg:
        return ""
    near = nearest_object(*place, field_radius_deg)
    there = f", at {near.thing.title}" if near else ""
    return f"called {frame.object_name}, but points {distance_words(away_deg)} away{there}"


def _place(frame: Frame) -> tuple[float, float] | None:
    if frame.ra_deg is None or frame.dec_deg is None:
        return None
    return to_icrs(frame.ra_deg, frame.dec_deg, frame.equinox)


def distance_words(separation_deg: float) -> str:
    """`4′`, `12.3°`."""
    if separation_deg < 1.0:
        return f"{separation_deg * 60.0:.0f}′"
    return f"{separation_deg:.1f}°"
