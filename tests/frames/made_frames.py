"""Frames for tests, written by astropy, which writes what the FITS standard asks for."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from astropy.io import fits

FIRST = datetime(2025, 10, 4, 20, 3, tzinfo=UTC)

# As a small camera's program writes them; common practice, no source.
USUAL: dict[str, object] = {
    "EXPTIME": 180.0,
    "IMAGETYP": "Light Frame",
    "OBJECT": "M31",
    "FILTER": "Ha",
    "GAIN": 100,
    "XBINNING": 1,
    "XPIXSZ": 3.76,
    "CCD-TEMP": -10.0,
    "FOCUSPOS": 12340,
}


def header_of(at: datetime | None, **cards: object) -> fits.Header:
    """A header; a card given as None is left out, `CCD_TEMP` stands for CCD-TEMP."""
    header = fits.Header()
    if at is not None:
        header["DATE-OBS"] = at.strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3]
    given = {name.replace("CCD_TEMP", "CCD-TEMP"): value for name, value in cards.items()}
    for name, value in (USUAL | given).items():
        if value is not None:
            header[name] = value
    return header


def write_frame(path: Path, at: datetime | None = FIRST, **cards: object) -> Path:
    """A frame of 6 x 4 px begun at that time."""
    path.parent.mkdir(parents=True, exist_ok=True)
    picture = fits.PrimaryHDU(np.zeros((4, 6), dtype=np.uint16), header_of(at, **cards))
    picture.writeto(path, overwrite=True)
    return path


def write_run(folder: Path, count: int, at: datetime = FIRST, **cards: object) -> list[Path]:
    """Frames that follow each other every four minutes."""
    name = f"{at:%H%M}-{cards.get('FILTER', 'Ha')}"
    return [
        write_frame(folder / f"{name}-{n}.fits", at + timedelta(minutes=4 * n), **cards)
        for n in range(count)
    ]
