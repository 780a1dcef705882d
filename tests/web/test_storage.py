"""A disk or a database in trouble: one sentence with what to do, what was typed kept, and pages that still read."""

import sqlite3

import pytest
from sqlalchemy.exc import OperationalError

from tersum.records.writing import Writing
from web.site import kept


def failing(name):
    """Return a trouble as SQLite reports it."""
    cause = sqlite3.OperationalError("staged")
    cause.sqlite_errorname = name
    return OperationalError("INSERT", {}, cause)


@pytest.mark.parametrize(("name", "said"), [
    ("SQLITE_READONLY", "check its owner and its permissions"), ("SQLITE_FULL", "the disk is full: make room"),
    ("SQLITE_BUSY", "another program is writing")])
def test_trouble_with_the_disk_is_told_in_one_sentence_and_what_was_typed_is_kept(cleaned, monkeypatch, name, said):
    fields = {**cleaned.form("driver's door handle"), "number": "41", "note": "scratched"}

    def fail(*_):
        raise failing(name)
    before = kept(cleaned.home)
    monkeypatch.setattr(Writing, "append", fail)
    answer = cleaned.post(cleaned.point("driver's door handle", "/reading"), fields)
    assert answer.status_code == 503 and said in answer.text
    assert 'value="41"' in answer.text and "scratched" in answer.text
    assert kept(cleaned.home) == before
    assert cleaned.get(cleaned.visit).status_code == 200


def test_form_kept_through_a_busy_moment_can_be_sent_again(cleaned, monkeypatch):
    fields = {**cleaned.form("driver's door handle"), "number": "41"}
    with monkeypatch.context() as patch:
        patch.setattr(Writing, "append", lambda *_: (_ for _ in ()).throw(failing("SQLITE_BUSY")))
        assert cleaned.post(cleaned.point("driver's door handle", "/reading"), fields).status_code == 503
    assert cleaned.post(cleaned.point("driver's door handle", "/reading"), fields).status_code == 303
    assert cleaned.reader().kept().readings[-1].raw == "41"


def test_file_that_is_gone_is_told_and_is_no_missing_page(site):
    path = next((site.home / "organisations").glob("*.sqlite"))
    site.client.app.state.desk.close()
    path.rename(path.with_suffix(".away"))
    answer = site.get(site.visit)
    assert answer.status_code == 503 and "Restore a backup" in answer.text
