"""What was acknowledged is there after a kill, on a full disk and in a folder that cannot be written."""

import os
import random
import resource
import signal
import tempfile
import time
from pathlib import Path

import pytest

from records.samples import step
from tersum.errors import TersumError
from tersum.records import ledger
from tersum.records.store import open_store
from tersum.records.trouble import StorageStopped

NOBODY = 65534


@pytest.fixture
def folder(tmp_path):
    open_store(tmp_path / "home", "example", create=True).close()
    return tmp_path / "home"


def child(work):
    """Run ``work(write)`` in a child process; return its id and the end of the pipe it writes lines to."""
    out, into = os.pipe()
    pid = os.fork()
    if pid == 0:
        code = 70
        try:
            os.close(out)
            code = work(lambda line: os.write(into, line.encode() + b"\n")) or 0
        finally:
            os._exit(code)
    os.close(into)
    return pid, out


def lines(out):
    with os.fdopen(out, "rb") as pipe:
        return pipe.read().decode().splitlines()


def appending(folder):
    """Return work that appends for ever and writes each operation id once its append has returned."""
    def work(write):
        with open_store(folder, "example") as store:
            visit = store.new_id()
            while True:
                entry = step(store, visit)
                store.append(entry)
                write(entry.operation_id)
    return work


def acknowledged_and_lost(folder, kills, seed):
    """Kill a writer at random moments; return how much it had acknowledged and what of that is gone."""
    chance, acknowledged = random.Random(seed), set()
    for _ in range(kills):
        pid, out = child(appending(folder))
        first = os.read(out, 37)  # the clock starts at the first acknowledgement, however busy the machine is
        time.sleep(chance.uniform(0.0, 0.1))
        os.kill(pid, signal.SIGKILL)
        acknowledged |= {first.decode().strip(), *lines(out)}
        os.waitpid(pid, 0)
    with open_store(folder, "example") as store:
        there = {fact.envelope["operation_id"] for fact in store.facts()}
        assert ledger.check(store) == []
    return acknowledged, acknowledged - there


@pytest.mark.slow
def test_killed_writer_loses_nothing_it_acknowledged(folder, record_property):
    """Some kills at every run, many in a soak."""
    kills = 200 if os.environ.get("TERSUM_TEST_PROFILE") == "soak" else 12
    acknowledged, lost = acknowledged_and_lost(folder, kills=kills, seed=20260302)
    record_property("acknowledged", len(acknowledged))
    assert len(acknowledged) > kills, "too little was written for the kills to say anything"
    assert lost == set()


def test_full_disk_stops_the_store_in_plain_words_and_loses_nothing(folder):
    """Staged with a limit on file size, which the log meets in the middle of a write."""
    def work(write):
        with open_store(folder, "example") as store:
            visit = store.new_id()
            store.append(step(store, visit))
            resource.setrlimit(resource.RLIMIT_FSIZE, (150_000, 150_000))
            for _ in range(2000):
                entry = step(store, visit)
                try:
                    store.append(entry)
                except StorageStopped as stopped:
                    write(f"stopped: {stopped}")
                    break
                write(entry.operation_id)
            try:
                store.append(step(store, visit))
            except StorageStopped:
                write("still stopped")
            write(f"readable: {len(store.facts())}")

    pid, out = child(work)
    told = lines(out)
    assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 0, told
    words = [line for line in told if " " in line]
    assert words[0].startswith("stopped: Stopped writing to") and "acknowledged before is kept" in words[0], words
    assert words[1] == "still stopped" and words[2].startswith("readable: ")
    acknowledged = [line for line in told if " " not in line]
    with open_store(folder, "example") as store:
        operations = [fact.envelope["operation_id"] for fact in store.facts()]
        assert acknowledged and set(acknowledged) <= set(operations)
        assert ledger.check(store) == []
        store.append(step(store, store.new_id()))  # room again: it goes on without repair


def test_full_disk_during_the_first_use_leaves_no_half_organisation(tmp_path):
    def work(write):
        resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, 40_000))
        try:
            open_store(tmp_path / "home", "example", create=True)
        except TersumError as stopped:
            write(str(stopped))

    pid, out = child(work)
    told = lines(out)
    assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 0
    assert told and "Stopped writing" in told[0]
    with open_store(tmp_path / "home", "example", create=True) as store:
        assert store.append(step(store, store.new_id())).sequence == 2
        assert ledger.check(store) == []


def test_folder_that_cannot_be_written_is_said_in_words():
    """Run as another user where the tests run as root, who may write anywhere."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "home"
        open_store(folder, "example", create=True).close()
        paths = [Path(place), folder, *folder.rglob("*")]
        for path in reversed(paths):
            if os.geteuid() == 0:
                os.chown(path, NOBODY, NOBODY)
            path.chmod(0o500 if path.is_dir() else 0o400)

        def work(write):
            if os.geteuid() == 0:
                os.setgid(NOBODY)
                os.setuid(NOBODY)
            try:
                with open_store(folder, "example") as store:
                    store.append(step(store, store.new_id()))
            except TersumError as refused:
                write(f"{refused.exit_code} {refused}")

        pid, out = child(work)
        told = lines(out)
        code = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
        for path in paths:
            path.chmod(0o700)
        assert code == 0
        assert told and told[0].startswith("7 ") and "permissions" in told[0], told
