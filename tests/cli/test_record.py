"""``tersum record``: the list, the evidence, the withdrawal, and what ``tersum verify`` makes of them."""

import hashlib
import json
import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from records.bundles import an_organisation
from tersum.cli.record import record
from tersum.cli.verify import verify
from tersum.documents import bundle_text
from tersum.records import bundle
from tersum.records.bundle import BundleCheck


@pytest.fixture
def pdfs():
    store, made = an_organisation(Path(os.environ["TERSUM_HOME"]))
    store.close()
    return made


def run(command, *words, ok=0):
    done = CliRunner().invoke(command, [str(one) for one in words])
    code = getattr(done.exception, "exit_code", done.exit_code) if done.exit_code else 0
    assert code == ok, (code, done.output, done.exception)
    return done


def test_list_shows_every_record_and_whether_it_counts(pdfs):
    listed = json.loads(run(record, "list", "--json").stdout)["records"]
    assert {one["number"]: one["pdf_sha256"] for one in listed} == {
        number: hashlib.sha256(pdf).hexdigest() for number, pdf in pdfs.items()}
    assert "counts" in run(record, "list").stdout


def test_bundle_is_written_once_and_proves_the_record(pdfs, tmp_path):
    listed = json.loads(run(record, "list", "--json").stdout)["records"]
    number = next(one["number"] for one in listed if one["state"] == "in-force")
    run(record, "bundle", number, "--out", tmp_path / "b.json")
    run(record, "bundle", number, "--out", tmp_path / "b.json", ok=6)
    found = json.loads(run(verify, tmp_path / "b.json", "--json").stdout)
    assert found["genuine"] and found["record"] == number and found["code"] == "in-force"


def test_withdrawn_record_ends_verify_with_one_and_says_what_to_do(pdfs, tmp_path):
    done = run(record, "withdraw", "R-0", "--reason", "wrong-readings")
    assert "R-0 is withdrawn" in done.stdout and "cannot be recalled" in done.stderr
    run(record, "bundle", "R-0", "--out", tmp_path / "b.json")
    told = run(verify, tmp_path / "b.json", ok=1)
    assert "withdrawn" in told.stdout and "Ask the company why" in told.stderr
    run(record, "withdraw", "R-0", "--reason", "other", ok=6)
    run(record, "withdraw", "R-77", "--reason", "other", ok=4)


def test_pdf_that_is_not_the_record_is_told_beside_its_own_check(pdfs, tmp_path):
    run(record, "bundle", "R-1", "--out", tmp_path / "b.json")
    (tmp_path / "other.pdf").write_bytes(b"%PDF-1.7 another")
    found = json.loads(run(verify, tmp_path / "other.pdf", "--bundle", tmp_path / "b.json", "--json", ok=1).stdout)
    assert not found["genuine"] and found["bundle"]["code"] == "other-pdf"


@pytest.mark.parametrize("code", [value for name, value in vars(bundle).items()
                                  if name.isupper() and isinstance(value, str) and not value.startswith("tersum/")])
def test_every_answer_has_a_sentence_and_its_step(code):
    found = BundleCheck(code, 3, "R-1")
    assert bundle_text.sentence(found).endswith(".")
    assert (bundle_text.next_step(found) == "") == (code == bundle.IN_FORCE)
