"""What a person is told about an input file: each fault with its file, row and column, and how many there are."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

from tersum.errors import N_, TersumError

KEPT_FAULTS = 1000  # told in full; a file with more is mended from the first ones, and the rest are counted

_PLACED = {
    (True, True): N_("{file}, row {row}, column {column}: {told}"),
    (True, False): N_("{file}, row {row}: {told}"),
    (False, True): N_("{file}, column {column}: {told}"),
    (False, False): N_("{file}: {told}"),
}


class RowFault(TersumError):
    """One fault of an input file and where it stands.

    Parameters
    ----------
    file : str
        The file as the person named it.
    cause : TersumError
        What is wrong, the value, and what is accepted.
    row : int or None
        Line of the file, the header being line 1; None where the whole file is meant.
    column : str or None
        The column, or the key of a TOML file; None where the whole row is meant.
    """

    def __init__(self, file: str, cause: TersumError, *, row: int | None = None, column: str | None = None):
        super().__init__(cause.message, field=column or cause.field, value=cause.value, accepted=cause.accepted,
                         **cause.places)
        self.code = cause.code
        self.file = shown_name(file)
        self.row = row
        self.column = column
        self.cause = cause

    def sentence(self, translate: Any = str) -> str:
        told = self.cause.sentence(translate)
        place = translate(_PLACED[self.row is not None, self.column is not None])
        return str(place).format(file=self.file, row=self.row, column=self.column, told=told)


class FaultList:
    """The faults of one reading of files: the first thousand in full, the rest counted."""

    def __init__(self, keep: int = KEPT_FAULTS):
        self._keep = keep
        self._kept: list[RowFault] = []
        self.count = 0

    def add(self, fault: RowFault) -> None:
        """Note a fault."""
        self.count += 1
        if len(self._kept) < self._keep:
            self._kept.append(fault)

    def __len__(self) -> int:
        return self.count

    def __iter__(self) -> Iterator[RowFault]:
        """Yield the kept faults: those of whole files first, then by row."""
        return iter(sorted(self._kept, key=lambda one: (one.row or 0)))

    @property
    def not_kept(self) -> int:
        """How many faults are only counted."""
        return self.count - len(self._kept)


def open_input(path: str) -> BinaryIO:
    """Open an input file; a folder, a missing or an unreadable file is refused in one sentence.

    Raises
    ------
    RowFault
        ``not-found`` with exit code 4, else ``not-readable``.
    """
    try:
        if Path(path).is_dir():
            raise RowFault(path, refusal("not-readable", N_("this is a folder; accepted: {accepted}."), "", path,
                                         N_("a file")))
        return open(path, "rb")
    except (FileNotFoundError, NotADirectoryError):
        missing = RowFault(path, refusal("not-found", N_("there is no such file; accepted: {accepted}."), "", path,
                                         N_("the path of an existing file")))
        missing.exit_code = 4
        raise missing from None
    except (OSError, ValueError) as trouble:
        raise RowFault(path, refusal("not-readable", N_("cannot be read ({why}); accepted: {accepted}."), "", path,
                                     N_("a file that may be read"),
                                     why=getattr(trouble, "strerror", None) or trouble)) from None


def refusal(code: str, message: str, field: str, value: object, accepted: str = "", **places: object) -> TersumError:
    """Return a refusal with a code of its own; ``message`` and ``accepted`` are msgids."""
    error = TersumError(message, field=field, value=value, accepted=accepted, **places)
    error.code = code
    return error


def shown_name(name: str) -> str:
    """Return a file or column name that cannot write on the reader's terminal."""
    return "".join(mark if mark.isprintable() else "?" for mark in name)
