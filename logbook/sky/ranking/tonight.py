"""Tonight in one answer: the night, and what is worth it."""

from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from logbook.sky.altitude.sky_brightness import DARK_SKY_MAG_ARCSEC2
from logbook.sky.catalogue.objects import Catalogue, deep_sky
from logbook.sky.framing.framing import FieldOfView
from logbook.sky.limits.limits import Limits
from logbook.sky.night.clock import iso_z
from logbook.sky.night.intervals import common, total_hours
from logbook.sky.night.night import Night
from logbook.sky.night.site import Site
from logbook.sky.ranking.book_facts import NO_FACTS, BookFacts
from logbook.sky.ranking.ranking import Ranking, prepare, rank, reranked
from logbook.sky.ranking.suggestions import Suggestion, suggestions

# The median sky this much brighter: what is faint takes twice the time. Common practice, no source.
FAINT_LOST_MAG = 0.75


@dataclass(frozen=True)
class Tonight:
    """One night for one site and field.

    suggestions -- the first of all `ranking.rows`, which are those within the limits.
    words -- what the user should read first; that it is no night for faint objects leads.
    """

    site: Site
    field: FieldOfView | None
    night: Night
    ranking: Ranking
    suggestions: tuple[Suggestion, ...]
    words: tuple[str, ...]


def tonight(
    site: Site,
    field: FieldOfView | None,
    local_date: date,
    limits: Limits | None = None,
    *,
    facts: BookFacts = NO_FACTS,
    most: int = 20,
    catalogue: Catalogue | None = None,
) -> Tonight:
    """The night of a local date and its best objects, at most `most`. Raises BadInput."""
    prepared = prepare(site, local_date, catalogue or deep_sky())
    return _answer(rank(prepared, field, limits or Limits(), facts), most)


def under_limits(answer: Tonight, limits: Limits, *, most: int = 20) -> Tonight:
    """The same night under other limits, in some milliseconds."""
    return _answer(reranked(answer.ranking, limits), most)


def _answer(ranking: Ranking, most: int) -> Tonight:
    prepared = ranking.prepared
    return Tonight(
        site=prepared.frame.site,
        field=ranking.field,
        night=prepared.night,
        ranking=ranking,
        suggestions=tuple(suggestions(ranking, most)),
        words=_words(ranking),
    )


def _words(ranking: Ranking) -> tuple[str, ...]:
    night = ranking.prepared.night
    words = [*verdict(ranking), *night.words, *ranking.darkness.words]
    if ranking.darkness.intervals and not len(ranking.rows):
        words.append("Nothing in the catalogue is within these limits.")
    if ranking.field is None:
        words.append("No train is chosen: how objects fill the frame is left out.")
    if ranking.prepared.frame.site.dark_sky_mag_arcsec2 is None:
        words.append(
            f"The site's dark sky is not known: {DARK_SKY_MAG_ARCSEC2:g} mag/arcsec² is taken."
        )
    return tuple(words)


def verdict(ranking: Ranking) -> tuple[str, ...]:
    """That it is no night for faint objects, and why; nothing where it may be one."""
    reasons = [*_twilight_verdict(ranking), *_moon_verdict(ranking)]
    return (f"Not faint objects tonight: {'; '.join(reasons)}.",) if reasons else ()


def _twilight_verdict(ranking: Ranking) -> list[str]:
    below = ranking.darkness.sun_below_deg
    if below == -18.0:
        return []
    return ["it does not get dark" if below is None else "there is twilight all night"]


def _moon_verdict(ranking: Ranking) -> list[str]:
    night, dark = ranking.prepared.night, ranking.darkness
    lit = total_hours(common(dark.intervals, night.moon_up))
    brighter = _moonlit_mag(ranking)
    if lit < max(0.5 * dark.hours, 0.01) or brighter < FAINT_LOST_MAG:
        return []
    words = (
        f"the Moon is {night.moon_illumination * 100.0:.0f} % lit and up for {lit:.1f} of "
        f"{dark.hours:.1f} dark hours, the sky {brighter:.1f} mag brighter"
    )
    left = dark.hours - lit
    return [f"{words}, {left:.1f} h are without it" if left >= 0.5 else words]


def _moonlit_mag(ranking: Ranking) -> float:
    """How much brighter the sky is where most objects of the catalogue stand with the Moon up."""
    sight = ranking.sight
    brighter = np.sort(sight.moonlight_mag[sight.moon.up_part > 0.0])
    return float(brighter[len(brighter) // 2]) if len(brighter) else 0.0


def as_json(answer: Tonight) -> dict[str, object]:
    """Tonight as plain values for JSON: instants ISO 8601 in UTC, null for what does not happen."""
    return {
        "site": _site_json(answer.site),
        "train": _field_json(answer.field),
        "night": _night_json(answer.night),
        "suggestions": [_suggestion_json(each) for each in answer.suggestions],
    }


def _site_json(site: Site) -> dict[str, object]:
    return {
        "name": site.name,
        "latitude_deg": site.latitude_deg,
        "longitude_deg": site.longitude_deg,
        "elevation_m": site.elevation_m,
        "time_zone": site.time_zone,
    }


def _field_json(field: FieldOfView | None) -> dict[str, object] | None:
    if field is None:
        return None
    return {
        "name": field.name,
        "focal_length_mm": field.focal_length_mm,
        "image_scale_arcsec_px": field.image_scale_arcsec_px,
        "field_deg": list(field.field_deg),
    }


def _night_json(night: Night) -> dict[str, object]:
    return {
        "sunset": _instant(night.sunset),
        "sunrise": _instant(night.sunrise),
        "dark_from": _instant(night.dark.start if night.dark else None),
        "dark_to": _instant(night.dark.end if night.dark else None),
        "moon_illumination": round(night.moon_illumination, 4),
        "moon_rise": _instant(night.moon_rise),
        "moon_set": _instant(night.moon_set),
    }


def _suggestion_json(each: Suggestion) -> dict[str, object]:
    return {
        "object": each.object_id,
        "name": each.name,
        "ra_deg": each.ra_deg,
        "dec_deg": each.dec_deg,
        "hours": round(each.hours, 4),
        "from": _instant(each.from_utc),
        "to": _instant(each.to_utc),
        "max_altitude_deg": round(each.max_altitude_deg, 4),
        "transit": _instant(each.transit_utc),
        "moon_separation_min_deg": round(each.moon_separation_min_deg, 3),
        "frame_fill": None if each.frame_fill is None else round(each.frame_fill, 4),
        "score": round(each.score, 4),
        "reasons": list(each.all_words),
    }


def _instant(instant: datetime | None) -> str | None:
    return None if instant is None else iso_z(instant)
