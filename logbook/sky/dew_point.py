"""When the air gives its water: the dew point from temperature and humidity."""

import math


def dew_point_c(air_temperature_c: float, humidity_percent: float) -> float:
    """The temperature at which dew falls, °C; over water, for air of -45 to 60 °C.

    The humidity is taken as 1 % where it is less. Source: WMO-No. 8 (2018), Guide to Instruments
    and Methods of Observation, vol. I, annex 4.B, eqs. 4.B.1 and 4.B.7 (Magnus).
    """
    share = max(humidity_percent, 1.0) / 100.0
    gamma = math.log(share) + 17.62 * air_temperature_c / (243.12 + air_temperature_c)
    return 243.12 * gamma / (17.62 - gamma)
