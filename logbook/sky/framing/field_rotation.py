"""What a mount without a polar axis makes of the turning sky, and one without a drive."""

import numpy as np

from logbook.sky.night.arrays import Floats

SIDEREAL_ARCSEC_S = 15.0410672  # seconds of arc a second, and degrees an hour


def parallactic_deg(
    hour_angle_deg: Floats | float, dec_deg: Floats | float, latitude_deg: float
) -> Floats:
    """Angle at the object from the pole to the zenith: 0 on the meridian, positive in the west.

    Source: Meeus 1998, ch. 14, eq. 14.1.
    """
    hour_angle, dec, latitude = (
        np.radians(each) for each in (hour_angle_deg, dec_deg, latitude_deg)
    )
    across = np.sin(hour_angle) * np.cos(latitude)
    along = np.sin(latitude) * np.cos(dec) - np.cos(latitude) * np.sin(dec) * np.cos(hour_angle)
    return np.asarray(np.degrees(np.arctan2(across, along)))


def rotation_deg_h(
    altitude_deg: Floats | float, azimuth_deg: Floats | float, latitude_deg: float
) -> Floats:
    """How fast the field turns on a driven alt-azimuth mount, degrees an hour.

    It is the rate of the parallactic angle: without end at the zenith, nothing due east and west.
    Source: the derivative of Meeus 1998, eq. 14.1, by the hour angle.
    """
    altitude, azimuth = np.radians(altitude_deg), np.radians(azimuth_deg)
    rate = -SIDEREAL_ARCSEC_S * np.cos(np.radians(latitude_deg)) * np.cos(azimuth)
    return np.asarray(rate / np.maximum(np.cos(altitude), 1e-9))


def drift_arcsec_s(dec_deg: Floats | float) -> Floats:
    """How fast a star runs through the field of a mount that stands still."""
    return np.asarray(SIDEREAL_ARCSEC_S * np.cos(np.radians(dec_deg)))
