"""A point: three questions before the swab, a verdict with what to do next, and a reading that can be taken back."""

import re

import pytest

from tersum.records.home import new_id
from web.site import YES, hidden, kept, put_reading

WHEEL, GRIP, DOOR = "steering wheel", "wheelchair ramp grip", "driver's door handle"


@pytest.mark.parametrize(("answers", "fault", "mended"), [
    ({"dry": "no"}, "the surface was wet", "Let the surface dry, then swab."),
    ({"rinsed": "no"}, "chemical left on the surface upsets the reading", "Rinse with water, dry, swab."),
    ({"fresh_area": "no"}, "the spot had been swabbed before", "Swab a fresh area beside it."),
])
def test_no_to_a_question_keeps_the_swab_as_not_counted_and_says_what_to_do(cleaned, answers, fault, mended):
    fields = {**cleaned.ask(DOOR), **YES, **answers}
    answer = cleaned.post(cleaned.point(DOOR, "/questions"), fields)
    assert answer.headers["location"] == cleaned.point(DOOR)
    [reading] = [one for one in cleaned.reader().kept().readings if one.point == DOOR]
    assert (reading.raw, reading.low_rlu, reading.high_rlu) == ("not read", 0.0, float("inf"))
    html = cleaned.get(cleaned.point(DOOR)).text
    assert fault in html and mended in html and "not counted" in html and "no number" in html
    assert str(cleaned.reader().walk().at(cleaned.places[DOOR]).next.swab) == "cleaned.1.2"


def test_swab_that_does_not_count_uses_up_no_look(cleaned):
    cleaned.post(cleaned.point(DOOR, "/questions"), {**cleaned.ask(DOOR), **YES, "dry": "no"})
    cleaned.read(DOOR, "18")
    assert "18 RLU is at or below the release level" in cleaned.get(cleaned.point(DOOR)).text


def test_question_left_open_is_asked_again_with_the_others_kept(cleaned):
    before = kept(cleaned.home)
    answer = cleaned.post(cleaned.point(DOOR, "/questions"), {**cleaned.ask(DOOR), "dry": "yes", "rinsed": "no"})
    assert answer.status_code == 422 and "Answer yes or no." in answer.text
    checked = re.findall(r'id="([a-z_]+-(?:yes|no))"[^>]*checked', answer.text)
    assert checked == ["dry-yes", "rinsed-no"]
    assert kept(cleaned.home) == before


def test_reading_is_not_asked_for_before_the_questions_are_answered(cleaned):
    for query in ("", "?swab=cleaned.1.1", "?swab=cleaned.1.1&dry=yes&rinsed=no&fresh_area=yes",
                  "?swab=cleaned.9.1&dry=yes&rinsed=yes&fresh_area=yes"):
        answer = cleaned.get(cleaned.point(DOOR, "/reading") + query)
        assert answer.headers["location"] == cleaned.point(DOOR, "/questions")
    before = kept(cleaned.home)
    fields = {"operation_id": new_id(), "swab": "cleaned.1.1", "number": "41"}
    for answers in ({}, {**YES, "dry": "no"}, {**YES, "rinsed": "maybe"}):
        assert cleaned.post(cleaned.point(DOOR, "/reading"), fields | answers).status_code == 303
    assert kept(cleaned.home) == before


def test_stage_round_and_swab_are_worked_out(cleaned):
    assert cleaned.form(GRIP)["swab"] == "cleaned.1.1"
    cleaned.read(GRIP, "382")
    assert cleaned.form(GRIP)["swab"] == "cleaned.1.2"
    assert cleaned.form(GRIP, "?point=cleaned")["swab"] == "cleaned.2.1"
    cleaned.read(GRIP, "999")
    assert "clean again" in cleaned.get(cleaned.point(GRIP)).text
    assert cleaned.form(GRIP)["swab"] == "cleaned.2.1"


@pytest.mark.parametrize("swab", ["cleaned.1.2", "cleaned.2.1", "cleaned.1.1.1", "as_found.1.1", "treated.1.1", "",
                                  "cleaned.-1.1", "cleaned.1.99999999999999999999"])
def test_swab_that_is_not_the_next_one_is_refused_and_nothing_changes(cleaned, swab):
    before = kept(cleaned.home)
    fields = {"operation_id": new_id(), "swab": swab, **YES, "number": "41"}
    for page in ("/reading", "/questions"):
        answer = cleaned.post(cleaned.point(DOOR, page), {**fields, "dry": "no" if page == "/questions" else "yes"})
        assert answer.status_code == 409 and "not the next one any more" in answer.text
    assert "What you typed: <bdi>41</bdi>" in cleaned.post(cleaned.point(DOOR, "/reading"), fields).text
    assert kept(cleaned.home) == before


def test_point_shows_its_verdict_why_and_what_to_do_next(cleaned):
    cleaned.read(GRIP, "382", blank="3")
    html = cleaned.get(cleaned.point(GRIP)).text
    assert '<strong>swab again</strong>' in html and ">379</span> RLU" in html and "blank taken off" in html
    assert "lies between the release level of 234 RLU and the limit of 520 RLU" in html
    assert "1 planned swab is left." in html
    act = html[html.index('<div class="act">'):]
    assert "Swab again" in act and f'{cleaned.point(GRIP, "/questions")}"' in act
    assert "Cleaned again instead: swab" in html


def test_done_point_leads_to_the_next_one(cleaned):
    cleaned.read(DOOR, "18")
    act = cleaned.get(cleaned.point(DOOR)).text.split('<div class="act">')[1]
    assert cleaned.point(GRIP) in act and "Next: " in act


def test_planned_second_swab_is_asked_for(cleaned):
    cleaned.read(WHEEL, "9")
    html = cleaned.get(cleaned.point(WHEEL)).text
    assert "A second swab was planned here" in html and "Second swab" in html


def test_typed_by_mistake_is_taken_back_and_stays_to_be_seen(cleaned):
    cleaned.read(DOOR, "180")
    fields = hidden(cleaned.get(cleaned.point(DOOR)).text)
    for _ in range(2):
        assert cleaned.post(cleaned.point(DOOR, "/withdrawal"), fields).status_code == 303
    assert [fact.type for fact in cleaned.reader().store.facts()].count("correction") == 1
    html = cleaned.get(cleaned.point(DOOR)).text
    assert "taken back: typed by mistake" in html and "<strong>not read</strong>" in html
    cleaned.read(DOOR, "18")
    html = cleaned.get(cleaned.point(DOOR)).text
    assert "<strong>done</strong>" in html and "180" in html
    assert "taken back: typed by mistake" in cleaned.get(f"{cleaned.visit}/record").text


def test_reading_of_a_file_and_an_earlier_one_are_not_taken_back(cleaned):
    first = put_reading(cleaned, GRIP, "382")
    put_reading(cleaned, GRIP, "194", "cleaned.1.2")
    before = kept(cleaned.home)
    for reading in (first.fact_id, new_id(), "", cleaned.reader().sealed.fact.fact_id):
        answer = cleaned.post(cleaned.point(GRIP, "/withdrawal"), {"operation_id": new_id(), "reading": reading})
        assert answer.status_code == 409 and "only the last reading of a point" in answer.text
    assert kept(cleaned.home) == before


def test_value_of_the_last_visit_is_shown(finished):
    from dataclasses import replace

    from web.site import seal
    finished.visit_id = seal(finished.home, replace(finished.plan, visit="a week later"), bytes(32))
    finished.show_draw()
    html = finished.get(finished.point(WHEEL)).text
    assert re.search(r"<dt>last visit</dt><dd>([0-9.]+)</dd>", html).group(1) == "6.71"


def test_after_the_end_a_point_leads_to_the_record_and_takes_nothing(finished):
    before = kept(finished.home)
    html = finished.get(finished.point(DOOR)).text
    assert f'href="{finished.visit}/record"' in html and "Typed by mistake" not in html
    for page in ("/questions", "/reading?swab=cleaned.1.2&dry=yes&rinsed=yes&fresh_area=yes"):
        assert finished.get(finished.point(DOOR, page)).status_code == 303
    fields = {"operation_id": new_id(), "swab": "cleaned.1.2", **YES, "number": "41"}
    assert finished.post(finished.point(DOOR, "/reading"), fields).status_code == 409
    assert kept(finished.home) == before


def test_nothing_can_be_read_as_found_any_more_once_the_draw_is_shown(site):
    fields = {**site.form(WHEEL), "number": "251"}
    site.show_draw()
    answer = site.post(site.point(WHEEL, "/reading"), fields)
    assert answer.status_code == 409 and site.reader().kept().readings == ()
