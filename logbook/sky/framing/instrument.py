"""What the sky has to know of a train."""

from dataclasses import dataclass

from logbook.sky.framing.framing import FieldOfView


@dataclass(frozen=True, slots=True)
class Instrument:
    """A train as it looks at the sky. Unknown is None.

    mirrored -- an odd number of mirrors: the picture is the wrong way round.
    driven -- the mount follows the stars.
    """

    aperture_mm: float | None
    field: FieldOfView | None
    mirrored: bool = False
    driven: bool = True

    @property
    def scale_arcsec_px(self) -> float | None:
        """Width of a pixel on the sky; None without a camera of known pixels."""
        return self.field.image_scale_arcsec_px if self.field else None

    @property
    def smallest_split_arcsec(self) -> float | None:
        """Two equal stars just apart in green light, 550 nm. Source: Rayleigh 1879, 1.22 λ/D."""
        return 138.4 / self.aperture_mm if self.aperture_mm else None

    @property
    def dawes_arcsec(self) -> float | None:
        """Two equal stars of the sixth magnitude just resolved by eye.

        Source: Dawes 1867 (4.56″ over the aperture in inches).
        """
        return 115.8 / self.aperture_mm if self.aperture_mm else None

    def pixels(self, arcsec: float) -> float | None:
        """An angle in pixels of this train."""
        return arcsec / self.scale_arcsec_px if self.scale_arcsec_px else None
