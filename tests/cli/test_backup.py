"""``tersum backup`` and ``tersum restore``: the way of a person with a stick in one hand."""

import json
import os
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from records.samples import step
from tersum.cli.backup import backup
from tersum.cli.restore import restore
from tersum.records.restoring import erasures_in
from tersum.records.store import open_store


@pytest.fixture
def data():
    folder = Path(os.environ["TERSUM_HOME"])
    with open_store(folder, "example", create=True) as store:
        store.append(step(store, store.new_id()))
    return folder


def run(command, *words, ok=0):
    done = CliRunner().invoke(command, [str(one) for one in words])
    assert (done.exit_code if done.exception is None or done.exit_code != 1 else done.exception.exit_code) == ok, (
        done.output, done.exception)
    return done


def made(tmp_path):
    run(backup, "--new-key", tmp_path / "secret")
    return Path(json.loads(run(backup, "--to", tmp_path, "--json").stdout)["archive"])


def test_first_backup_asks_for_a_key_and_says_how_to_make_it(data, tmp_path):
    assert "tersum backup --new-key FILE" in str(run(backup, "--to", tmp_path, ok=4).exception)


def test_backup_checks_and_comes_back_by_its_own_words(data, tmp_path):
    archive = made(tmp_path)
    looked = run(restore, archive, "--key", tmp_path / "secret", "--check")
    assert "example: 2 facts" in looked.stdout and "Nothing was changed" in looked.stderr
    run(restore, archive, "--key", tmp_path / "secret", ok=6)
    done = json.loads(run(restore, archive, "--key", tmp_path / "secret", "--replace", "--json").stdout)
    assert done["restored"] and done["newer_facts"] == {} and Path(done["aside"]).is_dir()


def test_backup_never_prints_the_secret(data, tmp_path):
    done = run(backup, "--new-key", tmp_path / "secret")
    assert "AGE-SECRET" in (tmp_path / "secret").read_text() and "AGE-SECRET" not in done.output


def test_people_erased_since_are_erased_again_from_a_kept_list(data, tmp_path):
    with open_store(data, "example") as store:
        subject = store.person("Invented Person")
    archive = made(tmp_path)
    with open_store(data, "example") as store:
        store.erase_subject(subject, basis="asked", actor_id=store.device_id, operation_id=store.new_id())
        listed = {"facts": [{**one.envelope} for one in store.facts(type="subject-erased")]}
    (tmp_path / "erased.json").write_text(json.dumps(listed))
    shutil.rmtree(data)
    done = run(restore, archive, "--key", tmp_path / "secret", "--erasures", tmp_path / "erased.json")
    assert f"Erased again, as it was after this backup: subject {subject}" in done.stderr
    with open_store(data, "example") as store:
        assert [one.subject_id for one in erasures_in(store)] == [subject]


@pytest.mark.parametrize("text", ["", "[]", '{"facts": 3}', '{"facts": [{"type": "subject-erased"}]}'])
def test_list_of_erasures_that_is_none_is_refused(data, tmp_path, text):
    archive = made(tmp_path)
    (tmp_path / "erased.json").write_text(text)
    done = run(restore, archive, "--key", tmp_path / "secret", "--replace", "--erasures", tmp_path / "erased.json",
               ok=3)
    assert "erasures" in str(done.exception)
