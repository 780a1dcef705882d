"""The manifest of a backup: what must be in the archive, and how far the facts of each organisation go."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from tersum.errors import N_, Faults, OutOfRange, TersumError
from tersum.records.facts import Head
from tersum.records.schema import HASH, NAME, UUID, Instant, ListOf, Maybe, Record, Text, Whole

SCHEMA = "tersum/backup/1"
# All that may be in an archive. The device number is not: two machines with one number could not be told apart.
PLACE = Text(r"organisations/[0-9a-z-]{1,60}\.id|organisations/[0-9a-f-]{36}\.sqlite"
             r"|keys/(current|[0-9a-f]{32}\.(key|cert)\.pem)|backup/recovery-key\.pub"
             r"|records/[0-9a-f-]{36}/[0-9A-Za-z][0-9A-Za-z._-]{0,199}", N_("a place that backups hold"), 300)
_HEAD = Record({"sequence": Whole(1), "hash": HASH, "utc": Instant()})
_SHAPE = Record({
    "schema": Text("tersum/backup/1", N_("tersum/backup/1"), 40), "created_utc": Instant(), "program": NAME,
    "organisations": ListOf(Record({"slug": Text(r"[0-9a-z-]{1,60}", N_("a short name"), 60), "organisation_id": UUID,
                                    "head": Maybe(_HEAD)}), 1),
    "files": ListOf(Record({"path": PLACE, "size": Whole(0), "sha256": HASH}), 1)})


@dataclass(frozen=True)
class KeptOrganisation:
    """One organisation in an archive and how far its facts go; no head if it has no fact."""

    slug: str
    organisation_id: str
    head: Head | None


@dataclass(frozen=True)
class KeptFile:
    """One file in an archive, by its place in the data folder."""

    path: str
    size: int
    sha256: str


@dataclass(frozen=True)
class Manifest:
    """What an archive holds: when, by which program, how far, and each file with its hash."""

    created_utc: str
    program: str
    organisations: tuple[KeptOrganisation, ...]
    files: tuple[KeptFile, ...]

    @property
    def size(self) -> int:
        """The bytes of all files, before encryption."""
        return sum(one.size for one in self.files)

    def body(self) -> bytes:
        """Return the manifest as it stands in the archive."""
        organisations = [{"slug": one.slug, "organisation_id": one.organisation_id, "head": _plain(one.head)}
                         for one in self.organisations]
        files = [{"path": one.path, "size": one.size, "sha256": one.sha256} for one in self.files]
        return json.dumps({"schema": SCHEMA, "created_utc": self.created_utc, "program": self.program,
                           "organisations": organisations, "files": files}, indent=1).encode()


def manifest_from(body: bytes) -> Manifest:
    """Return the manifest that a body holds.

    Raises
    ------
    Faults
        With everything in it that is not as a manifest says it.
    OutOfRange
        If it is no JSON.
    """
    try:
        given: Any = json.loads(body)
    except ValueError:
        raise OutOfRange("manifest", body[:40], N_("a JSON object")) from None
    faults: list[TersumError] = _SHAPE.faults("manifest", given)
    if faults:
        raise Faults(faults)
    files = tuple(KeptFile(one["path"], one["size"], one["sha256"]) for one in given["files"])
    if len({one.path for one in files}) != len(files):
        raise OutOfRange("manifest/files", len(files), N_("each place once"))
    organisations = tuple(KeptOrganisation(
        one["slug"], one["organisation_id"], Head(**one["head"]) if one["head"] else None)
        for one in given["organisations"])
    return Manifest(given["created_utc"], given["program"], organisations, files)


def _plain(head: Head | None) -> dict[str, object] | None:
    return {"sequence": head.sequence, "hash": head.hash, "utc": head.utc} if head else None
