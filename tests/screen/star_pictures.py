"""Small invented pictures of a defocused star, for tests of what the screen does with them."""

from pathlib import Path

import numpy as np
from PIL import Image
from scipy import ndimage

SIDE = 200


def star_picture(
    path: Path,
    offset: tuple[float, float] = (0.12, 0.0),
    *,
    radius_px: float = 50.0,
    seed: int = 1,
    empty: bool = False,
) -> Path:
    """A bright disc with a shadow `offset` radii from its centre, in 16-bit grey as PNG."""
    rows, columns = np.indices((SIDE, SIDE), dtype=float)
    middle = (SIDE - 1) / 2
    shadow_x, shadow_y = middle + offset[0] * radius_px, middle + offset[1] * radius_px
    light = np.hypot(columns - middle, rows - middle) < radius_px
    dark = np.hypot(columns - shadow_x, rows - shadow_y) < 0.38 * radius_px
    clean = ndimage.gaussian_filter(np.where(light & ~dark & (not empty), 20000.0, 0.0), 1.5)
    noise = np.random.default_rng(seed).normal(1000.0, 60.0, clean.shape)
    Image.fromarray(np.clip(clean + noise, 0, 65535).astype(np.uint16)).save(path)
    return path
