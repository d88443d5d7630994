"""When water settles: dew point, frost point, and how far surfaces are from it."""

import math
from dataclasses import dataclass
from datetime import datetime

# Over water and over ice: Alduchov & Eskridge 1996, J. Appl. Met. 35, 601, eqs. 21 and 23. The
# numbers over ice are also ECMWF's (Metview documentation, saturation_vapour_pressure).
_WATER = (6.1094, 17.625, 243.04)
_ICE = (6.1121, 22.587, 273.86)
DRIEST = 0.1  # per cent; drier than this no hygrometer measures
CLOSE_K = 2.0  # a margin that wants looking after; common practice, no source


def dew_point_c(air_c: float, humidity_percent: float) -> float:
    """Where the air would be saturated over water; -40 to 50 °C, good to about 0.35 K.

    Source: Alduchov & Eskridge 1996, J. Appl. Met. 35, 601, eq. 21 turned round. Raises ValueError
    for a humidity that cannot be.
    """
    return _saturated_at(_pressure_hpa(air_c, humidity_percent), _WATER)


def frost_point_c(air_c: float, humidity_percent: float) -> float:
    """Where it would be saturated over ice; means something below 0 °C, and is the higher one."""
    return _saturated_at(_pressure_hpa(air_c, humidity_percent), _ICE)


def _pressure_hpa(air_c: float, humidity_percent: float) -> float:
    if not (0.0 <= humidity_percent <= 100.0 and -100.0 < air_c < 100.0):
        raise ValueError(f"no such air: {air_c} °C, {humidity_percent} %")
    at, slope, pole = _WATER
    saturated = at * math.exp(slope * air_c / (pole + air_c))
    return saturated * max(humidity_percent, DRIEST) / 100.0


def _saturated_at(pressure_hpa: float, of: tuple[float, float, float]) -> float:
    at, slope, pole = of
    g = math.log(pressure_hpa / at)
    return pole * g / (slope - g)


@dataclass(frozen=True, slots=True)
class DewNow:
    """How far the air and the coldest surface that was read are from dew, or from frost.

    dew_point_c -- below 0 °C the frost point stands beside it, and counts: frost comes first.
    surface -- "mirror", "tube" or "" where none was read lately; margins in kelvin.
    humidity_percent -- None where the dew point itself was read.
    """

    at_utc: datetime
    air_c: float
    humidity_percent: float | None
    dew_point_c: float
    frost_point_c: float | None
    margin_k: float
    surface: str = ""
    surface_margin_k: float | None = None

    @property
    def frost(self) -> bool:
        """It would be frost."""
        return self.frost_point_c is not None

    @property
    def least_k(self) -> float:
        """The smaller of the margins; below nothing it is wet already."""
        surface = self.margin_k if self.surface_margin_k is None else self.surface_margin_k
        return min(self.margin_k, surface)

    @property
    def close(self) -> bool:
        """Heaters on."""
        return self.least_k < CLOSE_K

    @property
    def words(self) -> str:
        """One line."""
        words = f"dew point {self.dew_point_c:.1f} °C"
        if self.frost_point_c is not None:
            words += f", frost point {self.frost_point_c:.1f} °C"
        words += f"; air {self.margin_k:.1f} K above"
        if self.surface_margin_k is not None:
            side = "above" if self.surface_margin_k >= 0 else "BELOW"
            words += f", {self.surface} {abs(self.surface_margin_k):.1f} K {side}"
        return words


def dew_now(
    at_utc: datetime,
    air_c: float,
    humidity_percent: float | None,
    *,
    read_dew_point_c: float | None = None,
    surfaces_c: dict[str, float] | None = None,
) -> DewNow:
    """Margins from what was read: humidity, or the dew point itself. Raises ValueError."""
    if read_dew_point_c is not None:
        dew_c = read_dew_point_c
        frost_c = frost_point_c(dew_c, 100.0) if dew_c < 0 else None
    elif humidity_percent is not None:
        dew_c = dew_point_c(air_c, humidity_percent)
        frost_c = frost_point_c(air_c, humidity_percent) if dew_c < 0 else None
    else:
        raise ValueError("neither humidity nor dew point")
    first_c = dew_c if frost_c is None else frost_c
    surface, coldest_c = min((surfaces_c or {}).items(), key=lambda each: each[1], default=("", 0))
    return DewNow(
        at_utc=at_utc,
        air_c=air_c,
        humidity_percent=None if read_dew_point_c is not None else humidity_percent,
        dew_point_c=dew_c,
        frost_point_c=frost_c,
        margin_k=air_c - first_c,
        surface=surface,
        surface_margin_k=coldest_c - first_c if surface else None,
    )
