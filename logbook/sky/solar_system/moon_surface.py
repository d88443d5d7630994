"""How the Moon is turned and lit: libration, colongitude, terminator.

The Moon is taken to turn evenly by Cassini's laws (optical libration). What it sways besides is
under 0.04° (Meeus 1998, ch. 53), 5 minutes of the terminator's way. Selenographic longitudes are
positive to the east as it is seen from the Moon, towards Mare Crisium.
"""

from dataclasses import dataclass
from datetime import datetime

import erfa
import numpy as np

from logbook.sky.night import earth
from logbook.sky.night.arrays import Floats
from logbook.sky.night.sky_frame import MOON_RADIUS_AU, SkyFrame

_INCLINATION_RAD = np.radians(1.54242)  # of the Moon's equator to the ecliptic; Meeus, ch. 53
_DAYS_A_CENTURY = 36525.0
_J2000_MJD = 51544.5
_QUARTER_NEAR_DEG = 12.0  # nearer than this to full or new, both terminators lie at the limb


@dataclass(frozen=True, slots=True)
class MoonState:
    """The Moon at one instant as it is seen from the site; angles in degrees.

    colongitude_deg -- 0 about first quarter, 90 about full Moon: how far west of the Moon's middle
        the Sun rises.
    libration_* -- the place of the Moon that faces the site; east and north positive.
    axis_position_angle_deg -- of the Moon's north pole, from celestial north through east.
    sunrise_terminator_deg, sunset_terminator_deg -- longitudes at the Moon's equator where the Sun
        rises and sets.
    visible_terminator -- which of them is well inside the disc: "sunrise", "sunset" or "neither".
    illumination -- lit part of the disc from the site, 0 to 1.
    """

    at: datetime
    colongitude_deg: float
    subsolar_longitude_deg: float
    subsolar_latitude_deg: float
    libration_longitude_deg: float
    libration_latitude_deg: float
    geocentric_libration_deg: tuple[float, float]
    axis_position_angle_deg: float
    bright_limb_position_angle_deg: float
    diameter_arcsec: float
    distance_km: float
    altitude_deg: float
    azimuth_deg: float
    illumination: float
    sunrise_terminator_deg: float
    sunset_terminator_deg: float
    visible_terminator: str
    words: tuple[str, ...]


def facing(towards_moon_gcrs: Floats, tt_jd: Floats) -> tuple[Floats, Floats]:
    """Longitude (-180 to 180) and latitude on the Moon (n) that face who looks along a vector.

    towards_moon_gcrs -- vectors (n, 3) from the observer, or from the Sun, to the Moon.
    tt_jd -- second part of the Julian date in TT.
    Source: Meeus 1998, ch. 53, eq. 53.1, optical libration.
    """
    centuries = (np.asarray(tt_jd) - _J2000_MJD) / _DAYS_A_CENTURY
    ecliptic = np.einsum("nij,nj->ni", erfa.ecm06(earth.MJD_JD, tt_jd), towards_moon_gcrs)
    longitude = np.arctan2(ecliptic[:, 1], ecliptic[:, 0])
    latitude = np.arctan2(ecliptic[:, 2], np.hypot(ecliptic[:, 0], ecliptic[:, 1]))
    from_node = longitude - erfa.faom03(centuries)
    sine_i, cosine_i = np.sin(_INCLINATION_RAD), np.cos(_INCLINATION_RAD)
    across = np.sin(from_node) * np.cos(latitude)
    turned = np.arctan2(
        across * cosine_i - np.sin(latitude) * sine_i, np.cos(from_node) * np.cos(latitude)
    )
    north = np.arcsin(-across * sine_i - np.sin(latitude) * cosine_i)
    return _signed(np.degrees(turned - erfa.faf03(centuries))), np.asarray(np.degrees(north))


def colongitudes(frame: SkyFrame, mjd: Floats) -> tuple[Floats, Floats]:
    """Colongitude (0 to 360) and latitude of the sub-solar point at instants (n)."""
    sun, moon = frame.course.at(mjd)
    to_gcrs = frame.orientation.to_date
    longitude, latitude = facing((moon - sun) @ to_gcrs, frame.orientation.tt_jd(mjd))
    return np.asarray((90.0 - longitude) % 360.0), latitude


def sun_altitude_deg(
    colongitude_deg: Floats | float,
    subsolar_latitude_deg: Floats | float,
    latitude_deg: Floats | float,
    longitude_deg: Floats | float,
) -> Floats:
    """Altitude of the Sun's middle over a place on the Moon; arguments broadcast.

    Source: Meeus 1998, ch. 53, eq. 53.4.
    """
    sub, place = np.radians(subsolar_latitude_deg), np.radians(latitude_deg)
    turn = np.radians(np.asarray(colongitude_deg) + longitude_deg)
    sine = np.sin(sub) * np.sin(place) + np.cos(sub) * np.cos(place) * np.sin(turn)
    return np.asarray(np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0))))


def moon_state(frame: SkyFrame, at: datetime) -> MoonState:
    """The Moon at an aware instant of the frame's night."""
    mjd = np.array([earth.to_mjd(at)])
    tt = frame.orientation.tt_jd(mjd)
    to_gcrs = frame.orientation.to_date
    sun, moon = frame.sun_moon(mjd)
    here_lon, here_lat = (float(each[0]) for each in facing(moon @ to_gcrs, tt))
    centre_lon, centre_lat = (
        float(each[0]) for each in facing(frame.course.at(mjd)[1] @ to_gcrs, tt)
    )
    colongitude, sub_latitude = (float(each[0]) for each in colongitudes(frame, mjd))
    distance = float(np.linalg.norm(moon))
    towards = moon / distance
    cosine = float(_cosine(moon[0], moon[0] - sun[0]))
    illumination = (1.0 + cosine) / 2.0
    diameter = 2.0 * float(np.degrees(np.arcsin(MOON_RADIUS_AU / distance))) * 3600.0
    terminator = _visible_terminator(colongitude, here_lon)
    return MoonState(
        at=at,
        colongitude_deg=colongitude,
        subsolar_longitude_deg=float(_signed(90.0 - colongitude)),
        subsolar_latitude_deg=sub_latitude,
        libration_longitude_deg=here_lon,
        libration_latitude_deg=here_lat,
        geocentric_libration_deg=(centre_lon, centre_lat),
        axis_position_angle_deg=_position_angle(towards[0], _pole(tt)[0] @ to_gcrs.T),
        bright_limb_position_angle_deg=_position_angle(towards[0], sun[0] / np.linalg.norm(sun)),
        diameter_arcsec=diameter,
        distance_km=distance * earth.AU_M / 1000.0,
        altitude_deg=float(frame.moon_altitude_deg(mjd)[0]),
        azimuth_deg=float(frame.azimuths_deg(towards, mjd)[0, 0]),
        illumination=illumination,
        sunrise_terminator_deg=float(_signed(-colongitude)),
        sunset_terminator_deg=float(_signed(180.0 - colongitude)),
        visible_terminator=terminator,
        words=_words(here_lon, here_lat, illumination, terminator),
    )


def _words(longitude: float, latitude: float, lit: float, terminator: str) -> tuple[str, ...]:
    sides = f"{'east' if longitude >= 0.0 else 'west'}ern and "
    sides += f"{'north' if latitude >= 0.0 else 'south'}ern"
    words = [
        f"Libration {abs(longitude):.1f}° and {abs(latitude):.1f}°: "
        f"the {sides} limbs are turned to us."
    ]
    if terminator == "neither":
        why = "full" if lit > 0.5 else "new"
        words.append(f"So near {why} Moon the terminator lies at the limb: few shadows to see.")
    else:
        does = "rises" if terminator == "sunrise" else "sets"
        words.append(f"The Sun {does} along the terminator.")
    return tuple(words)


def _visible_terminator(colongitude: float, libration: float) -> str:
    """The sunrise terminator lies within 90° of the facing meridian from new to full Moon."""
    from_middle = float(_signed(-colongitude - libration))
    if abs(abs(from_middle) - 90.0) < _QUARTER_NEAR_DEG:
        return "neither"
    return "sunrise" if abs(from_middle) < 90.0 else "sunset"


def _pole(tt_jd: Floats) -> Floats:
    """Direction (n, 3) of the Moon's north pole, GCRS axes, by Cassini's laws."""
    node = erfa.faom03((np.asarray(tt_jd) - _J2000_MJD) / _DAYS_A_CENTURY)
    sine, cosine = np.sin(_INCLINATION_RAD), np.cos(_INCLINATION_RAD)
    axes = (-np.sin(node) * sine, np.cos(node) * sine, np.full_like(node, cosine))
    pole = np.stack(axes, axis=-1)
    return np.asarray(np.einsum("nji,nj->ni", erfa.ecm06(earth.MJD_JD, tt_jd), pole))


def _position_angle(at: Floats, towards: Floats) -> float:
    """Position angle at one direction (3) of another, from the pole of the frame through east."""
    east = np.array([-at[1], at[0], 0.0])
    north = np.cross(at, east)
    return float(np.degrees(np.arctan2(towards @ east, towards @ north)) % 360.0)


def _cosine(one: Floats, other: Floats) -> float:
    return float(one @ other / (np.linalg.norm(one) * np.linalg.norm(other)))


def _signed(degrees: Floats | float) -> Floats:
    return np.asarray((np.asarray(degrees) + 180.0) % 360.0 - 180.0)
