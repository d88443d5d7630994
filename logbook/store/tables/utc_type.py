"""Instants in a book: always aware, always UTC, readable in the file."""

from datetime import UTC, datetime

from sqlalchemy import DateTime, Dialect, String
from sqlalchemy.types import TypeDecorator, TypeEngine


class UtcDateTime(TypeDecorator[datetime]):
    """An aware instant. SQLite keeps 27 characters ending in Z, which sort in time order."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[datetime] | TypeEngine[str]:
        if dialect.name == "sqlite":
            return dialect.type_descriptor(String(27))
        return dialect.type_descriptor(DateTime(timezone=True))

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> object:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"an instant without a time zone cannot be kept: {value.isoformat()}")
        utc = value.astimezone(UTC)
        if dialect.name != "sqlite":
            return utc
        return utc.replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"

    def process_result_value(self, value: object, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        if isinstance(value, str):
            return datetime.fromisoformat(value)
        assert isinstance(value, datetime)
        return value.astimezone(UTC)
