"""``tersum verify``: 0 as issued, 1 with the reason and a next step, keys of this installation or by --trust only."""

import json
from dataclasses import dataclass, replace

import pytest

from documents import sample_records
from tersum.cli.main import run
from tersum.documents.signing import signed
from tersum.documents.visit_record import record_pdf
from tersum.records.home import data_home
from tersum.records.keys import signing_key


@dataclass(frozen=True)
class Done:
    """What a command left with and printed."""

    returncode: int
    stdout: str
    stderr: str


@pytest.fixture
def tersum(capsys):
    """Run the command as from a shell."""
    def call(*words):
        with pytest.raises(SystemExit) as left:
            run([str(word) for word in words])
        return Done(left.value.code or 0, *capsys.readouterr())
    return call


@pytest.fixture
def issued(tmp_path):
    """A record signed by the key of this installation."""
    key = signing_key(data_home(), now=sample_records.ISSUED)
    record = replace(sample_records.not_measured(), key_id=key.key_id)
    path = tmp_path / "record.pdf"
    path.write_bytes(signed(record_pdf(record), key, at=record.issued_at))
    return path


def test_a_record_of_this_installation_is_as_issued(issued, tersum):
    done = tersum("verify", issued)
    assert done.returncode == 0 and done.stderr == ""
    assert done.stdout.startswith("As issued: every byte")
    assert "Record example-2026-0001, check code " in done.stdout


def test_elsewhere_it_is_by_an_unknown_key_until_that_is_trusted(issued, tmp_path, monkeypatch, tersum):
    key = signing_key(data_home(), now=sample_records.ISSUED)
    certificate = data_home() / "keys" / f"{key.key_id}.cert.pem"
    monkeypatch.setenv("TERSUM_HOME", str(tmp_path / "elsewhere"))
    done = tersum("verify", issued)
    assert done.returncode == 1
    assert "Signed by an unknown key" in done.stdout and key.fingerprint[:4] in done.stdout
    assert "--trust NUMBER" in done.stderr
    for given in (key.key_id, key.fingerprint, certificate):
        assert tersum("verify", issued, "--trust", given).returncode == 0
    assert tersum("verify", issued, "--trust", "0" * 32).returncode == 1


def test_a_changed_record_says_so_with_a_next_step(issued, tersum):
    body = bytearray(issued.read_bytes())
    body[500] ^= 1
    issued.write_bytes(body)
    done = tersum("verify", issued)
    assert done.returncode == 1
    assert done.stdout == "The file was changed after it was signed.\n"
    assert done.stderr == "Ask the company for the file as it was issued.\n"


def test_json_says_the_same(issued, tersum):
    said = json.loads(tersum("verify", issued, "--json").stdout)
    assert said["schema"] == "tersum/verify/1" and said["genuine"] is True and said["code"] == "as-issued"
    issued.write_bytes(issued.read_bytes()[:9000])
    done = tersum("verify", issued, "--json")
    said = json.loads(done.stdout)
    assert done.returncode == 1 and said["code"] == "cut-off" and said["genuine"] is False
    assert said["sentence"] == "The file is cut off: its end is missing."


@pytest.mark.parametrize(("args", "code", "words"), [
    (["no-such-file.pdf"], 4, "there is no such file"), (["."], 3, "this is a folder"),
    (["README.md"], 1, "This file is not a PDF."), (["README.md", "--trust", "12"], 3, "32 or 64 digits"),
    ([], 2, "Missing argument"),
])
def test_misuse_and_missing_files_are_told_in_one_sentence(args, code, words, tersum):
    done = tersum("verify", *args)
    assert done.returncode == code
    assert words in done.stdout + done.stderr and "Traceback" not in done.stderr
