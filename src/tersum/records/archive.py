"""The backup archive: one file, encrypted, with a manifest first that says what must be in it and how far it goes."""

from __future__ import annotations

import hashlib
import io
import os
import secrets
import shutil
import sqlite3
import tarfile
import threading
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, TYPE_CHECKING, BinaryIO

from tersum import __version__
from tersum.errors import N_, Faults, OutOfRange, TersumError
from tersum.records import facts, home
from tersum.records.facts import Head
from tersum.records.manifest import PLACE, KeptFile, KeptOrganisation, Manifest, manifest_from
from tersum.records.trouble import Conflict, NoStore, StorageStopped, told

if TYPE_CHECKING:
    from pyrage import x25519

MANIFEST = "manifest.json"
SUFFIX = ".tersum-backup.age"
MANIFEST_BYTES = 64_000_000  # far above 100,000 issued records; a manifest that is larger is not one of ours
_BLOCK = 1 << 20
_FOLDERS = ("keys", "backup", "records")  # beside the databases, which are copied while others write


class BadArchive(TersumError):
    """The archive is damaged, is not one, or does not open with this key."""

    code = "bad-archive"
    exit_code = 3


def write_archive(data: Path, target: Path, recipient: x25519.Recipient, *, moment: datetime) -> Manifest:
    """Write a backup of a data folder while others may go on writing to it.

    Parameters
    ----------
    data : Path
        The data folder.
    target : Path
        The archive to write; it appears whole or not at all, and never in place of another file.
    recipient : x25519.Recipient
        The public half of the recovery key.
    moment : datetime
        When, with an offset.

    Raises
    ------
    NoStore
        If there is no organisation to back up.
    Conflict
        If the target is there already.
    StorageStopped
        If the disk failed or is full; no archive is left then.
    """
    if target.exists():
        raise Conflict(N_("The file {value} is there already and is left as it is. Name another."), field="backup",
                       value=str(target))
    part = target.with_name(f".{target.name}.{secrets.token_hex(6)}.part")
    try:
        with _snapshot(data) as (root, organisations):
            manifest = _manifest(root, data, organisations, moment)
            _encrypt(manifest, {one.path: _source(root, data, one.path) for one in manifest.files}, part, recipient)
        os.link(part, target)  # unlike a rename, it never replaces
        home.sync_folder(target.parent.resolve())
    except sqlite3.Error as trouble:
        raise told(trouble, data) from trouble
    except OSError as trouble:
        raise StorageStopped(N_("The backup could not be written to {value}: {reason}. No archive is left; the data "
                                "are as they were."), field="backup", value=str(target),
                             reason=trouble.strerror or str(trouble)) from trouble
    finally:
        part.unlink(missing_ok=True)
    return manifest


def unpack(archive: Path, identity: x25519.Identity, into: Path) -> Manifest:
    """Open an archive into an empty folder and hold every byte against its manifest.

    Parameters
    ----------
    archive : Path
        As :func:`write_archive` wrote it.
    identity : x25519.Identity
        The secret half of the recovery key.
    into : Path
        A new folder, readable by its owner only; on any fault the caller throws it away.

    Raises
    ------
    BadArchive
        If the key is another one, or anything at all in the archive is not as it was written.
    NoStore
        If there is no such file.
    """
    from pyrage import DecryptError, decrypt_io  # noqa: PLC0415  one command in a hundred needs it

    if not archive.is_file():
        raise NoStore(N_("There is no file {value}."), field="archive", value=str(archive))
    plain = into / ".plain.tar"
    try:
        with archive.open("rb") as source, _private(plain) as sink:
            decrypt_io(source, sink, [identity])
    except DecryptError:
        raise BadArchive(N_("The archive {value} does not open with this key: it was encrypted to another one, or it "
                            "is no backup. Nothing was changed."), field="archive", value=str(archive)) from None
    except OSError as trouble:
        if trouble.errno is not None:
            raise StorageStopped(N_("The copy of the backup could not be written to {value}: {reason}. Nothing was "
                                    "changed."), field="archive", value=str(into), reason=trouble.strerror) from trouble
        raise _damaged(archive, N_("it was cut off or changed")) from None
    with plain.open("rb") as file:
        try:
            with tarfile.open(fileobj=file, mode="r:") as packed:
                manifest = _unpacked(packed, archive, into)
        except (tarfile.TarError, EOFError, Faults, OutOfRange) as fault:
            raise _damaged(archive, N_("its contents are not those of a backup")) from fault
    plain.unlink()
    return manifest


@contextmanager
def _snapshot(data: Path) -> Iterator[tuple[Path, tuple[KeptOrganisation, ...]]]:
    """Copy every database as one moment of it, with the facts that are durable then; drop the copies afterwards."""
    known = home.organisations(data)
    if not known:
        raise NoStore(N_("There is no organisation in {value} yet: nothing to back up."), field="backup",
                      value=str(data))
    root = home.folder(data / f".backup-{secrets.token_hex(6)}")
    try:
        home.folder(root / "organisations")
        yield root, tuple(_copied(data, root, slug, known[slug]) for slug in known)
    finally:
        shutil.rmtree(root)


def _copied(data: Path, root: Path, slug: str, organisation_id: str) -> KeptOrganisation:
    source = home.database_path(data, home.organisation_id(data, slug))
    if not source.is_file():
        raise NoStore(N_("The file {value} is missing, though its organisation is known. Restore a backup."),
                      field="store", value=str(source))
    target = root / "organisations" / source.name
    os.close(os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, home.FILE_MODE))
    with closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True, timeout=30)) as live, \
            closing(sqlite3.connect(target)) as copy:
        live.backup(copy)
        row = copy.execute("SELECT sequence, hash, body FROM facts WHERE organisation_id = ? ORDER BY sequence DESC "
                           "LIMIT 1", (organisation_id,)).fetchone()
    head = Head(row[0], row[1], facts.moment_of(bytes(row[2]))) if row else None
    return KeptOrganisation(slug, organisation_id, head)


def _manifest(root: Path, data: Path, organisations: tuple[KeptOrganisation, ...], moment: datetime) -> Manifest:
    places = [f"organisations/{one.slug}.id" for one in organisations]
    places += [f"organisations/{one.organisation_id}.sqlite" for one in organisations]
    for name in _FOLDERS:
        found = (path.relative_to(data).as_posix() for path in sorted((data / name).rglob("*"))
                 if path.is_file() and not path.is_symlink())
        # What is being written has a leading dot; a file of somebody else's is none of a backup's.
        places += [place for place in found if not PLACE.faults("path", place)]
    files = []
    for place in places:
        path = _source(root, data, place)
        files.append(KeptFile(place, path.stat().st_size, _sha256(path)))
    return Manifest(moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ"), __version__, organisations, tuple(files))


def _source(root: Path, data: Path, place: str) -> Path:
    return (root if place.endswith(".sqlite") else data) / place


def _encrypt(manifest: Manifest, sources: Mapping[str, Path], target: Path, recipient: x25519.Recipient) -> None:
    """Encrypt the archive while it is being packed, so that no plain copy of it touches the disk."""
    from pyrage import encrypt_io  # noqa: PLC0415  one command in a hundred needs it

    reading, writing = os.pipe()
    trouble: list[BaseException] = []
    packing = threading.Thread(target=_pack, args=(manifest, sources, writing, trouble), daemon=True)
    with os.fdopen(reading, "rb") as plain, _private(target) as sink:
        packing.start()
        encrypt_io(plain, sink, [recipient])
        packing.join()
        sink.flush()
        os.fsync(sink.fileno())
    if trouble:
        raise trouble[0]


def _pack(manifest: Manifest, sources: Mapping[str, Path], writing: int, trouble: list[BaseException]) -> None:
    try:
        with os.fdopen(writing, "wb") as sink, tarfile.open(fileobj=sink, mode="w|", format=tarfile.PAX_FORMAT) as tar:
            body = manifest.body()
            tar.addfile(_member(MANIFEST, len(body)), io.BytesIO(body))
            for one in manifest.files:
                with sources[one.path].open("rb") as file:
                    tar.addfile(_member(one.path, one.size), file)
    except BaseException as fault:  # noqa: BLE001  whatever it is, the thread that waits must hear of it
        trouble.append(fault)


def _member(name: str, size: int) -> tarfile.TarInfo:
    made = tarfile.TarInfo(name)
    made.size, made.mode = size, home.FILE_MODE
    return made


def _unpacked(packed: tarfile.TarFile, archive: Path, into: Path) -> Manifest:
    first = packed.next()
    if first is None or first.name != MANIFEST or not first.isreg() or first.size > MANIFEST_BYTES:
        raise _damaged(archive, N_("it does not begin with a manifest"))
    manifest = manifest_from(_opened(packed, first).read())
    for one in manifest.files:
        member = packed.next()
        if member is None or not member.isreg() or (member.name, member.size) != (one.path, one.size):
            raise _damaged(archive, N_("{path} is missing or not as long as it was"), path=one.path)
        path = into / one.path
        home.folder(path.parent)
        with _opened(packed, member) as source, _private(path) as sink:
            if _copy(source, sink) != one.sha256:
                raise _damaged(archive, N_("{path} is not as it was"), path=one.path)
            sink.flush()
            os.fsync(sink.fileno())
        home.sync_folder(path.parent)
    if packed.next() is not None:
        raise _damaged(archive, N_("it holds more than its manifest says"))
    return manifest


def _opened(packed: tarfile.TarFile, member: tarfile.TarInfo) -> IO[bytes]:
    found = packed.extractfile(member)
    if found is None:
        raise tarfile.ReadError(member.name)
    return found


def _copy(source: IO[bytes], sink: BinaryIO) -> str:
    digest = hashlib.sha256()
    while block := source.read(_BLOCK):
        digest.update(block)
        sink.write(block)
    return digest.hexdigest()


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _private(path: Path) -> BinaryIO:
    """Open a new file that only its owner may read."""
    return os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, home.FILE_MODE), "wb")


def _damaged(archive: Path, reason: str, **places: str) -> BadArchive:
    return BadArchive(N_("The archive {value} is damaged: {accepted}. Nothing was changed; try another backup."),
                      field="archive", value=str(archive), accepted=reason, **places)
