"""By which clock an entry by day has its date: that of the site chosen last, as for a new one."""

from datetime import UTC, date, datetime, time, tzinfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from logbook.sky.night.clock import zone_or_utc
from logbook.store.tables.models import ChoiceRow, SiteRow


def day_zone_name(session: Session) -> str:
    """The zone of the site chosen last, else of the first; UTC where there is none."""
    chosen = select(ChoiceRow.value).where(ChoiceRow.name == "site").scalar_subquery()
    sites = select(SiteRow.time_zone).where(SiteRow.retired_utc.is_(None))
    first = sites.order_by((SiteRow.name == chosen).desc(), SiteRow.name).limit(1)
    return session.scalar(first) or "UTC"


def day_zone(session: Session) -> tzinfo:
    return zone_or_utc(day_zone_name(session))


def begin_of_day(session: Session, day: date) -> datetime:
    """Midnight of a date by that clock, in UTC."""
    return datetime.combine(day, time(), tzinfo=day_zone(session)).astimezone(UTC)
