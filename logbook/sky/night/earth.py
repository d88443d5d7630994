"""How the Earth stands and turns: time scales, Earth orientation, the zenith among the stars.

Everything comes from tables that were installed with the program: leap seconds from pyerfa, UT1
and polar motion from astropy-iers-data. Nothing is fetched. Instants are Modified Julian Dates in
UTC (`mjd`), which resolve a microsecond.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache, lru_cache
from pathlib import Path

import erfa
import numpy as np

from logbook.sky.night.arrays import Floats
from logbook.sky.night.site import Site

_MJD_EPOCH = datetime(1858, 11, 17, tzinfo=UTC)
MJD_JD = 2400000.5
ARCSEC_RAD = float(np.pi / 648000.0)
AU_M = 149597870700.0  # IAU 2012 resolution B2
TURNS_A_DAY = 1.00273781191135448  # Earth rotation angle, IERS Conventions 2010, eq. 5.15

# Columns of finals2000A, counted from 0: the day, x and y of the pole, UT1 - UTC, all as
# Bulletin A has them. Source: IERS, readme.finals2000A.
_ROW_BYTES = 188
_MJD, _POLE_X, _POLE_Y, _UT1_UTC = slice(7, 15), slice(18, 27), slice(37, 46), slice(58, 68)


def to_mjd(instant: datetime) -> float:
    """An aware instant as MJD."""
    return (instant - _MJD_EPOCH) / timedelta(days=1)


def to_instant(mjd: float) -> datetime:
    """A MJD as an aware instant in UTC."""
    return _MJD_EPOCH + timedelta(days=float(mjd))


@dataclass(frozen=True, slots=True)
class Orientation:
    """The Earth's orientation, good for a day around `mjd`.

    to_date -- 3x3, from GCRS axes to the celestial intermediate frame of date.
    words -- empty, or what is less certain because the tables do not reach this date.
    """

    mjd: float
    tt_utc_s: float
    ut1_utc_s: float
    pole_x_rad: float
    pole_y_rad: float
    rotation_at_mjd_rad: float
    to_date: Floats
    words: str

    def tt_jd(self, mjd: Floats | float) -> Floats:
        """Terrestrial Time as the second part of a Julian date whose first part is MJD_JD."""
        return np.asarray(mjd) + self.tt_utc_s / 86400.0

    def rotation_rad(self, mjd: Floats | float) -> Floats:
        """Earth rotation angle at instants, not folded into one turn."""
        turns = TURNS_A_DAY * (np.asarray(mjd) - self.mjd)
        return np.asarray(self.rotation_at_mjd_rad + 2.0 * np.pi * turns)

    def terrestrial(self, vector: Floats) -> Floats:
        """A vector fixed to the Earth (ITRS), freed of polar motion (TIRS)."""
        wobble: Floats = erfa.pom00(self.pole_x_rad, self.pole_y_rad, erfa.sp00(MJD_JD, self.mjd))
        return wobble.T @ vector


def orientation(mjd: float) -> Orientation:
    """The orientation for the day around an instant.

    Precession and nutation are IAU 2006/2000A; the offsets of the observed pole (under 0.001″)
    are left out.
    """
    pole_x_arcsec, pole_y_arcsec, ut1_utc_s, words = _observed(mjd)
    tt_utc_s = 32.184 + tai_utc_s(mjd)
    return Orientation(
        mjd=mjd,
        tt_utc_s=tt_utc_s,
        ut1_utc_s=ut1_utc_s,
        pole_x_rad=pole_x_arcsec * ARCSEC_RAD,
        pole_y_rad=pole_y_arcsec * ARCSEC_RAD,
        rotation_at_mjd_rad=float(erfa.era00(MJD_JD, mjd + ut1_utc_s / 86400.0)),
        to_date=erfa.c2i06a(MJD_JD, mjd + tt_utc_s / 86400.0),
        words=words,
    )


def tai_utc_s(mjd: float) -> float:
    """Leap seconds at an instant; before 1972, when UTC was steered otherwise, those of 1972."""
    starts, seconds = _leap_seconds()
    return float(seconds[max(0, int(np.searchsorted(starts, mjd, side="right")) - 1)])


@cache
def _leap_seconds() -> tuple[Floats, Floats]:
    table = erfa.leap_seconds.get()
    table = table[table["year"] >= 1972]
    starts = [to_mjd(datetime(int(row["year"]), int(row["month"]), 1, tzinfo=UTC)) for row in table]
    return np.array(starts), np.array(table["tai_utc"], dtype=np.float64)


def _observed(mjd: float) -> tuple[float, float, float, str]:
    """Polar motion x, y (arcsec), UT1 - UTC (s) and words, from the shipped IERS table."""
    rows = _rows(int(np.floor(mjd)))
    if not rows:
        return 0.0, 0.0, 0.0, "No Earth rotation table covers this date: times to about a second."
    days = np.array([row[0] for row in rows])
    # UT1 - TAI has no steps, so it may be interpolated across a leap second.
    ut1_tai = [row[3] - tai_utc_s(row[0]) for row in rows]
    ut1_utc_s = float(np.interp(mjd, days, ut1_tai)) + tai_utc_s(mjd)
    x, y = (float(np.interp(mjd, days, [row[i] for row in rows])) for i in (1, 2))
    return x, y, ut1_utc_s, ""


@cache
def _table() -> Path | None:
    try:
        from astropy_iers_data import IERS_A_FILE  # type: ignore[import-untyped]
    except ImportError:
        return None
    path = Path(IERS_A_FILE)
    return path if path.is_file() else None


@lru_cache(maxsize=1024)
def _rows(day_mjd: int) -> tuple[tuple[float, ...], ...]:
    """The table's rows of a day and the next, read in place; none if it does not reach."""
    path = _table()
    if path is None:
        return ()
    with path.open("rb") as file:
        row = day_mjd - int(float(file.read(_ROW_BYTES)[_MJD]))
        if row < 0:
            return ()
        file.seek(row * _ROW_BYTES)
        lines = [file.read(_ROW_BYTES) for _ in range(2)]
    try:
        return tuple(
            tuple(float(line[column]) for column in (_MJD, _POLE_X, _POLE_Y, _UT1_UTC))
            for line in lines
        )
    except ValueError:  # past the last prediction the columns are blank
        return ()


def zenith_itrs(site: Site) -> Floats:
    """Unit vector to the geodetic zenith, in Earth-fixed axes."""
    latitude, longitude = np.radians([site.latitude_deg, site.longitude_deg])
    return np.array(
        [
            np.cos(latitude) * np.cos(longitude),
            np.cos(latitude) * np.sin(longitude),
            np.sin(latitude),
        ]
    )


def position_itrs_au(site: Site) -> Floats:
    """The site from the centre of the Earth, WGS 84, in Earth-fixed axes and astronomical units."""
    latitude, longitude = np.radians([site.latitude_deg, site.longitude_deg])
    metres: Floats = erfa.gd2gc(1, longitude, latitude, site.elevation_m)
    return metres / AU_M
