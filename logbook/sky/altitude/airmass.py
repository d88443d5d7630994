"""The air looked through at an altitude."""

import numpy as np

from logbook.sky.night.arrays import Floats


def airmass(altitude_deg: Floats | float) -> Floats:
    """Air looked through, 1 at the zenith. Source: Pickering 2002, DIO 12:1, p. 20."""
    altitude = np.maximum(np.asarray(altitude_deg, dtype=np.float64), 0.0)
    return np.asarray(1.0 / np.sin(np.radians(altitude + 244.0 / (165.0 + 47.0 * altitude**1.1))))
