"""A page's data as JSON: the fields of its dataclasses by name, instants ISO 8601 in UTC."""

import json
import math
from dataclasses import fields, is_dataclass
from datetime import UTC, date, datetime

from logbook.report.render.mark import MARK

HOW_TO_READ = (
    "Units are the end of a name: _s seconds, _c degrees Celsius, _deg degrees, _arcsec "
    "arcseconds; seconds and hours are themselves. mean, low and high have the unit of the "
    "quantity above them, a pair of a name and a number that of the name; a weight is a width of "
    "star images in arcseconds; objects of a year are name, nights, hours. illumination and "
    "moon_up are shares. Instants are UTC, dates local to the evening. Unknown is null."
)


def json_text(data: object) -> str:
    """The data of a page. What is not known is null."""
    told = plain(data)
    body = told if isinstance(told, dict) else {"page": told}
    head = {"written_by": MARK, "how_to_read": HOW_TO_READ}
    return json.dumps({**head, **body}, indent=2, ensure_ascii=False, allow_nan=False)


def plain(value: object) -> object:
    """A value of dataclasses, tuples and mappings as what JSON knows."""
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, dict):
        return {str(key): plain(each) for key, each in value.items()}
    if isinstance(value, tuple | list):
        return [plain(each) for each in value]
    if isinstance(value, datetime):
        return f"{value.astimezone(UTC):%Y-%m-%dT%H:%M:%S}Z"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return round(value, 6) if math.isfinite(value) else None
    return value
