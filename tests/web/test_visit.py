"""One visit: points in walking order, drawn ones only after the cleaning, one task on top."""

import re

import pytest

from tersum.records.home import new_id
from web.site import example_rows, hidden, kept


def names(html):
    return re.findall(r'<span class="name"><bdi>(.*?)</bdi>', html)


def test_points_stand_in_walking_order_and_none_that_is_drawn(site):
    html = site.get(site.visit).text
    assert names(html) == ["steering wheel", "entry handrail", "driver&#39;s door handle", "wheelchair ramp grip"]
    assert "2 more points are drawn and shown after the cleaning" in html
    assert "0 of 4 points done" in html


def test_before_the_draw_no_page_gives_away_what_is_drawn(site):
    for place in range(5, 9):
        for page in ("", "/questions", "/reading"):
            assert site.get(f"{site.visit}/points/{place}{page}").status_code == 404
    seed = site.reader().store.personal_value(
        site.reader().sealed.fact.data["draw"]["details"]["seed_kept_by"], "seed")
    assert all(seed not in site.get(path).text for path in (site.visit, f"{site.visit}/record",
                                                            f"{site.visit}/decisions.json"))


def test_draw_is_shown_once_the_cleaning_is_over_however_often_it_is_asked_for(site):
    fields = hidden(site.get(site.visit).text)
    for _ in range(2):
        answer = site.post(f"{site.visit}/draw", fields)
        assert answer.status_code == 303 and answer.headers["location"] == site.visit
    site.show_draw()
    assert len(site.reader().store.facts(type="draw-revealed")) == 1
    assert names(site.get(site.visit).text)[4:] == ["window ledge, row 2", "seat back, row 2"]


def test_showing_the_draw_early_says_what_is_lost(site):
    html = site.get(site.visit).text
    assert "Then 2 points are not read as found any more." in html
    assert '<div class="act">\n<a class="button"' in html
    for row in example_rows("minibus-1")[:2]:
        site.read(row["point"], row["rlu"])
    html = site.get(site.visit).text
    assert "not read as found any more" not in html
    assert "Cleaning is over: show the drawn points" in html[html.index('<div class="act">'):]


def test_visit_whose_seed_is_lost_says_so_and_nothing_changes(site):
    with site.reader().store.writing() as writing:
        from sqlalchemy import delete

        from tersum.records.tables import PERSONAL_ROWS
        writing.connection.execute(delete(PERSONAL_ROWS))
    before = kept(site.home)
    answer = site.show_draw()
    assert answer.status_code == 409 and "its seed is lost" in answer.text
    assert kept(site.home) == before


def test_ended_visit_asks_for_nothing_any_more(finished):
    html = finished.get(finished.visit).text
    assert "Finished: every planned point is done." in html
    assert "<form" not in html and 'class="act"' not in html


def same_answer(one, other):
    assert one.status_code == other.status_code == 404
    assert one.text == other.text


def test_what_is_not_there_gives_the_same_answer_for_every_reason(cleaned):
    other = new_id()
    answers = [cleaned.get(path) for path in (
        "/nothing", f"/visits/{cleaned.organisation}/{other}", f"/visits/no-such/{cleaned.visit_id}",
        f"/visits/../{cleaned.visit_id}", f"/visits/{cleaned.organisation}/%00", f"{cleaned.visit}/points/99",
        f"{cleaned.visit}/points/5", f"{cleaned.visit}/points/0", f"{cleaned.visit}/points/{'9' * 40}",
        f"{cleaned.visit}/points/99/reading", f"{cleaned.visit}/cards/1", f"{cleaned.visit}/cards/99",
        f"{cleaned.visit}/ladder-narrow-pink.svg", f"/visits/{cleaned.organisation}/{other}/record")]
    for answer in answers[1:]:
        same_answer(answers[0], answer)


def test_forms_for_what_is_not_there_give_the_same_answer_and_nothing_changes(cleaned):
    before = kept(cleaned.home)
    fields = {"operation_id": new_id(), "swab": "cleaned.1.1", "dry": "yes", "rinsed": "yes", "fresh_area": "yes",
              "number": "41", "kind": "stopped", "reason": "rain", "reading": new_id()}
    other = f"/visits/{cleaned.organisation}/{new_id()}"
    answers = [cleaned.post(path, fields) for path in (
        f"{other}/draw", f"{other}/ending", f"{other}/points/1/reading", f"{other}/points/1/questions",
        f"{cleaned.visit}/points/5/reading", f"{cleaned.visit}/points/99/questions",
        f"{cleaned.visit}/points/5/withdrawal")]
    for answer in answers:
        same_answer(answers[0], answer)
    assert kept(cleaned.home) == before


@pytest.mark.parametrize(("fields", "status"), [
    ({}, 415), ({"operation_id": "1"}, 400), ({"operation_id": "x" * 70_000}, 413),
    ({f"field{n}": "" for n in range(100)}, 400)])
def test_what_is_no_form_of_ours_is_refused_in_one_sentence(site, fields, status):
    before = kept(site.home)
    answer = site.post(f"{site.visit}/draw", fields)
    assert answer.status_code == status and "othing was recorded" in answer.text
    assert kept(site.home) == before


@pytest.mark.parametrize("body", [b"operation_id=%ff%fe", b"\xff\xfe", b"operation_id=" + b"\x00" * 9])
def test_bytes_that_are_no_text_are_refused(site, body):
    answer = site.client.post(f"{site.visit}/draw", content=body, headers={
        "content-type": "application/x-www-form-urlencoded", "sec-fetch-site": "same-origin"})
    assert answer.status_code == 400
