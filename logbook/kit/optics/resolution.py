"""What an aperture can part, by the usual limits, each by its name."""

from dataclasses import dataclass

from logbook.kit.optics.formulas import ARCSEC_PER_RADIAN, positive

WAVELENGTH_UM = 0.55  # green, where the eye sees best by day

RAYLEIGH = 1.2196698912665045  # first zero of J1, 3.8317, over pi
SPARROW = 0.947  # where the dip between two equal Airy discs just goes
DAWES_ARCSEC_MM = 116.0  # 4.56 arcseconds times an inch


@dataclass(frozen=True, slots=True)
class Limit:
    """A resolution limit: two equal stars this far apart are just separated."""

    name: str
    arcsec: float
    source: str


def limits(aperture_mm: float, wavelength_um: float = WAVELENGTH_UM) -> tuple[Limit, ...]:
    """Rayleigh, Dawes and Sparrow.

    Source: Rayleigh 1879, 1.22 λ/D (Born & Wolf, ch. 8.6.2); Dawes 1867, 116″/D(mm), an
    experience with equal stars of the 6th magnitude; Sparrow 1916, 0.947 λ/D.
    """
    positive(aperture_mm=aperture_mm, wavelength_um=wavelength_um)
    wave_arcsec = ARCSEC_PER_RADIAN * wavelength_um / 1000.0 / aperture_mm
    return (
        Limit("Rayleigh", RAYLEIGH * wave_arcsec, "1.22 λ/D, Rayleigh 1879"),
        Limit("Dawes", DAWES_ARCSEC_MM / aperture_mm, "116″/D in mm, Dawes 1867"),
        Limit("Sparrow", SPARROW * wave_arcsec, "0.947 λ/D, Sparrow 1916"),
    )
