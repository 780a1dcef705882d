"""Rows set aside by partition, in memory while they are few and in a temporary file when they are many."""

from __future__ import annotations

import marshal
from collections.abc import Iterator
from types import TracebackType
from typing import IO, Any, Self

from tersum.errors import N_
from tersum.records.intake import refusal

BLOCK_ROWS = 256  # of one partition, written at once


class Spool:
    """Rows by partition number; each partition comes back in the order in which its rows were added.

    Rows are tuples of what ``marshal`` can carry: texts, numbers, truth values, None and tuples of these. The file has
    no name where the system allows that, and goes when the spool is closed.

    Examples
    --------
    >>> with Spool() as spool:
    ...     for number in range(5):
    ...         spool.add(number % 2, (number,))
    ...     list(spool.partition(1)), spool.partitions()
    ([(1,), (3,)], [0, 1])
    """

    def __init__(self, block_rows: int = BLOCK_ROWS) -> None:
        self._block_rows = block_rows
        self._open: dict[int, list[Any]] = {}
        self._written: dict[int, list[tuple[int, int]]] = {}
        self._end = 0
        self._file: IO[bytes] | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None,
                 trace: TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """Drop the rows and their file."""
        self._open, self._written = {}, {}
        if self._file is not None:
            self._file.close()
            self._file = None

    def add(self, partition: int, row: tuple[Any, ...]) -> None:
        """Set a row aside."""
        rows = self._open.get(partition)
        if rows is None:
            self._open[partition] = [row]
            return
        rows.append(row)
        if len(rows) >= self._block_rows:
            self._write(partition, rows)

    def partitions(self) -> list[int]:
        """Return the numbers of all partitions that have rows, in order."""
        return sorted(self._open.keys() | self._written.keys())

    def partition(self, partition: int) -> Iterator[Any]:
        """Yield the rows of one partition; only one block of them is in memory at a time."""
        for start, length in self._written.get(partition, ()):
            yield from marshal.loads(self._read(start, length))
        yield from self._open.get(partition, ())

    def _write(self, partition: int, rows: list[Any]) -> None:
        block = marshal.dumps(rows)
        try:
            if self._file is None:
                # Imported here: a table of some hundred rows never comes here, and its command should start quickly.
                import tempfile  # noqa: PLC0415

                self._file = tempfile.TemporaryFile(prefix="tersum-")
            self._file.seek(self._end)
            self._file.write(block)
        except OSError as trouble:
            refused = refusal("storage", N_("the temporary folder cannot be written ({why}); accepted: {accepted}."),
                              "", "", N_("a temporary folder with free space of about three times the file"),
                              why=trouble.strerror or trouble)
            refused.exit_code = 7
            raise refused from trouble
        self._written.setdefault(partition, []).append((self._end, len(block)))
        self._end += len(block)
        rows.clear()

    def _read(self, start: int, length: int) -> bytes:
        assert self._file is not None
        self._file.seek(start)
        return self._file.read(length)
