"""The time zone this machine is set to, to be proposed for a first site."""

import os
from pathlib import Path

from logbook.errors import BadInput
from logbook.sky.night.clock import zone_of

_ZONES = "zoneinfo/"


def local_zone_name() -> str:
    """An IANA name, or "UTC" where the machine does not say."""
    for found in (os.environ.get("TZ", ""), _linked(Path("/etc/localtime")), _written()):
        if _is_zone(found):
            return found
    return "UTC"


def _linked(path: Path) -> str:
    target = str(path.resolve())
    return target.partition(_ZONES)[2]


def _written() -> str:
    try:
        return Path("/etc/timezone").read_text(encoding="ascii").strip()
    except (OSError, UnicodeDecodeError):
        return ""


def _is_zone(name: str) -> bool:
    try:
        return bool(zone_of(name).key)
    except BadInput:
        return False
