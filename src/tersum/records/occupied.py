"""Who is at work in a data folder: the pages share it, a restore wants it alone."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tersum.errors import N_, RecordLocked
from tersum.records.home import FILE_MODE, folder

try:
    import fcntl
except ImportError:  # a system without such locks: there SQLite's own lock is all there is
    fcntl = None  # type: ignore[assignment]


@contextmanager
def occupied(data: Path, *, alone: bool = False) -> Iterator[None]:
    """Hold a data folder while working in it.

    Parameters
    ----------
    data : Path
        The data folder; made if it is not there.
    alone : bool
        Whether nobody else may be at work in it at the same time.

    Raises
    ------
    RecordLocked
        If somebody is at work in a way that does not go together with this.
    """
    handle = os.open(folder(data) / "at-work", os.O_RDWR | os.O_CREAT, FILE_MODE)
    try:
        if fcntl is not None:
            try:
                fcntl.flock(handle, (fcntl.LOCK_EX if alone else fcntl.LOCK_SH) | fcntl.LOCK_NB)
            except OSError:
                raise RecordLocked(N_("Tersum is at work in {value}: stop tersum serve there first, or wait for the "
                                      "restore to end. Nothing was changed."), field="home",
                                   value=str(data)) from None
        yield
    finally:
        os.close(handle)
