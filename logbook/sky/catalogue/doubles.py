"""The table of double stars.

It has the brighter pairs of 0.6 to 60″ that two open catalogues show, and a few famous ones by
hand where those fail. It is not complete. Magnitudes are in Gaia's G, Hipparcos's Hp or in V.
"""

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources

_SHOWN_PART = 0.02  # a change by less than this part of the separation is not worth words
_FAST_YEARS = 500.0
_BY_CHANCE_ARCSEC = 10.0  # nearer, two stars this bright hardly ever meet by chance


@dataclass(frozen=True, slots=True)
class DoubleStar:
    """A pair. Place of the brighter star: ICRS, 2000.0.

    position_angle_deg -- of the fainter star, from north through east; with the separation at
        `epoch`, a year.
    period_years -- once round, very roughly; None if slow or not known.
    drift_arcsec_yr -- how fast the companion moved from 1991 to 2016; None where only one
        catalogue has it. motion_arcsec_yr -- the brighter star's own motion across the sky.
    """

    id: str
    name: str
    constellation: str
    ra_deg: float
    dec_deg: float
    magnitude: float
    companion_magnitude: float
    band: str
    separation_arcsec: float
    position_angle_deg: float
    epoch: float
    period_years: float | None
    drift_arcsec_yr: float | None
    motion_arcsec_yr: float
    source: str

    @property
    def difference_mag(self) -> float:
        """How much fainter the companion is."""
        return self.companion_magnitude - self.magnitude

    @property
    def moves(self) -> str:
        """Whether separation and angle may have changed since; empty if hardly."""
        if self.period_years is not None and self.period_years <= _FAST_YEARS:
            return (
                f"goes round in very roughly {self.period_years:g} years: both numbers are of "
                f"{self.epoch:g} and have changed"
            )
        if self.drift_arcsec_yr is not None:
            if 10.0 * self.drift_arcsec_yr < _SHOWN_PART * self.separation_arcsec:
                return ""
            return f"moved by {self.drift_arcsec_yr:.2f}″ a year from 1991 to 2016"
        slow = 10.0 * self.motion_arcsec_yr < _SHOWN_PART * self.separation_arcsec
        if slow or self.separation_arcsec < _BY_CHANCE_ARCSEC:
            return ""
        return (
            f"of {self.epoch:g}: unless both travel together, off by up to "
            f"{self.motion_arcsec_yr:.2f}″ a year since"
        )


@cache
def double_stars() -> tuple[DoubleStar, ...]:
    """The shipped table, read on the first call."""
    text = resources.files("logbook").joinpath("data", "doubles.csv").read_text("utf-8")
    return tuple(_read(row) for row in csv.DictReader(text.splitlines()))


def _read(row: dict[str, str]) -> DoubleStar:
    return DoubleStar(
        id=row["id"],
        name=row["star"],
        constellation=row["constellation"],
        ra_deg=float(row["ra_deg"]),
        dec_deg=float(row["dec_deg"]),
        magnitude=float(row["magnitude"]),
        companion_magnitude=float(row["companion_magnitude"]),
        band=row["band"],
        separation_arcsec=float(row["separation_arcsec"]),
        position_angle_deg=float(row["position_angle_deg"]),
        epoch=float(row["epoch"]),
        period_years=float(row["period_years"]) if row["period_years"] else None,
        drift_arcsec_yr=float(row["drift_arcsec_yr"]) if row["drift_arcsec_yr"] else None,
        motion_arcsec_yr=float(row["motion_arcsec_yr"]),
        source=row["source"],
    )
