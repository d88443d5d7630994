"""The places one observes from."""

import uuid
from collections.abc import Callable
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from logbook.errors import NotFound
from logbook.records.check_kit import checked_site
from logbook.records.entries import SiteRecord
from logbook.records.names import Named, TakenNames
from logbook.sky.night.site import Site
from logbook.store.session.sessions import Sessions
from logbook.store.session.units import name_unit
from logbook.store.tables.convert import site_record
from logbook.store.tables.former_names import formerly, remember
from logbook.store.tables.models import HorizonPointRow, SiteRow
from logbook.text import clean, fold


class Sites:
    """Sites by name. A site is retired, never deleted: old nights point at it."""

    def __init__(self, sessions: Sessions, clock: Callable[[], datetime]) -> None:
        self._sessions = sessions
        self._clock = clock

    def names(self) -> TakenNames:
        """The names that sites bear, retired ones too."""
        with self._sessions.reading() as session:
            return _names(session)

    def all(self, *, include_retired: bool = False) -> tuple[SiteRecord, ...]:
        """Every site, by name."""
        statement = select(SiteRow).order_by(SiteRow.name)
        if not include_retired:
            statement = statement.where(SiteRow.retired_utc.is_(None))
        with self._sessions.reading() as session:
            return tuple(site_record(row) for row in session.scalars(statement))

    def named(self, name: str) -> SiteRecord:
        """The site of that name, in any case and with or without accents; else the one that had
        it last. Raises NotFound.
        """
        known = self.all()
        wanted = fold(name)
        for each in known:
            if fold(each.site.name) == wanted:
                return each
        with self._sessions.reading() as session:
            former_id = formerly(session, "site", name)
        for each in known:
            if each.id == former_id:
                return each
        names = ", ".join(each.site.name for each in known) or "none yet"
        raise NotFound(f"There is no site {clean(name, longest=60)!r}. Sites: {names}")

    def get(self, site_id: int) -> SiteRecord:
        """The site of that id, retired or not. Raises NotFound."""
        with self._sessions.reading() as session:
            return site_record(site_row(session, site_id))

    def add(self, site: Site) -> SiteRecord:
        """Keep a new site. Raises BadInput."""
        checked = checked_site(site)
        with self._sessions.writing(f"site {checked.name}") as session:
            _names(session).refuse(checked.name)
            row = SiteRow(uid=str(uuid.uuid4()), created_utc=self._clock())
            _fill(row, checked)
            session.add(row)
            session.flush()
            return site_record(row)

    def revise(self, site_id: int, site: Site) -> SiteRecord:
        """Correct what is known of a site, for its old nights too. Raises BadInput, NotFound."""
        checked = checked_site(site)
        with self._sessions.writing(f"the change of site {checked.name}") as session:
            row = site_row(session, site_id)
            _names(session).besides(site_id).refuse(checked.name)
            remember(session, row.name, checked.name, self._clock(), site_id=site_id)
            for point in row.horizon:
                session.delete(point)
            session.flush()
            session.expire(row, ["horizon"])
            _fill(row, checked)
            session.flush()
            return site_record(row)

    def retire(self, site_id: int) -> None:
        """Leave a site out of every list from now on."""
        with self._sessions.writing() as session:
            row = site_row(session, site_id)
            row.retired_utc = self._clock()
            name_unit(session, f"the retirement of site {row.name}")


def site_row(session: Session, site_id: int) -> SiteRow:
    row = session.get(SiteRow, site_id)
    if row is None:
        raise NotFound(f"There is no site number {site_id}.")
    return row


def _fill(row: SiteRow, site: Site) -> None:
    row.name = site.name
    row.latitude_deg = site.latitude_deg
    row.longitude_deg = site.longitude_deg
    row.elevation_m = site.elevation_m
    row.time_zone = site.time_zone
    row.dark_sky_mag_arcsec2 = site.dark_sky_mag_arcsec2
    row.horizon = [
        HorizonPointRow(azimuth_deg=azimuth, altitude_deg=altitude)
        for azimuth, altitude in site.horizon
    ]


def _names(session: Session) -> TakenNames:
    rows = session.execute(select(SiteRow.id, SiteRow.name, SiteRow.retired_utc))
    return TakenNames.of("site", (Named(*row[:2], row[2] is not None) for row in rows))
