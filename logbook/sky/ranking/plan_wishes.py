"""Objects of a ranking as wishes for the night's running order."""

from collections.abc import Iterable

from logbook.sky.altitude.clear_intervals import clear_windows
from logbook.sky.altitude.curve import fixed
from logbook.sky.altitude.visibility import spans_mjd
from logbook.sky.night import earth
from logbook.sky.ranking.ranking import Ranking
from logbook.sky.ranking.running_order import Wish


def wishes(ranking: Ranking, object_ids: Iterable[str]) -> tuple[Wish, ...]:
    """The objects of these ids with their windows of the night. Raises NotFound."""
    return tuple(_wish(ranking, each) for each in object_ids)


def _wish(ranking: Ranking, object_id: str) -> Wish:
    prepared = ranking.prepared
    catalogue = prepared.targets.catalogue
    row = catalogue.index_of(object_id)
    thing = catalogue.at(row)
    dark = spans_mjd(ranking.darkness.intervals)
    transit = float(ranking.windows.transit_mjd[row])
    owed = float(ranking.owed_hours[row])
    return Wish(
        object_id=object_id,
        name=thing.title,
        windows=clear_windows(prepared.frame, fixed(thing), dark, ranking.limits.min_altitude_deg),
        transit_utc=earth.to_instant(transit) if transit == transit else None,
        owed_hours=owed if owed > 0.0 else None,
    )
