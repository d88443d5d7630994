"""How high a star stands, to a degree: enough to compare looks at different altitudes."""

import math
from datetime import UTC, datetime

_J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)


def altitude_azimuth_deg(
    ra_deg: float, dec_deg: float, latitude_deg: float, longitude_deg: float, at_utc: datetime
) -> tuple[float, float]:
    """Altitude and azimuth from north through east; precession and refraction left out (0.4°).

    longitude_deg -- east positive.
    Source: Meeus 1998, eq. 12.4 (mean sidereal time), 13.5 and 13.6.
    """
    days = (at_utc - _J2000).total_seconds() / 86400.0
    sidereal_deg = 280.46061837 + 360.98564736629 * days + longitude_deg
    hour = math.radians(sidereal_deg - ra_deg)
    latitude, dec = math.radians(latitude_deg), math.radians(dec_deg)
    sine = math.sin(latitude) * math.sin(dec)
    sine += math.cos(latitude) * math.cos(dec) * math.cos(hour)
    from_south = math.atan2(
        math.sin(hour),
        math.cos(hour) * math.sin(latitude) - math.tan(dec) * math.cos(latitude),
    )
    altitude_deg = math.degrees(math.asin(max(-1.0, min(1.0, sine))))
    return altitude_deg, (math.degrees(from_south) + 180.0) % 360.0
