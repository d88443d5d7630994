"""A site to observe from: the fields of the first start, and with horizon and sky later on."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.kit.entry import read_length_mm
from logbook.screen.form import Field, Form
from logbook.screen.local_zone import local_zone_name
from logbook.screen.night_flow import Done, Job
from logbook.screen.view import read_view
from logbook.sky.clock import zone_of
from logbook.sky.coordinates import read_coordinates, show_coordinates
from logbook.sky.place import Site, checked_site, read_horizon

if TYPE_CHECKING:
    from logbook.store.book import Book


def site_fields() -> list[Field]:
    """Name, coordinates, elevation and time zone."""
    return [
        Field("name", "Site", hint="what you call it"),
        Field("where", "Coordinates", hint="52°06'N 3°42'W, or 52.1 -3.7", check=_said_where),
        Field("elevation", "Elevation", "0", hint="metres, or 650 ft", check=_said_elevation),
        Field("zone", "Time zone", local_zone_name(), hint="Europe/Vienna", check=_said_zone),
    ]


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
            values["zone"],
            _horizon(horizon) if horizon else (),
            _sky_mag_arcsec2(sky) if sky else None,
        )
    )


class NewSite(Form[Job]):
    """Another place to observe from, or the first of a book that has none."""

    def __init__(self) -> None:
        more = [
            Field(
                "horizon",
                "Horizon",
                hint="azimuth altitude, ...; empty: flat",
                required=False,
                check=lambda typed: f"{len(_horizon(typed))} points",
            ),
            Field(
                "sky",
                "Dark sky",
                hint="mag/arcsec² at the zenith; may stay empty",
                required=False,
                check=lambda typed: f"{_sky_mag_arcsec2(typed):g} mag/arcsec²",
            ),
        ]
        intro = "Horizon: north 0, east 90, as in  0 12, 90 25, 180 8, 270 15"
        super().__init__("A place to observe from", [*site_fields(), *more], intro)

    def answer(self, values: dict[str, str]) -> Job:
        site = read_site(values)

        def job(book: Book) -> Done:
            book.sites.add(site)
            book.choices.put("site", site.name)
            return Done(f"Kept: site {site.name}, now chosen.", read_view(book))

        return job


def _said_where(typed: str) -> str:
    return show_coordinates(*read_coordinates(typed))


def _said_elevation(typed: str) -> str:
    return f"{_elevation_m(typed):.0f} m"


def _elevation_m(typed: str) -> float:
    """A bare number is metres here."""
    bare = typed.strip().lstrip("-").replace(".", "", 1).isdigit()
    return float(typed) if bare else read_length_mm(typed, "the elevation") / 1000.0


def _said_zone(typed: str) -> str:
    offset = datetime.now(zone_of(typed)).strftime("%z")
    return f"now UTC{offset[:3]}:{offset[3:]}"


def _horizon(typed: str) -> tuple[tuple[float, float], ...]:
    """Pairs on one line, parted by commas or semicolons."""
    return read_horizon(typed.replace(";", "\n").replace(",", "\n"))


def _sky_mag_arcsec2(typed: str) -> float:
    try:
        return float(typed.replace(",", "."))
    except ValueError:
        raise BadInput("a number such as 21.4") from None
