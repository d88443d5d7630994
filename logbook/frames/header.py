"""What the header of a camera's frame holds about it.

Sources of the keywords: FITS Standard 4.0 (DATE-OBS, OBJECT, EQUINOX, XPOSURE, WCS); NASA/HEASARC,
"FITS keywords in common usage" (EXPOSURE, EXPTIME, FILTER, OBJNAME, RA, DEC); NOAO headers (GAIN
in electrons, OBSTYPE, CCDSUM); common practice of amateurs' cameras, no source (IMAGETYP, CCD-TEMP,
XPIXSZ, XBINNING, FOCALLEN, EGAIN, FOCUSPOS, OBJCTRA). ROWORDER is not read.
"""

import hashlib
import math
import re
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from logbook.errors import BadInput
from logbook.frames.dates import clock_note, exposure_start
from logbook.frames.fits_header import Card, Header, picture_size, read_header, whole

LONGEST_EXPOSURE_S = 86400.0
_LONGEST_NAME = 120
_KELVIN_FROM = 100.0  # no sensor is that warm: such a number is in kelvin
_NO_FILTER = {"", "none", "no filter", "n/a", "na", "null", "-", "empty", "open"}
_PLACES = (("RA", "DEC"), ("OBJCTRA", "OBJCTDEC"), ("RA_OBJ", "DEC_OBJ"), ("RA_PNT", "DEC_PNT"))
_ELECTRONS = re.compile(r"\be-|\belectron|\be/", re.IGNORECASE)
_SEXAGESIMAL = re.compile(
    r"(?P<sign>[+-]?)\s*(?P<whole>\d{1,3})[\s:hd°]+(?P<minutes>\d{1,2})"
    r"(?:[\s:m'′]+(?P<seconds>\d{1,2}(?:\.\d*)?))?\s*[s\"″]?",
    re.ASCII,
)


@dataclass(frozen=True, slots=True)
class Frame:
    """One frame on disk. What its header does not hold is None or "".

    identity -- of the exposure, not of the file: a moved, copied or calibrated one has the same.
    exposed_utc -- when the exposure began.
    gain -- as the camera counts it; electrons_per_adu is another thing.
    pixel_um -- as the header has it: of one pixel, or of the binned one.
    scale_arcsec_px -- as stated or measured on the stars, of a pixel of the picture.
    ra_deg, dec_deg -- where it points, for `equinox`.
    """

    path: Path
    identity: str
    exposed_utc: datetime
    exposure_s: float
    frame_type: str = "light"
    object_name: str = ""
    filter_name: str | None = None
    gain: float | None = None
    electrons_per_adu: float | None = None
    binning: int | None = None
    width_px: int = 0
    height_px: int = 0
    pixel_um: float | None = None
    focal_length_mm: float | None = None
    scale_arcsec_px: float | None = None
    sensor_temperature_c: float | None = None
    air_temperature_c: float | None = None
    tube_temperature_c: float | None = None
    focus_position: float | None = None
    ra_deg: float | None = None
    dec_deg: float | None = None
    equinox: float = 2000.0
    note: str = ""


def read_frame(path: Path) -> Frame:
    """The frame in a file. Raises BadInput with the reason if there is none that can be logged."""
    try:
        header = read_header(path)
    except OSError as error:
        raise BadInput(f"it cannot be read: {error.strerror or error}") from error
    return frame_of(header, path)


def frame_of(header: Header, path: Path) -> Frame:
    """The frame a header describes. Raises BadInput if it cannot be logged, saying why."""
    _refuse_stack(header)
    kind = frame_type(header)
    exposure_s = _exposure_s(header, kind)
    exposed_utc = exposure_start(header, exposure_s)
    gain, electrons_per_adu = _gains(header)
    width_px, height_px = picture_size(header)
    ra_deg, dec_deg = _place(header)
    return Frame(
        path=path,
        identity=_identity(header, exposed_utc, exposure_s, kind),
        exposed_utc=exposed_utc,
        exposure_s=exposure_s,
        frame_type=kind,
        object_name=_text(header, "OBJECT", "OBJNAME"),
        filter_name=_filter_name(header),
        gain=gain,
        electrons_per_adu=electrons_per_adu,
        binning=_binning(header),
        width_px=width_px,
        height_px=height_px,
        pixel_um=_number(header, 0.5, 1000.0, "XPIXSZ", "PIXSIZE1", "YPIXSZ"),
        focal_length_mm=_number(header, 1.0, 1e6, "FOCALLEN"),
        scale_arcsec_px=_scale_arcsec_px(header),
        sensor_temperature_c=_temperature_c(header, "CCD-TEMP", "CCDTEMP", "DET-TEMP"),
        air_temperature_c=_temperature_c(header, "AMBTEMP", "AMB-TEMP"),
        tube_temperature_c=_temperature_c(header, "FOCTEMP", "FOCUSTEM"),
        focus_position=_number(header, -1e7, 1e7, "FOCUSPOS", "FOCPOS", "FOCUS"),
        ra_deg=ra_deg,
        dec_deg=dec_deg,
        equinox=_number(header, 1850.0, 2150.0, "EQUINOX", "EPOCH") or 2000.0,
        note=clock_note(header),
    )


def frame_type(header: Header) -> str:
    """light, dark, flat or bias, from free text. A dark of a flat's exposure is a dark."""
    words = _text(header, "IMAGETYP", "OBSTYPE", "IMGTYPE", "FRAME").casefold()
    for kind, signs in (
        ("dark", ("dark",)),
        ("bias", ("bias", "zero", "offset")),
        ("flat", ("flat",)),
    ):
        if any(sign in words for sign in signs):
            return kind
    return "light"


def _refuse_stack(header: Header) -> None:
    """A picture made of many frames would count their exposures twice."""
    words = _text(header, "IMAGETYP", "OBSTYPE", "IMGTYPE", "FRAME").casefold()
    combined = max(whole(header, name, 0) for name in ("NCOMBINE", "STACKCNT", "NCOMB"))
    if combined > 1 or "master" in words or "stack" in words:
        raise BadInput("it is made of several frames, and is none itself")


def _exposure_s(header: Header, kind: str) -> float:
    found = _number(header, 0.0, LONGEST_EXPOSURE_S, "EXPTIME", "EXPOSURE", "XPOSURE", "ONTIME")
    if found is None and kind != "bias":
        raise BadInput("its header does not say how long it was exposed")
    return found or 0.0


def _identity(header: Header, exposed_utc: datetime, exposure_s: float, kind: str) -> str:
    """A hash of what stays the same when a file is moved, calibrated or solved.

    Frames that follow each other within the second, which many headers do not divide, are
    distinguished by the whole header.
    """
    width_px, height_px = picture_size(header)
    parts = [
        exposed_utc.isoformat(timespec="milliseconds"),
        f"{exposure_s:.4f}",
        kind,
        _filter_name(header) or "",
        _text(header, "INSTRUME"),
        f"{width_px}x{height_px}",
    ]
    if exposure_s < 1.0:
        parts += [f"{keyword}={card.value}" for keyword, card in sorted(header.items())]
    return hashlib.sha256("\n".join(parts).encode("utf-8", "replace")).hexdigest()


def _text(header: Header, *keywords: str) -> str:
    """The first of these that is not empty."""
    found = (header[name].text[:_LONGEST_NAME] for name in keywords if name in header)
    return next((words for words in found if words), "")


def _number(header: Header, low: float, high: float, *keywords: str) -> float | None:
    """The first of these that is possible."""
    for name in keywords:
        number = header[name].number if name in header else None
        if number is not None and low <= number <= high:
            return number
    return None


def _temperature_c(header: Header, *keywords: str) -> float | None:
    found = _number(header, -120.0, 400.0, *keywords)
    if found is None:
        return None
    celsius = found - 273.15 if found > _KELVIN_FROM else found
    return round(celsius, 2) if -100.0 <= celsius <= 60.0 else None


def _filter_name(header: Header) -> str | None:
    name = _text(header, "FILTER", "FILTER1", "FILTNAM")[:40].strip()
    return None if name.casefold() in _NO_FILTER else name


def _gains(header: Header) -> tuple[float | None, float | None]:
    """The setting, and electrons per number of the picture; GAIN may be either."""
    electrons = _number(header, 0.0, 1e4, "EGAIN")
    gain = _number(header, -1e6, 1e6, "GAIN")
    if gain is not None and _ELECTRONS.search(header.get("GAIN", Card("")).comment):
        return None, electrons or gain
    return gain, electrons


def _binning(header: Header) -> int | None:
    found = _number(header, 1.0, 16.0, "XBINNING")
    if found is None:
        match = re.match(r"\d{1,2}", _text(header, "BINNING", "CCDSUM"), re.ASCII)
        found = float(match[0]) if match else None
    return int(found) if found is not None and 1 <= found <= 16 else None


def _scale_arcsec_px(header: Header) -> float | None:
    """From the solved matrix if there is one (FITS Standard 4.0, section 8.1), else as stated."""
    if _text(header, "CTYPE1").startswith(("RA", "DEC")):
        area_deg2 = abs(_determinant(header, "CD", 0.0)) or _area_by_steps(header)
        if area_deg2:
            return math.sqrt(area_deg2) * 3600.0
    return _number(header, 0.001, 3600.0, "SECPIX", "SECPIX1", "PIXSCALE", "SCALE")


def _area_by_steps(header: Header) -> float:
    steps = [_number(header, -10.0, 10.0, name) or 0.0 for name in ("CDELT1", "CDELT2")]
    return abs(_determinant(header, "PC", 1.0) * math.prod(steps))


def _determinant(header: Header, name: str, diagonal: float) -> float:
    """Of a 2x2 matrix of the header; an element that is not there is as the standard has it."""
    defaults = (("1_1", diagonal), ("2_2", diagonal), ("1_2", 0.0), ("2_1", 0.0))
    found = [_number(header, -1e3, 1e3, f"{name}{at}") for at, _ in defaults]
    a, d, b, c = (
        default if number is None else number
        for number, (_, default) in zip(found, defaults, strict=True)
    )
    return a * d - b * c


def _place(header: Header) -> tuple[float | None, float | None]:
    for ra_name, dec_name in _PLACES:
        if ra_name in header and dec_name in header:
            ra_deg, dec_deg = angle_deg(header[ra_name], hours=True), angle_deg(header[dec_name])
            if ra_deg is not None and dec_deg is not None:
                return _possible(ra_deg, dec_deg)
    if _text(header, "CTYPE1").startswith("RA"):
        return _possible(
            _number(header, -360.0, 360.0, "CRVAL1"), _number(header, -90.0, 90.0, "CRVAL2")
        )
    return None, None


def _possible(ra_deg: float | None, dec_deg: float | None) -> tuple[float | None, float | None]:
    if ra_deg is None or dec_deg is None or abs(ra_deg) > 360.0 or abs(dec_deg) > 90.0:
        return None, None
    return ra_deg % 360.0, dec_deg


def angle_deg(card: Card, *, hours: bool = False) -> float | None:
    """A plain number is in degrees; parts of sixty are hours if the caller asks for hours."""
    if card.number is not None:
        return card.number
    match = _SEXAGESIMAL.fullmatch(card.text.strip())
    if match is None:
        return None
    minutes, seconds = int(match["minutes"]), float(match["seconds"] or 0.0)
    if minutes >= 60 or seconds >= 60.0:
        return None
    size = int(match["whole"]) + minutes / 60.0 + seconds / 3600.0
    return (-size if match["sign"] == "-" else size) * (15.0 if hours else 1.0)
