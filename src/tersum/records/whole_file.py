"""Writing one file of bytes whole: under its name it is complete and on the disk, or it is not there."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from tersum.records.home import FILE_MODE, sync_folder


def write_whole(path: Path, body: bytes) -> None:
    """Write a file that only its owner may read: beside its name, synced, renamed, and the folder synced."""
    part = path.with_name(f".{path.name}.{secrets.token_hex(6)}.part")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, FILE_MODE)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(body)
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)
    sync_folder(path.parent)
