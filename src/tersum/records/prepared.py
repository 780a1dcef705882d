"""Portable statements compiled once: an append runs five of them, and building each anew cost more than the sync."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from sqlalchemy import ClauseElement, Connection, Dialect


class Prepared:
    """One SQLAlchemy Core statement, run on the database driver itself.

    Values go to the driver as they are, so only statements over text, whole numbers and bytes are prepared.

    Parameters
    ----------
    statement : ClauseElement
        With named bind parameters, all of them given at each run.
    """

    def __init__(self, statement: ClauseElement):
        self._statement = statement
        self._compiled: dict[str, tuple[str, tuple[str, ...] | None]] = {}

    def rows(self, connection: Connection, values: dict[str, Any]) -> list[Any]:
        """Run it and return all rows."""
        driver: Any = connection.connection.dbapi_connection
        sql, order = self._compiled.get(connection.dialect.name) or self._compile(connection.dialect)
        cursor = driver.cursor()
        try:
            cursor.execute(sql, values if order is None else tuple([values[name] for name in order]))
            return cursor.fetchall() if cursor.description else []
        finally:
            cursor.close()

    def each(self, connection: Connection, values: dict[str, Any]) -> Iterator[Any]:
        """Run it and yield one row after the other, without holding all of them."""
        driver: Any = connection.connection.dbapi_connection
        sql, order = self._compiled.get(connection.dialect.name) or self._compile(connection.dialect)
        cursor = driver.cursor()
        try:
            yield from cursor.execute(sql, values if order is None else tuple([values[name] for name in order]))
        finally:
            cursor.close()

    def many(self, connection: Connection, values: Sequence[dict[str, Any]]) -> None:
        """Run it once for each of several sets of values."""
        driver: Any = connection.connection.dbapi_connection
        sql, order = self._compiled.get(connection.dialect.name) or self._compile(connection.dialect)
        cursor = driver.cursor()
        try:
            cursor.executemany(sql, values if order is None else [tuple([one[name] for name in order])
                                                                  for one in values])
        finally:
            cursor.close()

    def _compile(self, dialect: Dialect) -> tuple[str, tuple[str, ...] | None]:
        compiled: Any = self._statement.compile(dialect=dialect)
        made = str(compiled), tuple(compiled.positiontup) if compiled.positional else None
        self._compiled[dialect.name] = made
        return made
