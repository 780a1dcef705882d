"""The state of an installation: what would keep it from working tomorrow, looked at without changing a byte."""

from __future__ import annotations

import os
import shutil
import sqlite3
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from types import MappingProxyType
from zoneinfo import ZoneInfo

from tersum import __version__
from tersum.records import facts, home
from tersum.records.schema import UUID
from tersum.records.when import Clock, now

PYTHON = (3, 11)
LEAST_FREE_MB = 200  # some thousand visits; far above what SQLite needs to finish a write and say so
EARLIEST = datetime(2026, 1, 1, tzinfo=UTC)  # no clock that is right shows a day before this program was written
LATEST = datetime(2100, 1, 1, tzinfo=UTC)
BEHIND = timedelta(minutes=5)
PACKAGES = ("alembic", "click", "numpy", "platformdirs", "rfc8785", "scipy", "sqlalchemy", "tzdata", "uuid-utils")


@dataclass(frozen=True)
class Health:
    """One thing that was looked at: what, whether it is well, and if not, the code of what is wrong."""

    check: str
    trouble: str | None = None
    parameters: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}))


def examine(folder: Path, revisions: tuple[str, ...], *, clock: Clock = now,
            zone: str = "Europe/Lisbon") -> list[Health]:
    """Look at an installation and return everything that was looked at, well or not.

    Parameters
    ----------
    folder : Path
        The data folder; it need not be there yet.
    revisions : tuple of str
        The migrations that this program knows, oldest first.
    clock : callable
        The clock that facts are dated by.
    zone : str
        A zone that must be in the time zone data.
    """
    found = [_python(), _folder(folder)]
    if found[-1].trouble is None and folder.is_dir():
        found += [*_rights(folder), _space(folder), _device(folder), *_organisations(folder, revisions)]
    newest = max((str(one.parameters.get("newest", "")) for one in found), default="")
    return [*found, _clock(clock(), newest), _zones(zone)]


def versions() -> dict[str, str]:
    """Return what this installation is made of."""
    made = {"tersum": __version__, "python": ".".join(map(str, sys.version_info[:3])),
            "sqlite": sqlite3.sqlite_version}
    for name in PACKAGES:
        try:
            made[name] = version(name)
        except PackageNotFoundError:
            made[name] = "missing"
    return made


def _python() -> Health:
    shown = {"version": ".".join(map(str, sys.version_info[:3])), "least": ".".join(map(str, PYTHON))}
    return Health("python", "python-too-old" if sys.version_info[:2] < PYTHON else None, shown)


def _folder(folder: Path) -> Health:
    shown = {"folder": str(folder)}
    if folder.exists() and not folder.is_dir():
        return Health("data-folder", "not-a-folder", shown)
    nearest = next(one for one in (folder, *folder.parents) if one.is_dir())
    if not os.access(nearest, os.W_OK | os.X_OK):
        return Health("data-folder", "folder-not-writable", {"folder": str(nearest)})
    return Health("data-folder", None, {**shown, "there": folder.is_dir()})


def _rights(folder: Path) -> Iterator[Health]:
    if os.name != "posix":
        yield Health("rights", None, {"looked_at": False})
        return
    paths = [folder, *sorted(folder.rglob("*"))]
    states = [(path, path.lstat()) for path in paths]
    open_to_others = [path for path, state in states if state.st_mode & 0o077 and not path.is_symlink()]
    foreign = [path for path, state in states if state.st_uid != os.geteuid()]
    for trouble, named in (("others-may-read", open_to_others), ("wrong-owner", foreign)):
        if named:
            yield Health("rights", trouble, {"file": str(named[0]), "count": len(named)})
    if not open_to_others and not foreign:
        yield Health("rights", None, {"looked_at": True})


def _space(folder: Path) -> Health:
    free_mb = shutil.disk_usage(folder).free // 1_000_000
    return Health("space", "little-space" if free_mb < LEAST_FREE_MB else None,
                  {"free_mb": free_mb, "least_mb": LEAST_FREE_MB})


def _device(folder: Path) -> Health:
    path = folder / "device"
    if not path.exists():
        return Health("device", None, {"device": ""})
    text = path.read_text(encoding="ascii", errors="replace").strip()
    return Health("device", "device-number-bad" if UUID.faults("device", text) else None,
                  {"device": text, "file": str(path)})


def _organisations(folder: Path, revisions: tuple[str, ...]) -> Iterator[Health]:
    known = home.organisations(folder)
    for slug, organisation in known.items():
        shown = {"organisation": slug, "file": str(folder / "organisations" / f"{slug}.id")}
        if UUID.faults("id", organisation):
            yield Health("organisation", "organisation-id-bad", shown)
        else:
            path = home.database_path(folder, organisation)
            yield _database(path, {**shown, "file": str(path)}, revisions)
    for path in sorted((folder / "organisations").glob("*.sqlite")):
        if path.stem not in known.values():
            yield Health("organisation", "database-of-nobody", {"file": str(path)})


def _database(path: Path, shown: dict[str, object], revisions: tuple[str, ...]) -> Health:
    if not path.is_file():
        return Health("organisation", "database-missing", shown)
    try:
        # Read-only, so that not even the log is folded in: a doctor who changes what he looks at is no witness. Where
        # there is no log, even a reader would make one, unless told that nobody writes.
        log = path.with_name(f"{path.name}-wal")
        still = "" if log.exists() and log.stat().st_size else "&immutable=1"
        connection = sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro{still}", uri=True, timeout=5)
        try:
            return Health("organisation", _state(connection, revisions),
                          {**shown, "newest": _newest(connection)})
        finally:
            connection.close()
    except sqlite3.Error as damage:
        return Health("organisation", "database-damaged", {**shown, "reason": str(damage)})


def _state(connection: sqlite3.Connection, revisions: tuple[str, ...]) -> str | None:
    tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    found = [name for (name,) in connection.execute("SELECT version_num FROM alembic_version")] \
        if "alembic_version" in tables else []
    if len(found) == 1 and found[0] not in revisions:
        return "database-newer"
    if len(found) != 1 or not {"facts", "batch_rows", "subjects", "personal_rows"} <= tables:
        return "migration-half-done"
    if connection.execute("PRAGMA integrity_check(1)").fetchone() != ("ok",):
        return "database-damaged"
    if connection.execute("PRAGMA foreign_key_check").fetchone() is not None:
        return "database-damaged"
    return None


def _newest(connection: sqlite3.Connection) -> str:
    """Return the moment of the newest fact, nothing if there is none to be read."""
    try:
        row = connection.execute("SELECT body FROM facts ORDER BY sequence DESC LIMIT 1").fetchone()
    except sqlite3.Error:
        return ""  # no such table; the state says so
    return facts.moment_of(bytes(row[0])) if row else ""


def _clock(moment: datetime, newest: str) -> Health:
    shown = {"now": moment.astimezone(UTC).isoformat(timespec="seconds"), "newest": newest}
    if not EARLIEST <= moment <= LATEST:
        return Health("clock", "clock-wrong", shown)
    try:
        last = datetime.fromisoformat(newest) if newest else moment
    except ValueError:
        last = moment
    return Health("clock", "clock-behind" if last - moment > BEHIND else None, shown)


def _zones(zone: str) -> Health:
    try:
        ZoneInfo(zone)
    except (OSError, ValueError, LookupError):
        return Health("zones", "zones-missing", {"zone": zone})
    return Health("zones", None, {"zone": zone})
