"""Bringing a backup back: everything is proven in a folder beside the data before a single name changes."""

from __future__ import annotations

import os
import secrets
import shutil
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC
from pathlib import Path
from typing import TYPE_CHECKING

from tersum.errors import N_, OutOfRange, TersumError
from tersum.records import home, ledger
from tersum.records.archive import BadArchive, unpack
from tersum.records.manifest import KeptOrganisation, Manifest
from tersum.records.occupied import occupied
from tersum.records.store import Store, open_store
from tersum.records.trouble import Conflict, NoStore, StorageStopped
from tersum.records.when import now

if TYPE_CHECKING:
    from pyrage import x25519

    from tersum.records.inspection import Recompute


@dataclass(frozen=True)
class Erased:
    """A subject that was erased, as the fact of it says; the operation makes doing it again harmless."""

    organisation_id: str
    subject_id: str
    basis: str
    operation_id: str


@dataclass(frozen=True)
class Restored:
    """What a backup holds, what had to be done to it, and what was in its place.

    ``newer`` counts, by short name, the facts that the replaced data had and the backup has not; ``aside`` is where
    the replaced data lie now, None if there were none or if nothing was put in place.
    """

    manifest: Manifest
    erased_again: tuple[Erased, ...]
    newer: Mapping[str, int]
    aside: Path | None


def checked(archive: Path, identity: x25519.Identity, data: Path, *, recompute: Recompute | None = None) -> Manifest:
    """Open an archive, hold every byte and every fact in it against what was sealed, and throw the copy away.

    The copy lies beside the data folder ``data``, not beside the archive: a medium may be read-only or somebody else's.

    Raises
    ------
    BadArchive
        If anything is not as it was, with the first fault that was found.
    """
    home.folder(data.parent)
    with _staged(data.parent) as staging:
        return _proven(archive, identity, staging, recompute)


def restored(archive: Path, identity: x25519.Identity, data: Path, *, replace: bool = False,
             erasures: Sequence[Erased] = (), recompute: Recompute | None = None) -> Restored:
    """Put a backup in the place of a data folder.

    Parameters
    ----------
    archive, identity
        The backup, and the secret half of the recovery key.
    data : Path
        The data folder. What is there now is moved aside whole, never deleted.
    replace : bool
        Whether a data folder that holds organisations may be replaced.
    erasures : sequence of Erased
        Subjects erased after the backup was written, known from elsewhere; those that the replaced data know of are
        added by themselves.
    recompute : callable, optional
        As for :func:`tersum.records.ledger.check`.

    Raises
    ------
    BadArchive
        If anything in the archive is not as it was; nothing is changed then.
    Conflict
        If there are organisations and ``replace`` is not set; nothing is changed then.
    RecordLocked
        If the pages are being served from the data folder.
    """
    there = home.organisations(data) if data.is_dir() else {}
    if there and not replace:
        raise Conflict(N_("There are data in {value}: {known}. Look at the backup with --check; to put it in their "
                          "place, add --replace: what is there is moved aside, not deleted."), field="home",
                       value=str(data), known=", ".join(there))
    home.folder(data.parent)
    with _staged(data.parent) as staging, occupied(data, alone=True):
        manifest = _proven(archive, identity, staging, recompute)
        newer, known = _compared(data, there, manifest)
        again = _erased_again(staging, manifest, [*known, *erasures])
        aside = _in_place(staging, data)
    return Restored(manifest, tuple(again), newer, aside)


def erasures_in(store: Store) -> list[Erased]:
    """Return every erasure that a store has on record, oldest first."""
    return [Erased(store.organisation_id, fact.data["subject_id"], fact.data["basis"], fact.envelope["operation_id"])
            for fact in store.facts(type="subject-erased")]


def erasures_from(body: object) -> list[Erased]:
    """Return the erasures that ``tersum ledger show --type subject-erased --json`` printed, read from its JSON.

    Raises
    ------
    OutOfRange
        If it is something else.
    """
    try:
        return [Erased(one["organisation_id"], one["data"]["subject_id"], one["data"]["basis"], one["operation_id"])
                for one in body["facts"] if one["type"] == "subject-erased"]  # type: ignore[index]
    except (LookupError, TypeError):
        raise OutOfRange("erasures", "", N_("the output of tersum ledger show --type subject-erased --json")) from None


@contextmanager
def _staged(beside: Path) -> Iterator[Path]:
    staging = home.folder(beside / f".tersum-restore-{secrets.token_hex(6)}")
    try:
        yield staging
    finally:
        shutil.rmtree(staging, ignore_errors=True)


def _proven(archive: Path, identity: x25519.Identity, staging: Path, recompute: Recompute | None) -> Manifest:
    manifest = unpack(archive, identity, staging)
    kept = {one.slug: one.organisation_id for one in manifest.organisations}
    if home.organisations(staging) != kept:
        raise _not_whole(archive, N_("its organisations are not those its manifest names"))
    for one in manifest.organisations:
        _sound(archive, home.database_path(staging, one.organisation_id))
        with open_store(staging, one.slug) as store:
            _as_sealed(archive, store, one, recompute)
    return manifest


def _sound(archive: Path, path: Path) -> None:
    try:
        connection = sqlite3.connect(path)
        try:
            sound = connection.execute("PRAGMA integrity_check(1)").fetchone() == ("ok",)
        finally:
            connection.close()
    except sqlite3.Error:
        sound = False
    if not sound:
        raise _not_whole(archive, N_("a database in it is damaged"))


def _as_sealed(archive: Path, store: Store, kept: KeptOrganisation, recompute: Recompute | None) -> None:
    head = store.head()
    if head != kept.head:
        raise _not_whole(archive, N_("its facts do not end where its manifest says"))
    grave = [one for one in ledger.check(store, [head] if head else [], recompute=recompute) if one.grave]
    if grave:
        raise _not_whole(archive, N_("the facts of {slug} are not as they were sealed ({code})"), slug=kept.slug,
                         code=grave[0].code)


def _compared(data: Path, there: Mapping[str, str], manifest: Manifest) -> tuple[dict[str, int], list[Erased]]:
    """Return what the data in place have beyond the backup: facts by short name, and erasures."""
    kept = {one.organisation_id: one for one in manifest.organisations}
    newer: dict[str, int] = {}
    known: list[Erased] = []
    for slug, organisation_id in there.items():
        try:
            with open_store(data, slug) as store:
                head, held = store.head(), kept.get(organisation_id)
                ahead = (head.sequence if head else 0) - (held.head.sequence if held and held.head else 0)
                known += erasures_in(store)
        except TersumError:
            continue  # what is there cannot be read, which may be why a backup is wanted
        if ahead > 0:
            newer[slug] = ahead
    return newer, known


def _erased_again(staging: Path, manifest: Manifest, erasures: Sequence[Erased]) -> list[Erased]:
    """Erase in the copy whoever was erased since: nobody comes back with a backup."""
    done = []
    for one in manifest.organisations:
        asked = {each.subject_id: each for each in erasures if each.organisation_id == one.organisation_id}
        with open_store(staging, one.slug) as store:
            before = {each.subject_id for each in erasures_in(store)}
            for each in asked.values():
                if each.subject_id in before:
                    continue
                try:
                    erased = store.erase_subject(each.subject_id, basis=each.basis, actor_id=store.device_id,
                                                 operation_id=each.operation_id)
                except NoStore:
                    continue  # who came after the backup is not in it
                if not erased.wiped:
                    raise Conflict(N_("Subject {value} could not be wiped from the copy; nothing was changed."),
                                   field="erasures", value=each.subject_id)
                done.append(each)
    return done


def _in_place(staging: Path, data: Path) -> Path | None:
    """Move what is there aside and the copy into its place: two renames; the first is undone if the second fails."""
    (staging / "device").unlink(missing_ok=True)  # the next entry makes a new number, so that none is used twice
    stamp = now().astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
    aside = data.with_name(f"{data.name}.before-restore-{stamp}-{secrets.token_hex(2)}")
    try:
        os.rename(data, aside)
        try:
            os.rename(staging, data)
        except OSError:
            os.rename(aside, data)
            raise
        home.sync_folder(data.parent)
    except OSError as trouble:
        raise StorageStopped(N_("The backup could not be put in the place of {value}: {reason}. What was there is "
                                "there still."), field="home", value=str(data),
                             reason=trouble.strerror or str(trouble)) from trouble
    if not [path for path in aside.iterdir() if path.name != "at-work"]:
        shutil.rmtree(aside)  # there was nothing but the lock
        return None
    return aside


def _not_whole(archive: Path, reason: str, **places: str) -> BadArchive:
    return BadArchive(N_("The archive {value} is damaged: {accepted}. Nothing was changed; try another backup."),
                      field="archive", value=str(archive), accepted=reason, **places)
