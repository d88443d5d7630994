"""How fast the answers for a bright night are, against the same by a reference library.

`python -m tests.bench_bright_moon` prints it; nothing is asserted.
"""

import statistics
import time
from collections.abc import Callable
from datetime import date, timedelta

import astropy.units as u
import numpy as np
from astropy.coordinates import AltAz, get_body
from astropy.time import Time

from logbook.sky.altitude.ephemeris import BODIES, Mover
from logbook.sky.bright_night.bright_night import instead_tonight
from logbook.sky.bright_night.doubles_tonight import doubles_tonight
from logbook.sky.bright_night.moon_tonight import moon_tonight
from logbook.sky.bright_night.star_test_star import star_test_stars
from logbook.sky.bright_night.tonight import planets_tonight
from logbook.sky.catalogue.objects import deep_sky
from logbook.sky.framing.field_contents import frame_view
from logbook.sky.framing.framing import FieldOfView
from logbook.sky.framing.instrument import Instrument
from logbook.sky.night import earth
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.observer import observer
from tests.sky.tables import WALES

LONG = Instrument(203.0, FieldOfView("bench", 1624.0, 0.478, (0.83, 0.55)))


def run() -> list[str]:
    """Lines with times and one ratio, measured now."""
    night, frame = night_and_frame(WALES, date(2026, 11, 21))
    at = night.noon_utc + timedelta(hours=9)
    galaxy = deep_sky().at(deep_sky().index_of("NGC 4374"))
    answers: dict[str, Callable[[], object]] = {
        "the Moon's face": lambda: moon_tonight(frame, night, LONG, at),
        "seven planets": lambda: planets_tonight(frame, night, LONG, at=at),
        "double stars": lambda: doubles_tonight(frame, night, LONG),
        "star for the star test": lambda: star_test_stars(frame, LONG, at),
        "what lies in the frame": lambda: frame_view(galaxy, LONG),
        "the whole list": lambda: instead_tonight(frame, night, LONG, at=at),
    }
    lines = [f"{name}: {_median_ms(answer):.1f} ms" for name, answer in answers.items()]
    mjd = np.linspace(earth.to_mjd(night.noon_utc), earth.to_mjd(night.next_noon_utc), 145)
    ours = _median_ms(lambda: [Mover(frame, name).altitude_deg(mjd) for name in BODIES])
    there = AltAz(obstime=Time(mjd, format="mjd"), location=observer(WALES).location)
    theirs = _median_ms(
        lambda: [
            get_body(name.lower(), there.obstime, there.location).transform_to(there).alt.to(u.deg)
            for name in BODIES
        ]
    )
    lines.append(
        f"altitudes of Moon and planets every 10 minutes: {theirs / ours:.0f} times as fast as "
        f"astropy ({ours:.1f} and {theirs:.0f} ms)"
    )
    return lines


def _median_ms(answer: Callable[[], object]) -> float:
    answer()
    times = []
    for _ in range(7):
        start = time.perf_counter()
        answer()
        times.append(time.perf_counter() - start)
    return 1000.0 * statistics.median(times)


if __name__ == "__main__":
    print("\n".join(run()))
