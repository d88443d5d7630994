"""Suggestions for a night, each with its reasons in numbers."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from logbook.sky.catalogue.objects import Catalogue
from logbook.sky.framing.framing import FieldOfView
from logbook.sky.limits.limits import Limits
from logbook.sky.night import earth
from logbook.sky.night.site import Site
from logbook.sky.ranking import reasons
from logbook.sky.ranking.ranking import Ranking, prepare, rank

# Nearer to each other than most places of the catalogue are sure to be.
SAME_PLACE_ARCMIN = 0.5
_SAME_PLACE_COSINE = float(np.cos(np.radians(SAME_PLACE_ARCMIN / 60.0)))


@dataclass(frozen=True, slots=True)
class Factor:
    """One factor of a score: its name, its value from 0 to 1, and why."""

    name: str
    value: float
    words: str


@dataclass(frozen=True, slots=True)
class Suggestion:
    """An object worth this night. Instants are aware UTC; unknown is None.

    object_id -- as the catalogue writes it; `name` the best one to show.
    hours -- time above the wanted altitude (and the horizon) in darkness; from_utc and to_utc its
        begin and end. Shorter than their difference if the object dips below in between.
    transit_utc -- upper meridian passage in this night.
    moon_separation_min_deg -- least in the window, seen from the site, whether the Moon is up
        (`moon_up_part` of the window, 0 to 1) or not.
    moonlight_mag -- how much brighter the Moon makes the sky there; 0 while it is down.
    frame_fill -- major axis over the short side of the field.
    unknown -- what the catalogue does not say of it: "size unknown", "magnitude unknown".
    same_place -- other objects within the limits that the catalogue has in its place: the same
        under another number, or a close companion. They are no suggestions of their own.
    """

    object_id: str
    name: str
    kind: str
    constellation: str
    ra_deg: float
    dec_deg: float
    magnitude: float | None
    major_arcmin: float | None
    minor_arcmin: float | None
    hours: float
    from_utc: datetime
    to_utc: datetime
    max_altitude_deg: float
    transit_utc: datetime | None
    moon_separation_min_deg: float
    moon_up_part: float
    moonlight_mag: float
    frame_fill: float | None
    score: float
    factors: tuple[Factor, ...]
    unknown: tuple[str, ...]
    same_place: tuple[str, ...]

    @property
    def reasons(self) -> tuple[str, ...]:
        """Words for each factor, in order."""
        return tuple(factor.words for factor in self.factors)

    @property
    def all_words(self) -> tuple[str, ...]:
        """The reasons, and what is unknown where no factor says it."""
        said = self.reasons
        return (*said, *(words for words in self.unknown if words not in said))


def suggest(
    site: Site,
    local_date: date,
    field: FieldOfView | None,
    catalogue: Catalogue,
    limits: Limits | None = None,
    *,
    most: int = 50,
) -> list[Suggestion]:
    """The best objects for one night, best first. Raises BadInput.

    field -- what the train shows; None leaves framing out of the score.
    """
    return suggestions(rank(prepare(site, local_date, catalogue), field, limits or Limits()), most)


def suggestions(ranking: Ranking, most: int) -> list[Suggestion]:
    """The first of a ranking; what lies in the place of a better one is named with that."""
    return [suggestion(ranking, first, others) for first, *others in _by_place(ranking, most)]


def _by_place(ranking: Ranking, most: int) -> list[list[int]]:
    """The first rows, best first, each with later ones of like kind in its place."""
    rows = ranking.rows[: 3 * most]
    directions = ranking.prepared.directions[rows]
    families = ranking.prepared.targets.families[rows]
    groups: list[list[int]] = []
    firsts = np.empty(most, dtype=np.intp)
    firsts_there = np.empty((most, 3))
    for at, row in enumerate(rows.tolist()):
        near = np.flatnonzero(firsts_there[: len(groups)] @ directions[at] > _SAME_PLACE_COSINE)
        same = [each for each in near if families[firsts[each]] == families[at]]
        if same:
            groups[same[0]].append(row)
        elif len(groups) < most:
            firsts[len(groups)], firsts_there[len(groups)] = at, directions[at]
            groups.append([row])
    return groups


def suggestion(ranking: Ranking, row: int, same_place: Sequence[int] = ()) -> Suggestion:
    """One object of a ranking, with its reasons. It must have a window.

    same_place -- rows of others that are named with it.
    """
    found, moon = ranking.windows, ranking.moon
    thing = ranking.prepared.targets.catalogue.at(row)
    words = reasons.reasons(ranking, row)
    others = tuple(ranking.prepared.targets.catalogue.ids[each] for each in same_place)
    if others:
        words["appeal"] += f", with {', '.join(others)} in the same place"
    return Suggestion(
        object_id=thing.id,
        name=thing.name,
        kind=thing.kind,
        constellation=thing.constellation,
        ra_deg=thing.ra_deg,
        dec_deg=thing.dec_deg,
        magnitude=thing.magnitude,
        major_arcmin=thing.major_arcmin,
        minor_arcmin=thing.minor_arcmin,
        hours=float(found.hours[row]),
        from_utc=earth.to_instant(found.first_mjd[row]),
        to_utc=earth.to_instant(found.last_mjd[row]),
        max_altitude_deg=float(found.max_altitude_deg[row]),
        transit_utc=_maybe_instant(found.transit_mjd[row]),
        moon_separation_min_deg=float(moon.nearest_deg[row]),
        moon_up_part=float(moon.up_part[row]),
        moonlight_mag=float(ranking.sight.moonlight_mag[row]),
        frame_fill=None if np.isnan(ranking.fill[row]) else float(ranking.fill[row]),
        score=float(ranking.score[row]),
        factors=tuple(
            Factor(name, float(values[row]), words[name])
            for name, values in ranking.factors.items()
        ),
        unknown=reasons.unknown(ranking, row),
        same_place=others,
    )


def _maybe_instant(mjd: float) -> datetime | None:
    return None if np.isnan(mjd) else earth.to_instant(mjd)
