"""The metadata that all tables hang on, and the column types that mean the same on SQLite and PostgreSQL."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import BigInteger, DateTime, Integer, MetaData
from sqlalchemy.types import TypeDecorator

if TYPE_CHECKING:
    from sqlalchemy.engine import Dialect

# Names are written down, so that a migration can drop by name what an earlier one made.
metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

# SQLite numbers rows by itself only where the type is exactly INTEGER.
RowNumber = BigInteger().with_variant(Integer(), "sqlite")


class UtcTime(TypeDecorator[datetime]):
    """A moment: aware and in UTC on the way in and on the way out, to the microsecond, on both databases.

    SQLite has no time zones, so the moment is stored there as UTC without a zone; all stored texts then have
    the same length and compare as the moments do.
    """

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> Any:
        """Refuse a naive time: it would silently be taken for UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time without a time zone cannot be stored")
        moment = value.astimezone(UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:  # noqa: ARG002  # fixed by the base class
        """Return the moment in UTC."""
        if value is None:
            return None
        stored: datetime = value
        return stored.replace(tzinfo=UTC) if stored.tzinfo is None else stored.astimezone(UTC)
