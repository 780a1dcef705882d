"""``tersum person``: who is kept, all of it in three forms, and an erasure that asks first."""

import json
import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from records.samples import step
from tersum.cli.person import person
from tersum.records.facts import Entry
from tersum.records.store import open_store

NAME = "=Invented <b>Technician</b>"


@pytest.fixture
def who():
    with open_store(Path(os.environ["TERSUM_HOME"]), "example", create=True) as store:
        subject = store.person(NAME)
        made = step(store, store.new_id())
        store.append(Entry(made.type, made.data, actor_id=subject, operation_id=made.operation_id))
        store.person("Another Invented Person")
    return subject


def run(*words, ok=0):
    done = CliRunner().invoke(person, [str(one) for one in words])
    code = getattr(done.exception, "exit_code", done.exit_code) if done.exit_code else 0
    assert code == ok, (code, done.output, done.exception)
    return done


def test_export_holds_all_of_one_and_nothing_of_another(who, tmp_path):
    run("export", NAME, "--out", tmp_path / "out")
    given = json.loads((tmp_path / "out/person.json").read_text())
    assert given["subject_id"] == who and [one["role"] for one in given["facts"]] == ["entered"]
    page = (tmp_path / "out/page.html").read_text()
    assert "&lt;b&gt;Technician" in page and "<b>" not in page and "<script" not in page
    assert "step-carried-out" in (tmp_path / "out/facts.csv").read_text()
    assert not any("Another" in file.read_text() for file in (tmp_path / "out").iterdir())


def test_erasure_asks_first_and_then_is_done_once(who):
    assert "Nothing was erased" in run("erase", NAME, "--basis", "asked", ok=1).stderr
    assert NAME in run("list").stdout
    done = json.loads(run("erase", NAME, "--basis", "asked", "--yes", "--json").stdout)
    assert done["subject_id"] == who and done["wiped"] and done["fields"] == ["name"]
    assert NAME not in run("list").stdout
    run("erase", NAME, "--basis", "asked", "--yes", ok=4)
    assert "overwritten" in run("erase", who, "--basis", "asked", "--yes").stderr
