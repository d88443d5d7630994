"""The words of a suggestion: every factor as numbers the user can check."""

import numpy as np

from logbook.sky.altitude.airmass import airmass
from logbook.sky.catalogue.ranking_columns import Renown
from logbook.sky.ranking.ranking import Ranking

_RENOWN = {
    Renown.MESSIER: "in Messier's list",
    Renown.NAMED: "known by a name",
    Renown.NUMBERED: "NGC or IC number only",
    Renown.OTHER: "seldom listed",
}


def reasons(ranking: Ranking, row: int) -> dict[str, str]:
    """Words for each factor of an object's score, by the factor's name."""
    return {
        "hours": _hours(ranking, row),
        "altitude": _altitude(ranking, row),
        "moonlight": _moonlight(ranking, row),
        "brightness": _brightness(ranking, row),
        "appeal": _appeal(ranking, row),
        "framing": _framing(ranking, row),
        "owed": _owed(ranking, row),
        "last seen": _last_seen(ranking, row),
    }


def unknown(ranking: Ranking, row: int) -> tuple[str, ...]:
    """What the catalogue does not say of an object: limits on it could not be held to."""
    catalogue = ranking.prepared.targets.catalogue
    columns = (
        ("size unknown", catalogue.major_arcmin),
        ("magnitude unknown", catalogue.magnitude),
    )
    return tuple(words for words, values in columns if np.isnan(values[row]))


def _hours(ranking: Ranking, row: int) -> str:
    found = ranking.windows
    hours, dark = float(found.hours[row]), ranking.darkness.hours
    over = f"{ranking.limits.min_altitude_deg:g}°"
    if ranking.prepared.frame.site.horizon:
        over += " and the horizon"
    astronomical = ranking.darkness.sun_below_deg == -18.0
    dark_hours = "dark hours" if astronomical else "hours of nautical darkness"
    words = f"{hours:.1f} of {dark:.1f} {dark_hours} above {over}"
    whole = (found.last_mjd[row] - found.first_mjd[row]) * 24.0
    return f"{words}, with a break" if whole - hours > 0.02 else words


def _altitude(ranking: Ranking, row: int) -> str:
    highest = float(ranking.windows.max_altitude_deg[row])
    return f"up to {highest:.0f}°, airmass {float(airmass(highest)):.2f}"


def _moonlight(ranking: Ranking, row: int) -> str:
    moon, night = ranking.moon, ranking.prepared.night
    if moon.up_part[row] == 0.0:
        return "Moon below the horizon"
    brighter = ranking.sight.moonlight_mag[row]
    up = max(1, round(100.0 * float(moon.up_part[row])))
    shares = "all the time" if up == 100 else f"{up} % of it"
    words = (
        f"Moon {night.moon_illumination * 100.0:.0f} % lit, {moon.nearest_deg[row]:.0f}° away, "
        f"up {shares}: sky {brighter:.1f} mag brighter there"
    )
    share = ranking.limits.sky_share
    return words if share == 1.0 else f"{words}, {share * 100.0:.3g} % of it through the filter"


def _brightness(ranking: Ranking, row: int) -> str:
    catalogue = ranking.prepared.targets.catalogue
    magnitude = float(catalogue.magnitude[row])
    if np.isnan(magnitude):
        return "magnitude unknown"
    return f"magnitude {magnitude:.1f} {catalogue.magnitude_bands[row]}".rstrip()


def _appeal(ranking: Ranking, row: int) -> str:
    targets = ranking.prepared.targets
    kind, renown = str(targets.catalogue.kinds[row]), Renown(int(targets.renown[row]))
    return f"{kind}, {_RENOWN[renown]}"


def _framing(ranking: Ranking, row: int) -> str:
    fill = float(ranking.fill[row])
    if ranking.field is None:
        return "no field to fill"
    if np.isnan(fill):
        return "size unknown"
    if ranking.tightest[row] > 1.0:
        return f"does not fit: {fill:.1f} × the short side"
    if fill > 1.0:
        return f"{fill:.1f} × the short side: fits along the long side"
    if fill < 0.1:
        return f"small: fills {fill * 100.0:.{0 if fill >= 0.01 else 1}f} % of the short side"
    return f"fills {fill * 100.0:.0f} % of the short side"


def _owed(ranking: Ranking, row: int) -> str:
    owed = float(ranking.owed_hours[row])
    if np.isnan(owed):
        return "no project"
    return f"{owed:.1f} h still owed to its project" if owed > 0.0 else "its project is done"


def _last_seen(ranking: Ranking, row: int) -> str:
    days = float(ranking.days_ago[row])
    if np.isnan(days):
        return "never observed"
    words = f"observed {days:.0f} nights ago" if days > 1.0 else _LATELY[max(-1, int(days))]
    return f"{words}, but hours are owed" if ranking.owed_hours[row] > 0.0 else words


_LATELY = {1: "observed last night", 0: "observed tonight", -1: "observed since"}
