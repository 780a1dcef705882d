"""Where the file of an issued record is kept."""

from __future__ import annotations

import hashlib
from pathlib import Path


def issued_file(home: Path, organisation_id: str, number: str) -> Path:
    """Return the place of a record's PDF; its name is a hash, since a visit's name may hold any letter."""
    name = hashlib.sha256(number.encode()).hexdigest()[:32]
    return home / "records" / organisation_id / f"{name}.pdf"
