"""A reading: kept as typed, asked about where it can be two things, and one effect however often it is sent."""

import re
from concurrent.futures import ThreadPoolExecutor

import pytest

from web.site import YES, hidden, kept

DOOR, RAIL, LEDGE = "driver's door handle", "entry handrail", "window ledge, row 2"


def last(site):
    return site.reader().kept().readings[-1]


def field(html, name):
    return re.search(rf'<input id="{name}"[^>]*?value="([^"]*)"', html).group(1)


@pytest.mark.parametrize(("typed", "low", "high"), [
    ("41", 41.0, 41.0), (" 42,6 ", 42.6, 42.6), ("42.6", 42.6, 42.6), ("<5", 0.0, 5.0), (">9999", 9999.0, float("inf")),
    ("0", 0.0, 1.0)])
def test_number_is_kept_as_typed_with_its_bounds(cleaned, typed, low, high):
    assert cleaned.read(DOOR, typed).status_code == 303
    assert (last(cleaned).raw, last(cleaned).low_rlu, last(cleaned).high_rlu) == (typed.strip(), low, high)


def test_reading_carries_point_meter_answers_and_time(cleaned):
    cleaned.read(DOOR, "41", blank="3", swab_lot="S-0001", person="T. Example", note="scratched\r\nnear the lock")
    kept_reading = last(cleaned)
    assert (kept_reading.surface, kept_reading.instrument, kept_reading.blank_rlu, kept_reading.swab_lot) == (
        "smooth", "Demo Meter", 3.0, "S-0001")
    assert kept_reading.dry and kept_reading.rinsed and kept_reading.fresh_area and kept_reading.at.endswith("Z")
    assert cleaned.reader().words(kept_reading.person, "name") == "T. Example"
    assert "scratched\nnear the lock" in cleaned.get(cleaned.point(DOOR)).text


def test_below_detection_and_over_range_are_buttons(cleaned):
    html = cleaned.get(cleaned.point(DOOR, "/reading") + "?swab=cleaned.1.1&dry=yes&rinsed=yes&fresh_area=yes").text
    assert 'value="below"' in html and 'value="over"' in html
    cleaned.read(DOOR, "", pressed="below")
    assert (last(cleaned).raw, last(cleaned).low_rlu, last(cleaned).high_rlu) == ("<5", 0.0, 5.0)
    cleaned.read(LEDGE, "", pressed="over")
    assert (last(cleaned).raw, last(cleaned).low_rlu, last(cleaned).high_rlu) == (">9999", 9999.0, float("inf"))


def test_button_beside_a_typed_number_is_asked_about(cleaned):
    before = kept(cleaned.home)
    answer = cleaned.read(DOOR, "41", pressed="below")
    assert answer.status_code == 422 and "A number is typed as well" in answer.text
    assert kept(cleaned.home) == before


@pytest.mark.parametrize(("typed", "said"), [
    ("", "The number is empty"), ("1e3", "has an exponent"), ("4 1", "has a blank inside"), ("--4", "two signs"),
    ("4.1.2", "two decimal marks"), ("inf", "not a finite number"), ("-4", "0 RLU or more"), ("4l", "not a digit"),
    ("٤١", "The number"), ("10000", "9999 RLU, the meter&#39;s range"), ("9" * 150, "more than 20 digits"),
    ("<0", "above 0"), ("4\x00", "NUL"), ("4\u202e1", "U+202E")])
def test_what_is_no_number_is_refused_in_one_sentence_with_what_was_typed_kept(cleaned, typed, said):
    before = kept(cleaned.home)
    answer = cleaned.read(DOOR, typed, blank="3", swab_lot="S-0001", note="a <b>note</b>")
    assert answer.status_code == 422 and said in answer.text
    assert 'aria-invalid="true" aria-describedby="fault-number"' in answer.text
    if typed.isprintable():
        assert field(answer.text, "number") == typed.replace("<", "&lt;")
    assert field(answer.text, "blank") == "3" and field(answer.text, "swab_lot") == "S-0001"
    assert "a &lt;b&gt;note&lt;/b&gt;" in answer.text
    assert hidden(answer.text).items() >= {**YES, "swab": "cleaned.1.1"}.items()
    assert kept(cleaned.home) == before


@pytest.mark.parametrize(("name", "typed", "said"), [
    ("blank", "1,234", "The blank can be read two ways"), ("blank", "-1", "0 RLU or more"),
    ("swab_lot", "a" * 201, "The swab lot is too long"), ("person", "a\tb", "control character"),
    ("note", "n" * 2001, "The note is too long"), ("note", "a\u202eb", "control character")])
def test_every_other_field_says_what_is_wrong_beside_it(cleaned, name, typed, said):
    before = kept(cleaned.home)
    answer = cleaned.read(DOOR, "41", **{name: typed})
    assert answer.status_code == 422 and said in answer.text
    assert f'id="fault-{name}"' in answer.text and f'href="#{name}"' in answer.text and "<details open>" in answer.text
    assert field(answer.text, "number") == "41"
    assert kept(cleaned.home) == before


def test_all_faults_are_told_at_once(cleaned):
    answer = cleaned.read(DOOR, "1e3", blank="x", note="n" * 2001)
    assert "3 things are to be mended" in answer.text


@pytest.mark.parametrize(("typed", "meant", "rlu"), [("1,234", "1234", 1234.0), ("1.234", "1.2340", 1.234)])
def test_number_that_can_be_read_two_ways_is_asked_about_and_kept_with_what_was_typed(cleaned, typed, meant, rlu):
    before = kept(cleaned.home)
    asked = cleaned.read(DOOR, typed)
    assert asked.status_code == 422 and f"<bdi>{typed}</bdi> can be read two ways. Which is meant?" in asked.text
    assert re.findall(r'name="meant" value="([0-9.]+)"', asked.text) == ["1234", "1.2340"]
    assert kept(cleaned.home) == before
    fields = {**hidden(asked.text), "number": typed, "meant": meant}
    assert cleaned.post(cleaned.point(DOOR, "/reading"), fields).status_code == 303
    assert (last(cleaned).raw, last(cleaned).low_rlu) == (meant, rlu)
    assert f"typed as <bdi>{typed}</bdi>" in cleaned.get(cleaned.point(DOOR)).text


def test_answer_that_was_not_offered_is_no_answer(cleaned):
    before = kept(cleaned.home)
    assert cleaned.read(DOOR, "1,234", meant="9").status_code == 422
    assert kept(cleaned.home) == before


def test_value_far_from_the_last_one_is_asked_about_once(cleaned):
    cleaned.read(RAIL, "200")
    asked = cleaned.read(RAIL, "18")
    assert asked.status_code == 422 and "is far from the last value here, <bdi>200</bdi>" in asked.text
    assert cleaned.reader().kept().readings[-1].raw == "200"
    fields = {**hidden(asked.text), "number": "18", "confirmed": "18"}
    assert cleaned.post(cleaned.point(RAIL, "/reading"), fields).status_code == 303
    assert last(cleaned).raw == "18"


def test_another_far_value_after_the_question_is_asked_about_again(cleaned):
    cleaned.read(RAIL, "200")
    asked = cleaned.read(RAIL, "18")
    fields = {**hidden(asked.text), "number": "19", "confirmed": "18"}
    assert cleaned.post(cleaned.point(RAIL, "/reading"), fields).status_code == 422


def test_fall_after_cleaning_is_what_is_wanted_and_not_asked_about(cleaned):
    assert cleaned.read(RAIL, "9").status_code == 303


def test_rise_after_cleaning_is_asked_about(cleaned):
    assert "far from the last value here" in cleaned.read(RAIL, "2240").text


def test_number_with_two_readings_that_is_also_far_is_asked_both_and_then_kept(cleaned):
    cleaned.read(DOOR, "150")
    asked = cleaned.read(DOOR, "1,600")
    fields = {**hidden(asked.text), "number": "1,600", "meant": "1600"}
    asked = cleaned.post(cleaned.point(DOOR, "/reading"), fields)
    assert "<bdi>1600</bdi> is far from the last value here" in asked.text
    fields = {**hidden(asked.text), "number": "1,600", "confirmed": "1600"}
    assert cleaned.post(cleaned.point(DOOR, "/reading"), fields).status_code == 303
    assert last(cleaned).low_rlu == 1600.0


def test_what_is_the_same_all_day_is_not_typed_twice(cleaned):
    cleaned.read(DOOR, "41", blank="3.5", swab_lot="S-0001", person="T. Example", note="only here")
    html = cleaned.get(cleaned.point(RAIL, "/reading") + "?swab=cleaned.1.1&dry=yes&rinsed=yes&fresh_area=yes").text
    assert [field(html, name) for name in ("number", "blank", "swab_lot", "person")] == ["", "3.5", "S-0001",
                                                                                         "T. Example"]
    assert "only here" not in html


def test_levels_stand_beside_the_number(cleaned):
    html = cleaned.get(cleaned.point(RAIL, "/reading") + "?swab=cleaned.1.1&dry=yes&rinsed=yes&fresh_area=yes").text
    for label, value in (("last here", "224"), ("release level", "108"), ("limit", "240")):
        assert re.search(rf"<dt>{label}</dt><dd>{value}</dd>", html)


def test_form_sent_twice_has_one_effect_and_the_same_answer(cleaned):
    fields = {**cleaned.form(DOOR), "number": "41"}
    first = cleaned.post(cleaned.point(DOOR, "/reading"), fields)
    before = kept(cleaned.home)
    again = cleaned.post(cleaned.point(DOOR, "/reading"), fields)
    assert (first.status_code, first.headers["location"]) == (again.status_code, again.headers["location"])
    assert again.status_code == 303 and kept(cleaned.home) == before
    assert [one.raw for one in cleaned.reader().kept().readings if one.point == DOOR] == ["41"]


def test_no_to_a_question_sent_twice_has_one_effect(cleaned):
    fields = {**cleaned.ask(DOOR), **YES, "dry": "no"}
    first = cleaned.post(cleaned.point(DOOR, "/questions"), fields)
    before = kept(cleaned.home)
    again = cleaned.post(cleaned.point(DOOR, "/questions"), fields)
    assert (again.status_code, again.headers["location"]) == (303, first.headers["location"])
    assert kept(cleaned.home) == before


def test_form_sent_by_an_impatient_thumb_many_times_at_once_has_one_effect(cleaned):
    fields = {**cleaned.form(DOOR), "number": "41"}
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda _: cleaned.post(cleaned.point(DOOR, "/reading"), fields), range(12)))
    assert {answer.status_code for answer in answers} == {303}
    assert [one.raw for one in cleaned.reader().kept().readings if one.point == DOOR] == ["41"]


def test_form_sent_again_with_another_number_is_refused_and_says_what_to_do(cleaned):
    fields = {**cleaned.form(DOOR), "number": "41"}
    cleaned.post(cleaned.point(DOOR, "/reading"), fields)
    before = kept(cleaned.home)
    answer = cleaned.post(cleaned.point(DOOR, "/reading"), {**fields, "number": "14"})
    assert answer.status_code == 409 and "sent before with other content" in answer.text
    assert kept(cleaned.home) == before


def test_two_phones_at_one_point_keep_one_swab_and_the_second_is_told(cleaned):
    one, two = cleaned.form(DOOR), cleaned.form(DOOR)
    assert cleaned.post(cleaned.point(DOOR, "/reading"), {**one, "number": "41"}).status_code == 303
    answer = cleaned.post(cleaned.point(DOOR, "/reading"), {**two, "number": "43"})
    assert answer.status_code == 409 and "What you typed: <bdi>43</bdi>" in answer.text
    assert [one.raw for one in cleaned.reader().kept().readings if one.point == DOOR] == ["41"]
