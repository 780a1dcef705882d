"""``tersum ledger``: what was changed is named, the tables are made again, and the facts are listed."""

import json
import os
import sqlite3
from pathlib import Path

import pytest
from click.testing import CliRunner

from records.samples import filled, step
from tersum.cli.ledger import ledger
from tersum.documents import findings
from tersum.records import inspection
from tersum.records import ledger as ledgers
from tersum.records.findings import Finding
from tersum.records.store import open_store


@pytest.fixture
def store():
    """One fact of every type; the sample decision is made up, so that nothing about it is true but its seal."""
    with filled(Path(os.environ["TERSUM_HOME"])) as opened:
        yield opened


@pytest.fixture
def simple():
    with open_store(Path(os.environ["TERSUM_HOME"]), "example", create=True) as opened:
        visit = opened.new_id()
        opened.append_all([step(opened, visit) for _ in range(3)])
        yield opened


def run(*words, ok=None):
    done = CliRunner().invoke(ledger, words)
    if ok is not None:
        assert done.exit_code == ok, done.output
    return done


def raw(store, statement, *values):
    connection = sqlite3.connect(store.database.path, isolation_level=None)
    connection.execute(statement, values)
    connection.close()


def test_untouched_ledger_exits_0_and_writes_its_head(simple):
    body = json.loads(run("check", "--json", ok=0).stdout)
    assert body["ok"] and body["head"] == str(simple.head())
    assert "4 facts, each as it was sealed" in run("check", ok=0).stdout


def test_changed_fact_is_named_and_exits_1(simple):
    fact = simple.facts()[2]
    raw(simple, "UPDATE facts SET body = replace(body, 'wipe', 'WIPE') WHERE sequence = 3")
    done = run("check", ok=1)
    assert f"Fact 3 (step-carried-out, {fact.fact_id}) was changed after it was sealed." in done.stdout
    body = json.loads(run("check", "--json", ok=1).stdout)
    assert not body["ok"] and body["organisations"][0]["findings"][0]["fact_id"] == fact.fact_id


@pytest.mark.parametrize("value", ["x'ff00'", "CAST(x'41ff' AS TEXT)", "1.5"])
@pytest.mark.parametrize("column", ["fact_id", "type", "body", "device_sequence"])
def test_ledger_with_anything_in_it_is_told_in_both_forms(simple, column, value):
    raw(simple, f"UPDATE facts SET {column} = {value} WHERE sequence = 3")
    body = json.loads(run("check", "--json", ok=1).stdout)
    shown = run("check", ok=1).stdout
    assert all(one["sentence"] in shown for one in body["organisations"][0]["findings"])


def test_remembered_head_from_word_or_earlier_output_shows_a_cut_off_tail(simple, tmp_path):
    earlier = tmp_path / "earlier.json"
    earlier.write_text(run("check", "--json", ok=0).stdout)
    other = tmp_path / "other.json"
    other.write_text(json.dumps({"head": {"sequence": simple.head().sequence, "hash": simple.head().hash}}))
    head = str(simple.head())
    raw(simple, "DELETE FROM facts WHERE sequence = 4")
    raw(simple, "DELETE FROM steps WHERE fact_id NOT IN (SELECT fact_id FROM facts)")
    assert "would not show" in run("check", ok=0).stderr
    for words in (("--head", head), ("--head-from", str(earlier)), ("--head-from", str(other))):
        assert "Fact 4 is not there" in run("check", *words, ok=1).stdout


@pytest.mark.parametrize("head", ["7", "7:abc", "0:" + "a" * 64, "x:" + "a" * 64, "-1:" + "a" * 64])
def test_bad_head_is_refused_in_words(simple, head):
    done = run("check", "--head", head)
    assert done.exit_code != 0 and "number and hash of a fact" in str(done.exception)


def test_file_without_a_head_is_refused_in_words(simple, tmp_path):
    path = tmp_path / "none.json"
    for text in ("{}", "[]", "nothing", '{"head": null}'):
        path.write_text(text)
        assert "a JSON file with a head in it" in str(run("check", "--head-from", str(path)).exception)


def test_edited_table_is_named_and_made_again(simple):
    raw(simple, "UPDATE steps SET step = 'nothing'")
    assert "Table steps" in run("check", ok=1).stdout
    run("rebuild", ok=0)
    run("check", ok=0)


def test_changed_facts_are_not_built_upon(simple):
    raw(simple, "UPDATE facts SET body = replace(body, 'wipe', 'WIPE') WHERE sequence = 3")
    raw(simple, "UPDATE steps SET step = 'nothing'")
    body = json.loads(run("rebuild", "--json", ok=1).stdout)
    assert body["rows"] is None and body["findings"]
    assert "Nothing was rebuilt" in run("rebuild", ok=1).stderr
    assert {row["step"] for row in simple.table("steps")} == {"nothing"}


def test_made_up_decision_is_found_by_computing_it_again(store):
    """The sample decision is sealed rightly and says what no reading gives."""
    body = json.loads(run("check", "--json", ok=1).stdout)
    [found] = body["organisations"][0]["findings"]
    assert found["code"] in ("verdict-differs", "verdict-not-computable") and found["type"] == "visit-decided"
    assert ledgers.check(store) == []


def test_facts_are_listed_with_what_corrects_what(store):
    shown = run("show", ok=0)
    assert "visit-planned" in shown.stdout and "(typing-error)" in shown.stdout
    assert f"Head: {store.head()}" in shown.stderr
    body = json.loads(run("show", "--type", "readings-taken", "--json", ok=0).stdout)
    assert len(body["facts"]) == 1 and len(body["facts"][0]["rows"]) == 3
    visit = store.table("visits")[0]
    by_name = json.loads(run("show", "--visit", visit["visit"], "--json", ok=0).stdout)["facts"]
    assert by_name and by_name == json.loads(run("show", "--visit", visit["visit_id"], "--json", ok=0).stdout)["facts"]
    assert {one["data"]["visit_id"] for one in by_name} == {visit["visit_id"]}
    assert "There is no visit" in str(run("show", "--visit", "nowhere").exception)
    assert run("show", "--type", "visit-plan").exit_code == 2


def test_several_organisations_are_all_checked_and_one_is_asked_for_elsewhere(simple):
    with open_store(Path(os.environ["TERSUM_HOME"]), "other", create=True):
        pass
    body = json.loads(run("check", "--json", ok=0).stdout)
    assert [one["organisation"] for one in body["organisations"]] == ["example", "other"] and body["head"] is None
    for words in (("rebuild",), ("show",), ("check", "--head", "1:" + "a" * 64)):
        assert "--organisation" in run(*words, ok=2).output
    assert run("check", "--organisation", "other", ok=0).stdout.startswith("other: 1 fact,")


def test_no_organisation_is_said():
    assert "There is no organisation" in str(run("check").exception)
    assert "There is no organisation nobody" in str(run("check", "--organisation", "nobody").exception)


def test_every_finding_has_a_sentence():
    """Every code that the inspection can name is one that a person can read."""
    source = "".join(Path(module.__file__).read_text() for module in (
        inspection, ledgers, __import__("tersum.records.projections", fromlist=["x"])))
    named = {part.split('"')[1] for part in source.split("Finding(")[1:] if part.lstrip().startswith('"')}
    assert named == set(findings.codes())
    assert findings.sentence(Finding("batch-changed", 3, "id", "readings-taken", {"row": None})).endswith("row ?.")
