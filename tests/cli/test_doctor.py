"""``tersum doctor``: every broken state has a sentence, a next step and an exit code of its own, and is left as is."""

import functools
import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
import sys
from collections import namedtuple
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from records.samples import step
from tersum.cli.doctor import doctor
from tersum.documents import health_text
from tersum.records import health
from tersum.records.store import open_store


@pytest.fixture
def home():
    folder = Path(os.environ["TERSUM_HOME"])
    with open_store(folder, "example", create=True) as store:
        store.append(step(store, store.new_id()))
    return folder


def database(home):
    return next((home / "organisations").glob("*.sqlite"))


def snapshot(home):
    return {str(path): (path.lstat().st_mode, path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest())
            for path in [home, *home.rglob("*")]}


def raw(home, *statements):
    connection = sqlite3.connect(database(home), isolation_level=None)
    for one in statements:
        connection.execute(one)
    connection.close()


def examined():
    done = CliRunner().invoke(doctor, ["--json"])
    body = json.loads(done.stdout)
    assert body["exit_code"] == done.exit_code and body["schema"] == "tersum/doctor/1"
    return done.exit_code, body


def test_healthy_installation_is_well(home):
    before = snapshot(home)
    code, body = examined()
    assert code == 0 and body["ok"] and all(one["ok"] for one in body["checks"])
    assert {one["check"] for one in body["checks"]} == {
        "python", "data-folder", "rights", "space", "device", "organisation", "clock", "zones"}
    assert snapshot(home) == before


def test_installation_before_its_first_use_is_well_and_nothing_is_made():
    code, body = examined()
    assert code == 0
    assert "made at the first use" in body["checks"][1]["sentence"]
    assert not Path(os.environ["TERSUM_HOME"]).exists()


Usage = namedtuple("Usage", "total used free")


def _replace_home(home, patch):
    shutil.rmtree(home)
    home.write_text("a file")


def _damage(home, patch):
    data = bytearray(database(home).read_bytes())
    data[4096:8192] = os.urandom(4096)
    database(home).write_bytes(bytes(data))


def _no_database(home, patch):
    for path in (home / "organisations").glob("*.sqlite*"):
        path.unlink()


def _examine_with(patch, **options):
    patch.setattr(health, "examine", functools.partial(health.examine, **options))


BROKEN = {
    "python-too-old": lambda home, patch: patch.setattr(sys, "version_info", (3, 10, 4)),
    "not-a-folder": _replace_home,
    "folder-not-writable": lambda home, patch: patch.setattr(health.os, "access", lambda *_: False),
    "others-may-read": lambda home, patch: database(home).chmod(0o644),
    "wrong-owner": lambda home, patch: patch.setattr(health.os, "geteuid", lambda: 12345),
    "little-space": lambda home, patch: patch.setattr(health.shutil, "disk_usage", lambda _: Usage(1, 1, 5_000_000)),
    "device-number-bad": lambda home, patch: (home / "device").write_text("my phone"),
    "organisation-id-bad": lambda home, patch: (home / "organisations" / "example.id").write_text("../../else"),
    "database-missing": _no_database,
    "database-damaged": _damage,
    "database-newer": lambda home, patch: raw(home, "UPDATE alembic_version SET version_num = '9999'"),
    "migration-half-done": lambda home, patch: raw(home, "DROP TABLE alembic_version"),
    "database-of-nobody": lambda home, patch: (home / "organisations" / "example.id").unlink(),
    "clock-wrong": lambda home, patch: _examine_with(patch, clock=lambda: datetime(1970, 1, 1, tzinfo=UTC)),
    "clock-behind": lambda home, patch: _examine_with(patch, clock=lambda: datetime(2026, 1, 2, tzinfo=UTC)),
    "zones-missing": lambda home, patch: _examine_with(patch, zone="Nowhere/Town"),
}


def test_every_trouble_is_staged_and_has_its_own_exit_code():
    codes = health_text.exit_codes()
    assert set(BROKEN) == set(codes)
    assert len(set(codes.values())) == len(codes) and not set(codes.values()) & {0, 1, 2, 3, 4, 5, 6, 7, 70, 130}


@pytest.mark.parametrize("trouble", BROKEN)
def test_broken_state_is_told_and_left_as_it_is(home, monkeypatch, trouble):
    with monkeypatch.context() as patch:
        BROKEN[trouble](home, patch)
        before = snapshot(home) if home.is_dir() else home.read_bytes()
        code, body = examined()
        told = CliRunner().invoke(doctor)
        assert (snapshot(home) if home.is_dir() else home.read_bytes()) == before
    assert code == health_text.exit_codes()[trouble]
    [found] = [one for one in body["checks"] if one["trouble"] == trouble]
    assert found["sentence"].endswith(".") and found["next"]
    assert found["sentence"] in told.stdout and found["next"] in told.stdout
    assert "Traceback" not in told.output and told.exit_code == code


def test_half_an_upgrade_is_found_by_the_tables_that_are_missing(home):
    raw(home, "DROP TABLE batch_rows")
    assert examined()[0] == health_text.exit_codes()["migration-half-done"]


def test_torn_log_is_looked_at_without_folding_it_in(home):
    pid = os.fork()
    if pid == 0:
        store = open_store(home, "example")
        store.append(step(store, store.new_id()))
        os._exit(0)  # as a kill would: the log is left behind
    os.waitpid(pid, 0)
    log = next((home / "organisations").glob("*.sqlite-wal"))
    log.write_bytes(log.read_bytes()[:-100])
    before = {name: one for name, one in snapshot(home).items() if not name.endswith("-shm")}
    assert examined()[0] == 0
    assert {name: one for name, one in snapshot(home).items() if not name.endswith("-shm")} == before


def test_command_runs_from_the_shell(home):
    done = subprocess.run([sys.executable, "-m", "tersum", "doctor"], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "All is well." in done.stderr
