"""The data folder: where it is, who may read it, this device's own number, and which file is whose."""

from __future__ import annotations

import hashlib
import os
import re
import secrets
import unicodedata
import uuid
from pathlib import Path

import platformdirs
import uuid_utils

from tersum.errors import N_, OutOfRange, TersumError
from tersum.records.schema import CODE, UUID
from tersum.records.trouble import NoStore, StorageStopped

FOLDER_MODE = 0o700
FILE_MODE = 0o600
_LONGEST_SLUG = 60
_MARK = 8  # hexadecimal digits of the hash behind a short name that lost something


def data_home() -> Path:
    """Return the data folder: ``TERSUM_HOME``, else the user's data folder of this system."""
    named = os.environ.get("TERSUM_HOME", "")
    return Path(named).expanduser() if named else Path(platformdirs.user_data_dir("tersum", appauthor=False))


def new_id() -> str:
    """Return a UUIDv7: unique without asking anybody, and in the order of time."""
    return str(uuid_utils.uuid7())


def device_id(home: Path) -> str:
    """Return this device's number, made at its first use and kept beside the data."""
    path = home / "device"
    for _attempt in range(2):
        if path.is_file():
            text = path.read_text(encoding="ascii", errors="replace").strip()
            if UUID.faults("device", text):
                raise StorageStopped(N_("The file {field} holds no device number: got {value}; remove the file to get "
                                        "a new one."), field=str(path), value=text)
            return text
        folder(home)
        keep_once(path, new_id())  # if another process was first, its number is read on the next turn
    raise StorageStopped(N_("The device number could not be kept in {value}."), field="device", value=str(path))


def organisations(home: Path) -> dict[str, str]:
    """Return the organisations of a data folder: short name to id."""
    found = {}
    for path in sorted((home / "organisations").glob("*.id")):
        found[path.stem] = path.read_text(encoding="ascii", errors="replace").strip()
    return found


def organisation_id(home: Path, slug: str) -> str:
    """Return the id kept for a short name.

    Raises
    ------
    NoStore
        If there is none; the names that there are come with it.
    """
    checked_slug(slug)
    path = home / "organisations" / f"{slug}.id"
    try:
        text = path.read_text(encoding="ascii", errors="replace").strip()
    except FileNotFoundError:
        known = ", ".join(organisations(home)) or "-"
        raise NoStore(N_("There is no organisation {value} in {folder}. Known: {known}."), field="organisation",
                      value=slug, folder=str(home), known=known) from None
    if UUID.faults("id", text):
        raise StorageStopped(N_("The file {field} holds no id: got {value}."), field=str(path), value=text)
    return text


def database_path(home: Path, organisation: str) -> Path:
    """Return the file of an organisation, by id."""
    return home / "organisations" / f"{uuid.UUID(organisation)}.sqlite"


def checked_slug(slug: str) -> str:
    """Return a short name if it may be part of a file name, else refuse it."""
    faults: list[TersumError] = CODE.faults("organisation", slug)
    if faults or len(slug) > _LONGEST_SLUG:
        raise OutOfRange("organisation", slug, N_("a short name of small letters, digits and hyphens"))
    return slug


def slug_from(name: str) -> str:
    """Return the short name for a name as people write it, in any script.

    Case, blanks and hyphens tell no two names apart. Where anything else is lost on the way to small letters and
    digits, the start of a SHA-256 of the name is put behind it, so that no two share a short one by their loss.

    Examples
    --------
    >>> slug_from("Example Minibuses")
    'example-minibuses'
    >>> slug_from("Example & Minibuses"), slug_from("Example + Minibuses")
    ('example-minibuses-ac67bd46', 'example-minibuses-4c930992')
    """
    plain = " ".join(unicodedata.normalize("NFC", name).casefold().replace("-", " ").split())
    if not plain:
        return checked_slug("")
    latin = unicodedata.normalize("NFKD", plain).encode("ascii", "ignore").decode()
    slug = re.sub(r"[^a-z0-9]+", "-", latin).strip("-")
    if slug == plain.replace(" ", "-") and len(slug) <= _LONGEST_SLUG:
        return checked_slug(slug)
    mark = hashlib.sha256(plain.encode()).hexdigest()[:_MARK]
    return checked_slug(f"{slug[:_LONGEST_SLUG - _MARK - 1].strip('-') or 'organisation'}-{mark}")


def folder(path: Path) -> Path:
    """Make a folder that only its owner may enter, and its parents; leave one that is there as it is."""
    if not path.is_dir():
        if not path.parent.is_dir():
            folder(path.parent)
        try:
            path.mkdir(mode=FOLDER_MODE)
        except FileExistsError:
            return path  # another process made it just now
        sync_folder(path.parent)
    return path


def keep_once(path: Path, text: str) -> bool:
    """Write a small file whole, synced, and only if it is not there; tell whether this call wrote it."""
    temporary = path.with_name(f".{path.name}.{secrets.token_hex(6)}")
    handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, FILE_MODE)
    try:
        os.write(handle, (text + "\n").encode())
        os.fsync(handle)
        try:
            os.link(temporary, path)  # unlike a rename, it never replaces
        except FileExistsError:
            return False
    finally:
        os.close(handle)
        os.unlink(temporary)
    sync_folder(path.parent)
    return True


def sync_folder(path: Path) -> None:
    """Make the names in a folder durable, where the system has such a call."""
    if os.name != "posix":
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
