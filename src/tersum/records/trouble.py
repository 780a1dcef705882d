"""What goes wrong with a store, in plain words: each says what happened, what was kept and what to do."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from tersum.errors import N_, RecordLocked, TersumError


class StorageStopped(TersumError):
    """The disk or the database failed under a write; nothing more is written until somebody has looked."""

    code = "storage"
    exit_code = 7


class NoStore(TersumError):
    """There is no such organisation, or its file is not there."""

    code = "not-found"
    exit_code = 4


class Conflict(RecordLocked):
    """The same operation or number with other content, or a value that is no longer what the entry says it was."""

    code = "conflict"


class NewerStore(TersumError):
    """The data were written by a newer program; they are left as they are."""

    code = "newer-data"
    exit_code = 6


def told(trouble: BaseException, path: Path) -> TersumError:
    """Return what SQLite reported as a sentence for people.

    Locked is something to wait for; everything else stops the store. A failed sync is never tried again: the kernel
    may have dropped the page already, and a second sync would then report success for data that are gone.
    """
    cause: BaseException = getattr(trouble, "orig", None) or trouble
    name = str(getattr(cause, "sqlite_errorname", "") or type(cause).__name__)
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return RecordLocked(N_("Not written: another program is writing to {value}. Nothing was changed; try again."),
                            field="store", value=path.name)
    reasons = {
        "SQLITE_FULL": N_("the disk is full: make room"),
        "SQLITE_READONLY": N_("the data folder cannot be written: check its owner and its permissions"),
        "SQLITE_CANTOPEN": N_("the file cannot be opened: check the folder, its owner and its permissions"),
        "SQLITE_PERM": N_("the file cannot be opened: check the folder, its owner and its permissions"),
        "SQLITE_CORRUPT": N_("the file is damaged: restore a backup"),
        "SQLITE_NOTADB": N_("the file is not a database: restore a backup"),
        "SQLITE_IOERR": N_("the disk reported an error: check the disk"),
    }
    key = next((one for one in reasons if name.startswith(one)), "")
    advice = reasons.get(key, N_("the database refused ({name})"))
    return StorageStopped(
        N_("Stopped writing to {value}: {accepted}. What was acknowledged before is kept; this entry was not "
           "acknowledged and may be sent again. Then run: tersum doctor"),
        field="store", value=path.name, accepted=advice, name=name)


def is_storage_trouble(trouble: BaseException) -> bool:
    """Tell whether an exception comes from the database or the disk, not from what was asked of them."""
    cause = getattr(trouble, "orig", None) or trouble
    return isinstance(cause, sqlite3.Error | OSError) and not isinstance(cause, sqlite3.IntegrityError)
