"""A year of nights over one site at once: when each is dark and where the Moon stands.

For charts of a year: instants are good to some seconds, for one set of axes of date serves all
nights (precession and aberration move a place by 20″ in the year, nothing else does more).
"""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

import numpy as np

from logbook.errors import BadInput
from logbook.sky.night import bodies, earth
from logbook.sky.night.arrays import Bools, Floats
from logbook.sky.night.clock import night_span, zone_of
from logbook.sky.night.site import Site, check_position
from logbook.sky.night.sky_frame import MOON_RADIUS_AU, SkyFrame

LONGEST_YEAR = 800
_LOOKS = 97  # at the Moon in a night: a straight line in between gives its rise to 10 s
_STEP = 0.5  # days between positions that are computed in full
_PASSAGES = 4  # of the Moon through the horizon: never as many in a night
_MOON_LIMB_DEG = -34.0 / 60.0


@dataclass(frozen=True)
class YearNights:
    """Nights in order of date; arrays have a row a night. Instants are MJD.

    frame -- the sky, with the axes of the middle of the year.
    noons -- (nights, 2): noon and the next noon by the site's clock.
    astronomical, nautical -- (nights, 3, 2): spans of darkness within the night; empty ones have
        equal ends.
    moon_edges -- (nights, 6): the noon, the Moon's passages through the horizon and the next noon,
        as often as there is no other passage.
    moon_down -- (nights, 5): whether the Moon is below the horizon between two edges.
    """

    frame: SkyFrame
    dates: tuple[date, ...]
    noons: Floats
    astronomical: Floats
    nautical: Floats
    moon_edges: Floats
    moon_down: Bools


@lru_cache(maxsize=4)
def year_nights(site: Site, first_date: date, nights: int) -> YearNights:
    """The nights from a date on. The last few asked for stay cached. Raises BadInput."""
    check_position(site)
    if not 1 <= nights <= LONGEST_YEAR:
        raise BadInput(f"a year of {nights} nights cannot be: 1 to {LONGEST_YEAR}")
    dates, noons = _noons(site, first_date, nights)
    start, end = float(noons[0, 0]), float(noons[-1, 1])
    orientation = earth.orientation((start + end) / 2.0)
    # A frame's course covers one night; over a year the bodies are interpolated here instead.
    nothing = bodies.Course(start, 1.0, np.zeros((1, 6)))
    frame = SkyFrame(site, start, end, orientation, nothing)
    places = _Places(frame)
    return YearNights(
        frame,
        dates,
        noons,
        _below(places, noons, -18.0),
        _below(places, noons, -12.0),
        *_moon_down(places, noons),
    )


def _noons(site: Site, first_date: date, nights: int) -> tuple[tuple[date, ...], Floats]:
    """The dates that exist by the site's clock, and their noons."""
    zone = zone_of(site.time_zone)
    dates: list[date] = []
    noons: list[list[float]] = []
    for day in range(nights):
        local_date = first_date + timedelta(days=day)
        try:
            span = night_span(zone, local_date)
        except BadInput:
            if not dates:
                raise
            continue
        dates.append(local_date)
        noons.append([earth.to_mjd(instant) for instant in span])
    return tuple(dates), np.array(noons)


class _Places:
    """Sun and Moon over a year: cubics through four positions computed in full.

    The Sun to 0.001″, the Moon to 3″.
    """

    def __init__(self, frame: SkyFrame) -> None:
        self.frame = frame
        self.start = frame.start_mjd - 3.0
        count = int(np.ceil((frame.end_mjd + 3.0 - self.start) / _STEP)) + 1
        mjd = self.start + np.arange(count, dtype=np.float64) * _STEP
        bodies_au = bodies.sun_moon_gcrs(frame.orientation.tt_jd(mjd))
        self.vectors = [each @ frame.orientation.to_date.T for each in bodies_au]

    def sun(self, mjd: Floats) -> tuple[Floats, Floats]:
        """Hour angle and sine of the declination at instants, geocentric: it matters 9″."""
        at = self._at(0, mjd)
        hour_angle = self.frame.meridian_rad(mjd) - np.arctan2(at[:, 1], at[:, 0])
        return hour_angle, at[:, 2] / np.linalg.norm(at, axis=1)

    def moon_limb_deg(self, mjd: Floats) -> Floats:
        """Altitude of the Moon's upper limb as seen from the site."""
        moon = self._at(1, mjd) - self.frame.site_au(mjd)
        distance = np.linalg.norm(moon, axis=1)
        sine = np.einsum("ij,ij->i", moon, self.frame.zenith(mjd)) / distance
        limb = np.arcsin(np.clip(sine, -1.0, 1.0)) + np.arcsin(MOON_RADIUS_AU / distance)
        return np.asarray(np.degrees(limb))

    def _at(self, body: int, mjd: Floats) -> Floats:
        """Vectors (n, 3) at instants (n). Source: Lagrange's four-point formula."""
        vectors = self.vectors[body]
        along = (mjd - self.start) / _STEP
        first = np.clip(along.astype(np.intp) - 1, 0, len(vectors) - 4)
        x = along - first
        weights = (
            -(x - 1.0) * (x - 2.0) * (x - 3.0) / 6.0,
            x * (x - 2.0) * (x - 3.0) / 2.0,
            -x * (x - 1.0) * (x - 3.0) / 2.0,
            x * (x - 1.0) * (x - 2.0) / 6.0,
        )
        parts = [weight[:, None] * vectors[first + i] for i, weight in enumerate(weights)]
        return np.asarray(np.sum(parts, axis=0))


def _below(places: _Places, noons: Floats, depth_deg: float) -> Floats:
    """Spans (nights, 3, 2) in which the Sun is below an altitude: of the night before, this one
    and the next, cut at the noons of this one.
    """
    middle = _midnights(places, noons)
    before, after = (_half_night(places, middle, depth_deg, side) for side in (-1.0, 1.0))
    spans = np.stack([middle - before, middle + after], axis=-1)
    spans = np.stack([spans[:-2], spans[1:-1], spans[2:]], axis=1)
    return np.clip(spans, noons[:, None, :1], noons[:, None, 1:])


def _midnights(places: _Places, noons: Floats) -> Floats:
    """Lower passages of the Sun, one a night, and one before and after all."""
    middle = np.concatenate([noons[:1, 0] - 0.5, noons.mean(axis=1), noons[-1:, 1] + 0.5])
    for _ in range(3):
        middle = middle - _wrapped(places.sun(middle)[0] - np.pi) / (2.0 * np.pi)
    return middle


def _half_night(places: _Places, middle: Floats, depth_deg: float, side: float) -> Floats:
    """Days from each midnight to where the Sun passes an altitude, before (-1) or after (1).

    Nothing where it does not go so deep, half a day where it stays below.
    Source: Meeus 1998, ch. 15, eq. 15.1, with the Sun's place at the instant found.
    """
    sine_depth, latitude = np.sin(np.radians(depth_deg)), places.frame.latitude_rad
    half = np.full_like(middle, 0.25)
    for _ in range(6):
        hour_angle, sine_dec = places.sun(middle + side * half)
        reach = np.maximum(np.cos(latitude) * np.sqrt(1.0 - sine_dec**2), 1e-12)
        cosine = (sine_depth - np.sin(latitude) * sine_dec) / reach
        # From the lower passage; the arc cosine is counted from the upper one.
        wanted = np.pi - np.arccos(np.clip(cosine, -1.0, 1.0))
        missing = wanted - side * _wrapped(hour_angle - np.pi)
        half = np.clip(half + _wrapped(missing) / (2.0 * np.pi), 0.0, 0.5)
    return np.where(cosine <= -1.0, 0.0, np.where(cosine >= 1.0, 0.5, half))


def _wrapped(angle_rad: Floats) -> Floats:
    return np.asarray((angle_rad + np.pi) % (2.0 * np.pi) - np.pi)


def _moon_down(places: _Places, noons: Floats) -> tuple[Floats, Bools]:
    """Edges and whether the Moon is down between them, as `YearNights` has them."""
    at = noons[:, :1] + (noons[:, 1:] - noons[:, :1]) * np.linspace(0.0, 1.0, _LOOKS)
    margins = (places.moon_limb_deg(at.ravel()) - _MOON_LIMB_DEG).reshape(at.shape)
    left, right = margins[:, :-1], margins[:, 1:]
    passes = (left >= 0.0) != (right >= 0.0)
    share = left / np.where(passes, left - right, 1.0)
    instants = np.where(passes, at[:, :-1] + share * np.diff(at, axis=1), noons[:, 1:])
    passages = np.sort(instants, axis=1)[:, :_PASSAGES]
    down_first = margins[:, :1] < 0.0
    down = down_first ^ (np.arange(_PASSAGES + 1) % 2 == 1)
    return np.hstack([noons[:, :1], passages, noons[:, 1:]]), down
