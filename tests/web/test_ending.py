"""The end of a visit: finished where all is done, else honest with its reason, and nothing after it."""

import pytest

from web.site import hidden, kept, put_reading


def fields(site, **more):
    return {**hidden(site.get(f"{site.visit}/ending").text), **more}


def test_open_points_are_named_with_why(cleaned):
    put_reading(cleaned, "wheelchair ramp grip", "382")
    html = cleaned.get(f"{cleaned.visit}/ending").text
    assert "6 points are open" in html and "lies between the release level" in html
    assert 'value="finished"' not in html


def test_honest_ending_is_kept_with_its_reason_and_the_open_points(cleaned):
    sent = fields(cleaned, kind="stopped", reason="The <b>keys</b> were needed")
    answer = cleaned.post(f"{cleaned.visit}/ending", sent)
    assert answer.headers["location"] == f"{cleaned.visit}/record"
    ending = cleaned.reader().ended().ending
    assert (ending.kind, ending.reason, len(ending.open_points)) == ("stopped", "The <b>keys</b> were needed", 6)
    html = cleaned.get(f"{cleaned.visit}/record").text
    assert "Stopped before the end." in html and "The &lt;b&gt;keys&lt;/b&gt; were needed" in html


@pytest.mark.parametrize(("typed", "faults"), [
    ({}, ["kind", "reason"]), ({"kind": "stopped"}, ["reason"]), ({"reason": "rain"}, ["kind"]),
    ({"kind": "finished", "reason": "rain"}, ["kind"]), ({"kind": "invented", "reason": "rain"}, ["kind"]),
    ({"kind": "stopped", "reason": "r" * 501}, ["reason"]), ({"kind": "stopped", "reason": "a\u202eb"}, ["reason"])])
def test_faults_are_told_beside_their_fields_and_what_was_typed_is_kept(cleaned, typed, faults):
    sent = fields(cleaned, **typed)
    before = kept(cleaned.home)
    answer = cleaned.post(f"{cleaned.visit}/ending", sent)
    assert answer.status_code == 422
    assert [name for name in ("kind", "reason") if f'id="fault-{name}"' in answer.text] == faults
    assert typed.get("reason", "") in answer.text
    if typed.get("kind") == "stopped":
        assert 'value="stopped" checked' in answer.text
    assert kept(cleaned.home) == before


def test_line_breaks_in_a_reason_become_blanks(cleaned):
    cleaned.post(f"{cleaned.visit}/ending", fields(cleaned, kind="stopped", reason="rain,\r\nthen snow"))
    assert cleaned.reader().ended().ending.reason == "rain, then snow"


def test_not_measured_is_offered_only_where_nothing_counts(cleaned):
    assert 'value="not-measured"' in cleaned.get(f"{cleaned.visit}/ending").text
    put_reading(cleaned, "wheelchair ramp grip", "382")
    assert 'value="not-measured"' not in cleaned.get(f"{cleaned.visit}/ending").text
    answer = cleaned.post(f"{cleaned.visit}/ending", fields(cleaned, kind="not-measured", reason="no swabs"))
    assert answer.status_code == 422


def test_visit_with_every_point_done_is_finished_by_one_button(cleaned):
    for standing in cleaned.reader().walk().standings:
        put_reading(cleaned, standing.point.id, "<5")
    put_reading(cleaned, "steering wheel", "<5", "cleaned.1.2")
    html = cleaned.get(f"{cleaned.visit}/ending").text
    assert "Every planned point is done" in html and "Finish the visit" in html and "reason" not in hidden(html)
    cleaned.post(f"{cleaned.visit}/ending", hidden(html))
    assert cleaned.reader().ended().ending.kind == "finished"


def test_planned_second_swab_that_is_missing_is_told(cleaned):
    for standing in cleaned.reader().walk().standings:
        put_reading(cleaned, standing.point.id, "<5")
    assert "The second swab planned at <bdi>steering wheel</bdi> was not taken." in cleaned.get(
        f"{cleaned.visit}/ending").text


def test_ending_sent_twice_has_one_effect(cleaned):
    sent = fields(cleaned, kind="stopped", reason="rain")
    first = cleaned.post(f"{cleaned.visit}/ending", sent)
    before = kept(cleaned.home)
    again = cleaned.post(f"{cleaned.visit}/ending", sent)
    assert (again.status_code, again.headers["location"]) == (303, first.headers["location"])
    assert kept(cleaned.home) == before
    other = cleaned.post(f"{cleaned.visit}/ending", {**sent, "reason": "snow"})
    assert other.status_code == 409 and kept(cleaned.home) == before


def test_visit_ends_once(finished):
    before = kept(finished.home)
    assert finished.get(f"{finished.visit}/ending").headers["location"] == f"{finished.visit}/record"
    answer = finished.post(f"{finished.visit}/ending", {"operation_id": finished.reader().store.new_id(),
                                                        "kind": "finished"})
    assert answer.status_code == 409 and "has ended" in answer.text
    assert kept(finished.home) == before
