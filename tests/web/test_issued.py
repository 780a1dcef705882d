"""The signed record: issued by one button, once for the same answers, and given as it was issued."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from tersum.records.home import new_id
from web.site import hidden, kept


def issue(site):
    return site.post(f"{site.visit}/record/issue", hidden(site.get(f"{site.visit}/record").text))


def test_record_is_issued_by_one_button_and_given_as_it_was_issued(finished):
    assert "Issue the signed record" in finished.get(f"{finished.visit}/record").text
    assert finished.get(f"{finished.visit}/record.pdf").status_code == 404
    assert issue(finished).headers["location"] == f"{finished.visit}/record"
    html = finished.get(f"{finished.visit}/record").text
    assert "The signed record has the number <bdi>minibus-1-" in html and "Issue the signed record" not in html
    answer = finished.get(f"{finished.visit}/record.pdf")
    assert answer.headers["content-type"] == "application/pdf" and answer.content.startswith(b"%PDF")
    assert answer.headers["content-disposition"] == 'attachment; filename="visit-record.pdf"'
    assert answer.headers["cache-control"] == "no-store" and "content-security-policy" in answer.headers


def test_issued_record_is_verified_as_issued(finished, monkeypatch):
    from click.testing import CliRunner

    from tersum.cli.verify import verify

    issue(finished)
    path = finished.home / "record.pdf"
    path.write_bytes(finished.get(f"{finished.visit}/record.pdf").content)
    monkeypatch.setenv("TERSUM_HOME", str(finished.home))
    done = CliRunner().invoke(verify, [str(path)])
    assert done.exit_code == 0, done.output


def test_record_issued_twice_and_by_many_thumbs_at_once_is_one_record(finished):
    fields = hidden(finished.get(f"{finished.visit}/record").text)
    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(lambda _: finished.post(f"{finished.visit}/record/issue", fields), range(4)))
    assert {answer.status_code for answer in answers} == {303}
    before = kept(finished.home)
    assert finished.post(f"{finished.visit}/record/issue", fields).status_code == 303
    assert kept(finished.home) == before
    assert len(finished.reader().store.facts(type="record-issued")) == 1


def test_open_visit_issues_nothing(cleaned):
    before = kept(cleaned.home)
    assert cleaned.post(f"{cleaned.visit}/record/issue", {"operation_id": new_id()}).status_code == 404
    assert cleaned.get(f"{cleaned.visit}/record.pdf").status_code == 404
    assert kept(cleaned.home) == before


def test_missing_key_is_told_in_one_sentence_and_the_visit_stays_ended(finished):
    issue(finished)
    for path in (finished.home / "keys").glob("*.key.pem"):
        path.unlink()
    for path in (finished.home / "records").rglob("*.pdf"):
        path.unlink()
    before = kept(finished.home)
    answer = issue(finished)
    assert answer.status_code == 503 and "The signing key" in answer.text and "Back to the visit" in answer.text
    assert kept(finished.home) == before
    assert finished.reader().ended().ending.kind == "finished"


@pytest.mark.parametrize("page", ["cards.pdf"])
def test_mixing_cards_are_a_pdf_to_print_the_same_each_time(cleaned, page):
    one, other = (cleaned.get(f"{cleaned.visit}/{page}") for _ in range(2))
    assert one.content == other.content and one.content.startswith(b"%PDF")
    assert f"{cleaned.visit}/cards.pdf" in cleaned.get(f"{cleaned.visit}/cards/5").text
