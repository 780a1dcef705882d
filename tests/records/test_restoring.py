"""A backup brings back every fact up to its head, or is refused before a single name changes."""

import io
import os
import shutil
import sqlite3
import tarfile
import threading

import pyrage
import pytest

from records.samples import step
from tersum.errors import OutOfRange, RecordLocked
from tersum.records import home, ledger
from tersum.records.archive import MANIFEST, BadArchive, unpack, write_archive
from tersum.records.keys import signing_key
from tersum.records.manifest import manifest_from
from tersum.records.occupied import occupied
from tersum.records.recovery_key import NoRecoveryKey, make_recovery_key, recovery_identity, recovery_recipient
from tersum.records.restoring import Erased, checked, erasures_from, restored
from tersum.records.store import open_store
from tersum.records.trouble import Conflict, NoStore
from tersum.records.when import now

MARK = "Planted-Marker-9Z4B-Jaroslava"


@pytest.fixture
def data(tmp_path):
    """A data folder with one organisation of some facts, one person, and a recovery key kept elsewhere."""
    folder = tmp_path / "data"
    with open_store(folder, "example", create=True) as store:
        for _entry in range(5):
            store.append(step(store, store.new_id()))
        store.remember_subject("person", {"name": MARK})
    make_recovery_key(folder, tmp_path / "secret")
    return folder


@pytest.fixture
def identity(tmp_path, data):
    return recovery_identity(tmp_path / "secret")


def backed_up(data, name="one.age"):
    archive = data.parent / name
    return archive, write_archive(data, archive, recovery_recipient(data), moment=now())


def bodies(folder, slug="example"):
    with open_store(folder, slug) as store:
        return [fact.body for fact in store.facts()]


def everything(folder):
    """Return every file of a folder with its bytes, but for locks and what SQLite keeps beside a file it reads."""
    return {path.relative_to(folder): path.read_bytes() for path in sorted(folder.rglob("*"))
            if path.is_file() and not path.name.endswith(("-wal", "-shm", "at-work"))}


def test_backup_comes_back_record_for_record_on_a_new_machine(data, identity, tmp_path):
    archive, manifest = backed_up(data)
    before = bodies(data)
    shutil.rmtree(data)
    found = restored(archive, identity, tmp_path / "new")
    assert bodies(tmp_path / "new") == before and found.aside is None and found.newer == {}
    assert found.manifest == manifest and manifest.organisations[0].head.sequence == len(before)
    with open_store(tmp_path / "new", "example") as store:
        assert ledger.check(store, [manifest.organisations[0].head]) == []
        assert store.append(step(store, store.new_id())).sequence == len(before) + 1


def test_backup_holds_what_is_only_in_the_log_yet(data, identity, tmp_path):
    with open_store(data, "example") as store:  # open all the while, so that nothing is folded into the file
        newest = store.append(step(store, store.new_id()))
        archive, _manifest = backed_up(data)
    restored(archive, identity, tmp_path / "new")
    assert bodies(tmp_path / "new")[-1] == newest.body


def test_restored_machine_has_another_device_number(data, identity):
    archive, _manifest = backed_up(data)
    before = home.device_id(data)
    restored(archive, identity, data, replace=True)
    assert home.device_id(data) != before


def test_backup_while_ten_write_is_one_moment_of_all(data, identity, tmp_path):
    """Drill: whatever was acknowledged before the backup began is in it, and what is in it is a whole beginning."""
    acknowledged, stop = [], threading.Event()

    def write():
        with open_store(data, "example", busy_ms=60_000) as store:
            while not stop.is_set():
                acknowledged.append(store.append(step(store, store.new_id())).body)

    writers = [threading.Thread(target=write) for _writer in range(10)]
    for one in writers:
        one.start()
    try:
        while len(acknowledged) < 30:
            pass
        early = set(acknowledged)
        archive, manifest = backed_up(data)
    finally:
        stop.set()
        for one in writers:
            one.join()
    written = bodies(data)
    shutil.rmtree(data)
    restored(archive, identity, tmp_path / "new")
    back = bodies(tmp_path / "new")
    assert early <= set(back) and back == written[:len(back)]
    assert len(back) == manifest.organisations[0].head.sequence < len(written)


@pytest.mark.parametrize("share", [0.0, 0.2, 0.5, 0.9, 1.0])
def test_damaged_archive_is_refused_before_anything_changes(data, identity, share):
    archive, _manifest = backed_up(data)
    body = bytearray(archive.read_bytes())
    body[round(share * (len(body) - 1))] ^= 1
    archive.write_bytes(body)
    before = everything(data)
    with pytest.raises(BadArchive):
        restored(archive, identity, data, replace=True)
    assert everything(data) == before and not list(data.parent.glob(".tersum-restore-*"))


@pytest.mark.parametrize("left", [0, 1, 200, -1, -20_000])
def test_cut_off_archive_is_refused_before_anything_changes(data, identity, left):
    archive, _manifest = backed_up(data)
    archive.write_bytes(archive.read_bytes()[:left])
    before = everything(data)
    with pytest.raises(BadArchive):
        restored(archive, identity, data, replace=True)
    assert everything(data) == before


def test_wrong_key_is_refused_before_anything_changes(data, tmp_path):
    archive, _manifest = backed_up(data)
    before = everything(data)
    with pytest.raises(BadArchive, match="does not open with this key"):
        restored(archive, pyrage.x25519.Identity.generate(), data, replace=True)
    assert everything(data) == before


def rewritten(archive, identity, change):
    """Decrypt an archive, change its members, and encrypt it again with the right key, as an insider could."""
    plain = pyrage.decrypt(archive.read_bytes(), [identity])
    source = archive.with_suffix(".tar")
    source.write_bytes(plain)
    members = []
    with tarfile.open(source) as tar:
        for one in tar:
            members.append([one.name, tar.extractfile(one).read()])
    change(members)
    with tarfile.open(source, "w") as tar:
        for name, body in members:
            made = tarfile.TarInfo(name)
            made.size = len(body)
            tar.addfile(made, io.BytesIO(body))
    archive.write_bytes(pyrage.encrypt(source.read_bytes(), [identity.to_public()]))


def drop_last(members):
    members.pop()


def add_one(members):
    members.append(["organisations/more.id", b"x"])


def climb_out(members):
    members[0][1] = members[0][1].replace(b"organisations/example.id", b"organisations/../../ex.id")


def change_one(members):
    members[-1][1] = members[-1][1].replace(b"age1", b"age2", 1)


def no_manifest(members):
    del members[0]


@pytest.mark.parametrize("change", [drop_last, add_one, climb_out, change_one, no_manifest])
def test_archive_that_differs_from_its_manifest_is_refused(data, identity, change, tmp_path):
    archive, _manifest = backed_up(data)
    rewritten(archive, identity, change)
    before = everything(data)
    with pytest.raises(BadArchive):
        restored(archive, identity, data, replace=True)
    assert everything(data) == before and not list(tmp_path.glob("**/ex.id"))


def test_facts_changed_before_the_backup_do_not_come_back_unseen(data, identity):
    with open_store(data, "example") as store:
        path = store.database.path
    connection = sqlite3.connect(path)
    connection.execute("UPDATE facts SET body = replace(body, 'Z', 'Y') WHERE sequence = 3")
    connection.commit()
    connection.close()
    archive, _manifest = backed_up(data)
    with pytest.raises(BadArchive, match="not as they were sealed"):
        checked(archive, identity, data)


def test_whoever_was_erased_since_the_backup_stays_erased(data, identity):
    with open_store(data, "example") as store:
        subject = store.person("Someone Else " + MARK)
    archive, _manifest = backed_up(data)
    with open_store(data, "example") as store:
        store.erase_subject(subject, basis="asked", actor_id=store.device_id, operation_id=store.new_id())
    found = restored(archive, identity, data, replace=True)
    assert [one.subject_id for one in found.erased_again] == [subject]
    with open_store(data, "example") as store:
        assert store.personal_value(subject, "name") is None and ledger.check(store) == []
    assert not any(b"Someone Else" in body for body in everything(data).values())


def test_erasures_known_from_elsewhere_are_applied_where_the_data_are_lost(data, identity, tmp_path):
    with open_store(data, "example") as store:
        subject = store.person("Someone Else " + MARK)
        organisation, operation = store.organisation_id, store.new_id()
    archive, _manifest = backed_up(data)
    shutil.rmtree(data)
    known = erasures_from({"facts": [{"type": "subject-erased", "organisation_id": organisation,
                                      "operation_id": operation, "data": {"subject_id": subject, "basis": "asked"}}]})
    assert known == [Erased(organisation, subject, "asked", operation)]
    restored(archive, identity, tmp_path / "new", erasures=known)
    with open_store(tmp_path / "new", "example") as store:
        assert store.personal_value(subject, "name") is None


def test_data_in_place_are_replaced_only_when_asked_and_kept_aside(data, identity):
    archive, manifest = backed_up(data)
    with open_store(data, "example") as store:
        store.append(step(store, store.new_id()))
    before = bodies(data)
    with pytest.raises(Conflict, match="--replace"):
        restored(archive, identity, data)
    found = restored(archive, identity, data, replace=True)
    assert found.newer == {"example": 1} and bodies(found.aside) == before
    assert len(bodies(data)) == manifest.organisations[0].head.sequence


def test_nothing_is_restored_under_pages_that_are_being_served(data, identity):
    archive, _manifest = backed_up(data)
    with occupied(data), pytest.raises(RecordLocked, match="tersum serve"):
        restored(archive, identity, data, replace=True)


def test_failed_second_rename_puts_the_first_back(data, identity, monkeypatch):
    archive, _manifest = backed_up(data)
    before, honest = bodies(data), os.rename

    def rename(source, target):
        if ".tersum-restore-" in str(source):
            raise OSError(28, "No space left on device")
        honest(source, target)

    monkeypatch.setattr("tersum.records.restoring.os.rename", rename)
    with pytest.raises(Exception, match="No space left"):
        restored(archive, identity, data, replace=True)
    assert bodies(data) == before


def test_secret_key_of_signing_is_in_the_archive_encrypted_only(data, identity, tmp_path):
    key = signing_key(data, now=now())
    archive, manifest = backed_up(data)
    assert f"keys/{key.key_id}.key.pem" in {one.path for one in manifest.files}
    assert b"PRIVATE KEY" not in archive.read_bytes() and MARK.encode() not in archive.read_bytes()
    restored(archive, identity, tmp_path / "new")
    assert signing_key(tmp_path / "new", now=now()).key_id == key.key_id


def test_failed_backup_leaves_no_archive(data, monkeypatch):
    def full(*_any):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("tersum.records.archive._sha256", full)
    with pytest.raises(Exception, match="No space left"):
        backed_up(data)
    assert not list(data.parent.glob("*.age*")) and not list(data.glob(".backup-*"))


def test_archive_is_never_written_over_another_file(data):
    (data.parent / "one.age").write_text("mine")
    with pytest.raises(Conflict):
        backed_up(data)
    assert (data.parent / "one.age").read_text() == "mine"


def test_recovery_key_is_made_once_and_outside_the_data(data, tmp_path):
    with pytest.raises(Conflict):
        make_recovery_key(data, tmp_path / "second")
    assert not (tmp_path / "second").exists()
    with pytest.raises(OutOfRange, match="outside"):
        make_recovery_key(data, data / "secret")
    with pytest.raises(NoRecoveryKey):
        recovery_recipient(tmp_path / "nowhere")
    (tmp_path / "other").write_text("hello")
    with pytest.raises(NoRecoveryKey, match="AGE-SECRET-KEY-"):
        recovery_identity(tmp_path / "other")
    assert (tmp_path / "secret").stat().st_mode & 0o077 == 0


def test_nothing_to_back_up_is_said(tmp_path, data):
    with pytest.raises(NoStore):
        write_archive(tmp_path / "empty", tmp_path / "a.age", recovery_recipient(data), moment=now())


def test_manifest_tells_all_its_faults_at_once(data, identity, tmp_path):
    archive, manifest = backed_up(data)
    assert manifest_from(manifest.body()) == manifest
    wrong = manifest.body().replace(b'"size": ', b'"size": -').replace(b"organisations/example.id", b"/etc/passwd")
    with pytest.raises(Exception) as caught:
        manifest_from(wrong)
    assert len(caught.value.faults) > len(manifest.files)
    assert unpack(archive, identity, home.folder(tmp_path / "into")) == manifest
    assert MANIFEST not in {one.path for one in manifest.files}
