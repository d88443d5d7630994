"""A site to observe from: the fields of the first start, and with horizon and sky later on."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import BadInput, LogbookError
from logbook.kit.parts.typed_values import read_length_mm
from logbook.records.names import ALL_FREE, TakenNames
from logbook.screen.dialogs.field import Field, Remark
from logbook.screen.dialogs.field_rows import FieldRows
from logbook.screen.dialogs.form import Form
from logbook.screen.dialogs.horizon_drawing import horizon_lines
from logbook.screen.services.local_zone import local_zone_name
from logbook.screen.services.run_job import Job
from logbook.sky.night.clock import zone_of
from logbook.sky.night.coordinates import read_coordinates, show_coordinates
from logbook.sky.night.site import Horizon, Site, checked_site, read_horizon
from logbook.sky.night.zones import fits, meant_instead, zone_meant

if TYPE_CHECKING:
    from logbook.records.entries import SiteRecord
    from logbook.store.book import Book

_BARE_NUMBER = re.compile(r"[-−+]?[0-9]+(?:[.,][0-9]+)?")
_DRAWN_COLUMNS, _DRAWN_ROWS = 64, 6
_LARGEST_FILE = 1_000_000


def site_fields(site: Site | None = None) -> list[Field]:
    """Name, coordinates, elevation and time zone; of a known site with what they are."""
    where = elevation = ""
    if site is not None:
        where = f"{site.latitude_deg:.10g} {site.longitude_deg:.10g}"
        elevation = f"{site.elevation_m:.10g}"
    zone = site.time_zone if site else local_zone_name()
    return [
        Field(
            "name",
            "Site",
            site.name if site else "",
            hint="what you call it",
            help="Your name for the place you observe from.",
            example="Hollow Edge",
        ),
        Field(
            "where",
            "Coordinates",
            where,
            hint="52°06'N 3°42'W, or 52.1 -3.7",
            check=_said_where,
            help=(
                "Latitude, then longitude, on WGS 84: degrees with decimals or with minutes and "
                "seconds. South and west are negative, or marked S and W."
            ),
            example="52.1 -3.7, or 52°06'30\" N 3°42' W",
        ),
        Field(
            "elevation",
            "Elevation",
            elevation or "0",
            hint="metres, or 650 ft",
            check=_said_elevation,
            help="Height above sea level. A bare number is metres.",
            example="198, or 650 ft",
        ),
        Field(
            "zone",
            "Time zone",
            zone,
            hint="Europe/Vienna",
            check=_said_zone,
            help="The zone whose clock you read there, as region/city, or the city alone.",
            example="Europe/Vienna, or Vienna",
        ),
    ]


def place_remarks(values: dict[str, str]) -> dict[str, Remark]:
    """Whether the place can lie in the zone: a sign is forgotten easily."""
    try:
        latitude_deg, longitude_deg = read_coordinates(values["where"])
        zone = zone_meant(values["zone"])
    except LogbookError:  # shown beside its own field
        return {}
    if fits(zone, latitude_deg, longitude_deg):
        return {}
    by_sun = f"UTC{longitude_deg / 15.0:+.0f}".replace("-", "−")
    words = f"not in {zone}? The Sun there keeps {by_sun}."
    found = meant_instead(zone, latitude_deg, longitude_deg)
    if found is None:
        return {"where": Remark(words, asks=True)}
    (latitude_deg, longitude_deg), slip = found
    proposed = f"{latitude_deg:.10g} {longitude_deg:.10g}"
    return {"where": Remark(f"{slip} {words} Tab: {proposed}", proposed, asks=True)}


def read_site(values: dict[str, str]) -> Site:
    """The site that the fields say. Raises BadInput."""
    latitude_deg, longitude_deg = read_coordinates(values["where"])
    horizon, sky = values.get("horizon", ""), values.get("sky", "")
    return checked_site(
        Site(
            values["name"],
            latitude_deg,
            longitude_deg,
            _elevation_m(values["elevation"]),
            zone_meant(values["zone"]),
            read_typed_horizon(horizon) if horizon else (),
            _sky_mag_arcsec2(sky) if sky else None,
        )
    )


class SiteRows(FieldRows):
    """With the horizon drawn below its field."""

    def compose(self, each: Field) -> ComposeResult:
        yield from super().compose(each)
        if each.name == "horizon":
            yield Static(id="site-horizon", markup=False)


class SiteForm(Form[Job]):
    """A site with its horizon, drawn while it is typed, and its sky."""

    ROWS = SiteRows

    INTRO: ClassVar[str] = (
        "Horizon: north 0, east 90, as in  0 12, 90 25, 180 8, 270 15  or the path of a CSV file"
    )

    def __init__(
        self,
        heading: str,
        taken: TakenNames,
        site: Site | None = None,
        *,
        about: str = "",
        begin_in: str = "",
    ) -> None:
        name, *others = site_fields(site)
        fields = [replace(name, check=taken.refuse), *others, *_more_fields(site)]
        super().__init__(heading, fields, self.INTRO, about=about, begin_in=begin_in)

    def together(self, values: dict[str, str]) -> dict[str, Remark]:
        return place_remarks(values)

    def draw(self, values: dict[str, str]) -> None:
        """The horizon as typed; what cannot be read yet leaves the drawing as it was."""
        typed = values["horizon"]
        try:
            horizon = read_typed_horizon(typed) if typed else ()
        except LogbookError:
            return
        lines = horizon_lines(horizon, _DRAWN_COLUMNS, _DRAWN_ROWS)
        self.query_one("#site-horizon", Static).update(Text("\n".join(lines)))


class NewSite(SiteForm):
    """Another place to observe from, or the first of a book that has none."""

    def __init__(self, taken: TakenNames = ALL_FREE) -> None:
        super().__init__("A place to observe from", taken)

    def answer(self, values: dict[str, str]) -> Job:
        site = read_site(values)

        def job(book: Book) -> str:
            book.sites.add(site)
            book.choices.put("site", site.name)
            return f"Kept: site {site.name}, now chosen."

        return job


class EditSite(SiteForm):
    """What is known of a site, corrected; its old nights take the correction too."""

    def __init__(self, record: SiteRecord, taken: TakenNames = ALL_FREE) -> None:
        """taken -- names of the other sites."""
        self._record = record
        heading = f"Site {record.site.name}"
        super().__init__(heading, taken, record.site, about=f"{record.id}", begin_in="horizon")

    def answer(self, values: dict[str, str]) -> Job:
        site, record = read_site(values), self._record

        def job(book: Book) -> str:
            book.sites.revise(record.id, site)
            return f"Kept: site {site.name}, {_points(site.horizon)}."

        return job


def _more_fields(site: Site | None) -> list[Field]:
    horizon = horizon_text(site.horizon) if site else ""
    sky = site.dark_sky_mag_arcsec2 if site else None
    return [
        Field(
            "horizon",
            "Horizon",
            horizon,
            hint="pairs, or a file; empty: flat",
            required=False,
            check=lambda typed: _points(read_typed_horizon(typed)),
            help=(
                "How high trees and roofs stand: pairs of azimuth (north 0, east 90) and altitude "
                "in degrees, with commas between; or the path of a CSV file of such pairs."
            ),
            example="0 12, 90 25, 180 8, 270 15",
        ),
        Field(
            "sky",
            "Dark sky",
            "" if sky is None else f"{sky:g}",
            hint="mag/arcsec² at the zenith; may stay empty",
            required=False,
            check=lambda typed: f"{_sky_mag_arcsec2(typed):g} mag/arcsec²",
            help="How dark the zenith is there on a good night without the Moon.",
            example="21.4",
        ),
    ]


def _points(horizon: Horizon) -> str:
    return f"horizon of {len(horizon)} points" if horizon else "a flat horizon"


def _said_where(typed: str) -> str:
    return show_coordinates(*read_coordinates(typed))


def _said_elevation(typed: str) -> str:
    return f"{_elevation_m(typed):.0f} m"


def _elevation_m(typed: str) -> float:
    """A bare number is metres here."""
    bare = _BARE_NUMBER.fullmatch(typed.strip()) is not None
    return read_length_mm(f"{typed} m" if bare else typed, "the elevation") / 1000.0


def _said_zone(typed: str) -> str:
    zone = zone_meant(typed)
    words = f"now {_offset_words(zone)}"
    return words if zone == typed else f"{zone}, {words}"


def _offset_words(zone: str) -> str:
    offset = datetime.now(zone_of(zone)).strftime("%z")
    return f"UTC{offset[:3]}:{offset[3:]}".replace("-", "−")


def read_typed_horizon(typed: str) -> Horizon:
    """A horizon from pairs on one line, parted by commas or semicolons, or from a file.

    Raises BadInput saying what cannot be read.
    """
    if any(character.isalpha() for character in typed) or "/" in typed:
        return read_horizon(_file_text(typed))
    return read_horizon(typed.replace(";", "\n").replace(",", "\n"))


def horizon_text(horizon: Horizon) -> str:
    """The line that reads as this horizon."""
    return ", ".join(f"{azimuth:.10g} {altitude:.10g}" for azimuth, altitude in horizon)


def _file_text(typed: str) -> str:
    path = Path(typed.strip("\"'")).expanduser()
    try:
        if not path.is_file():
            raise BadInput("no such file: a path, or pairs as in 0 12, 90 25")
        if path.stat().st_size > _LARGEST_FILE:
            raise BadInput("the file is too large for a horizon")
        return path.read_text(encoding="utf-8")
    except (OSError, ValueError) as error:
        raise BadInput(f"the file cannot be read: {error}") from error


def _sky_mag_arcsec2(typed: str) -> float:
    try:
        return float(typed.replace(",", "."))
    except ValueError:
        raise BadInput("a number such as 21.4") from None
