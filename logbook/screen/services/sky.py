"""The sky as the screen asks for it. What is heavy is imported at the first call that needs it.

Tests put a small stand-in with the same methods in its place.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Protocol

from logbook.sky.catalogue.name_search import finder
from logbook.store.choosing.catalogue_targets import complete_target, find_target

if TYPE_CHECKING:
    from logbook.kit.parts.part import Train
    from logbook.records.entries import TargetCopy
    from logbook.screen.services.sky_calculations import SkyCalculations
    from logbook.sky.altitude.curve import AltitudeCurve
    from logbook.sky.altitude.track import Track
    from logbook.sky.catalogue.name_search import Found
    from logbook.sky.catalogue.objects import SkyObject
    from logbook.sky.limits.limits import Limits
    from logbook.sky.night.night import Night
    from logbook.sky.night.site import Site
    from logbook.sky.ranking.book_facts import BookFacts
    from logbook.sky.ranking.tonight import Tonight

SUGGESTIONS_SHOWN = 60
SEARCH_SHOWN = 12


class SkyDesk(Protocol):
    """What the screen wants to know of the sky.

    Called from worker threads, but for `find`, `complete` and `search`, which answer at once.
    """

    def load(self) -> None:
        """Read the catalogue, so that `find` and `complete` answer at once."""

    def find(self, typed: str) -> TargetCopy | None:
        """The object meant, or None. Before `load` has ended, None."""

    def complete(self, typed: str) -> list[str]:
        """Names that begin like what was typed, best first."""

    def search(self, typed: str) -> list[Found]:
        """Objects that fit what was typed, best first. Before `load` has ended, none."""

    def tonight(
        self,
        site: Site,
        train: Train | None,
        local_date: date,
        limits: Limits | None,
        facts: BookFacts,
    ) -> Tonight:
        """The night and what is worth doing in it. Raises LogbookError."""

    def again(self, tonight: Tonight, limits: Limits) -> Tonight:
        """The same night ranked within other limits; quick enough for every key typed."""

    def thing(self, object_id: str) -> SkyObject:
        """An object of the catalogues. Raises NotFound, for the Moon and the planets too."""

    def curve(self, site: Site, object_id: str, night: Night) -> AltitudeCurve:
        """The altitudes of an object through a night. Raises NotFound."""

    def track(self, site: Site, target: TargetCopy, local_date: date, limit_deg: float) -> Track:
        """Where an object stands through the night of a date. Raises LogbookError."""

    def position_angle_deg(self, object_id: str) -> float | None:
        """North through east; None if it is not known."""


def _calculations() -> type[SkyCalculations]:
    from logbook.screen.services.sky_calculations import SkyCalculations

    return SkyCalculations


class RealSky:
    """The sky of `logbook.sky`."""

    def __init__(self) -> None:
        self._ready = False

    def load(self) -> None:
        finder()
        self._ready = True

    def find(self, typed: str) -> TargetCopy | None:
        if not self._ready:
            return None
        return find_target(typed)

    def complete(self, typed: str) -> list[str]:
        if not self._ready:
            return []
        return complete_target(typed)

    def search(self, typed: str) -> list[Found]:
        if not self._ready:
            return []
        return finder().find(typed, SEARCH_SHOWN)

    def tonight(
        self,
        site: Site,
        train: Train | None,
        local_date: date,
        limits: Limits | None,
        facts: BookFacts,
    ) -> Tonight:
        calculations = _calculations()
        field = calculations.view_of(train)
        return calculations.tonight(
            site, field, local_date, limits, facts=facts, most=SUGGESTIONS_SHOWN
        )

    def again(self, tonight: Tonight, limits: Limits) -> Tonight:
        return _calculations().under_limits(tonight, limits, most=SUGGESTIONS_SHOWN)

    def thing(self, object_id: str) -> SkyObject:
        return finder().exact(object_id)

    def curve(self, site: Site, object_id: str, night: Night) -> AltitudeCurve:
        sky = _calculations()
        objects = sky.deep_sky()
        return sky.altitude_curve(site, objects.at(objects.index_of(object_id)), night)

    def track(self, site: Site, target: TargetCopy, local_date: date, limit_deg: float) -> Track:
        place = None
        if target.ra_deg is not None and target.dec_deg is not None:
            place = (target.ra_deg, target.dec_deg)
        return _calculations().track_of(site, place, target.catalogue_id, local_date, limit_deg)

    def position_angle_deg(self, object_id: str) -> float | None:
        objects = _calculations().deep_sky()
        return objects.at(objects.index_of(object_id)).position_angle_deg
