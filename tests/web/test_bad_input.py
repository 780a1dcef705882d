"""Names in any script and with any sign, very many points, very long notes: shown whole and never run as markup."""

import re
from dataclasses import replace

import pytest

from tersum.visit.plan import SamplingPoint
from web.addresses import html_pages, shown_pages
from web.site import YES, Site, client_of, hidden, kept, plan_of, put_reading, seal

MARKERS = ['"><svg/onload=alert(1)>', "{{ 7*7 }}{% raw %}", "<script>alert(1)</script>", "' or 1=1 --", "&amp;lt;b&gt;",
           "מסעד יד", "مقبض الباب", "%s %(name)s {name} {0}", "=1+1", "ｆｕｌｌ", "a" * 75]
LONG = "נ" * 2000


def marked(tmp_path, marker):
    """Return pages over a visit with a marker in every text that a plan has."""
    plan, seed = plan_of("minibus-1")
    text = marker[:60]
    points = tuple(replace(one, id=f"{n} {text}"[:80], surface=text, material=text) for n, one in
                   enumerate(plan.points))
    limits = tuple(replace(one, surface=text, basis=text, instrument=text, swab=text) for one in plan.limits[:1])
    steps = tuple(replace(one, id=f"{n} {text}"[:60], what=text, product="") for n, one in enumerate(plan.steps))
    plan = replace(plan, visit=text, place=text, points=points, limits=limits, steps=steps,
                   instrument=replace(plan.instrument, type=text, swab=text))
    home = tmp_path / "home"
    return home, plan, seal(home, plan, seed)


@pytest.mark.parametrize("marker", MARKERS, ids=[f"marker{n}" for n in range(len(MARKERS))])
def test_marker_in_every_text_is_shown_as_text(tmp_path, marker):
    home, plan, visit_id = marked(tmp_path, marker)
    with client_of(home) as client:
        site = Site(home, visit_id, plan, client, places={one.id: n for n, one in enumerate(plan.points, start=1)})
        site.show_draw()
        first = plan.points[0].id
        put_reading(site, first, "41", surface=marker, swab_lot=marker, note=marker, person=marker)
        site.post(f"{site.visit}/ending", {"operation_id": site.reader().store.new_id(), "kind": "stopped",
                                           "reason": marker})
        for name, path in shown_pages(site).items():
            answer = site.get(path)
            assert answer.status_code in ((404,) if name in ("card", "cards_pdf") else (200, 303)), name
            if "text/html" not in answer.headers.get("content-type", ""):
                continue
            assert not re.search(r"<svg/|<script|onload=alert\(1\)>", answer.text), name
            assert "49" not in re.sub(r"[0-9a-f]{8,}[0-9a-f-]*", "", answer.text) or "7*7" not in marker, name


@pytest.mark.parametrize("marker", MARKERS, ids=[f"marker{n}" for n in range(len(MARKERS))])
def test_marker_in_every_field_of_every_form_is_kept_or_refused_but_never_run(cleaned, marker):
    form = {**cleaned.form("driver's door handle"), "number": marker, "blank": marker, "swab_lot": marker,
            "person": marker, "note": marker, "pressed": marker, "meant": marker, "confirmed": marker}
    ending = {**hidden(cleaned.get(f"{cleaned.visit}/ending").text), "kind": marker, "reason": marker}
    before = kept(cleaned.home)
    for path, fields in ((cleaned.point("driver's door handle", "/reading"), form),
                         (f"{cleaned.visit}/ending", ending)):
        answer = cleaned.post(path, fields)
        assert answer.status_code == 422
        assert not re.search(r"<svg/|<script|=alert\(1\)>", answer.text)
    assert kept(cleaned.home) == before


def test_names_from_right_to_left_are_kept_apart_from_what_stands_around_them(tmp_path):
    home, plan, visit_id = marked(tmp_path, "מסעד יד")
    with client_of(home) as client:
        html = client.get(f"/visits/example-minibuses/{visit_id}").text
    body = html[html.index("<main"):]
    assert re.sub(r"<bdi>.*?</bdi>", "", body, flags=re.S).isascii()


def test_four_hundred_points_are_shown_whole_and_quickly(tmp_path):
    plan, seed = plan_of("minibus-1")
    points = tuple(SamplingPoint(f"point {n:03d}", "smooth", "high", True) for n in range(400))
    plan = replace(plan, points=points, drawn_points=0)
    home = tmp_path / "home"
    visit_id = seal(home, plan, seed)
    with client_of(home) as client:
        site = Site(home, visit_id, plan, client, places={one.id: n for n, one in enumerate(points, start=1)})
        html = site.get(site.visit).text
        assert html.count('class="row"') == 400 and "point 399" in html
        assert len(html) < 300_000
        site.read("point 399", "900")
        assert "clean again" in site.get(site.visit).text
        for name, path in html_pages(site).items():
            assert site.get(path).status_code == 200, name
        assert site.get(f"{site.visit}/ladder-narrow-light.svg").status_code == 200


def test_note_as_long_as_may_be_is_kept_whole(cleaned):
    assert cleaned.read("driver's door handle", "18", note=LONG).status_code == 303
    assert LONG in cleaned.get(cleaned.point("driver's door handle")).text


def test_picture_pasted_as_a_note_is_refused_in_one_sentence_and_nothing_changes(cleaned):
    before = kept(cleaned.home)
    answer = cleaned.read("driver's door handle", "18", note="iVBORw0KGgo" * 500_000)
    assert answer.status_code == 413 and "no pictures" in answer.text
    assert kept(cleaned.home) == before


def test_line_breaks_in_names_of_a_form_are_refused(cleaned):
    answer = cleaned.read("driver's door handle", "18", swab_lot="a\r\nb")
    assert answer.status_code == 422 and "The swab lot holds the control character" in answer.text


def test_unknown_fields_change_nothing(cleaned):
    fields = {**cleaned.form("driver's door handle"), "number": "18", "organisation_id": "x", "at": "2020-01-01",
              "instrument_checked": "no", "void_reason": "lot-fault", "point": "another"}
    cleaned.post(cleaned.point("driver's door handle", "/reading"), fields)
    reading = cleaned.reader().kept().readings[-1]
    assert (reading.point, reading.void_reason, reading.instrument_checked) == ("driver's door handle", None, None)
    assert reading.at.startswith("2026-03-02")


def test_answers_in_the_address_are_no_way_around_the_questions(cleaned):
    form = {**cleaned.form("driver's door handle"), "number": "18", **YES, "dry": ""}
    assert cleaned.post(cleaned.point("driver's door handle", "/reading"), form).status_code == 303
    assert all(one.point != "driver's door handle" for one in cleaned.reader().kept().readings)
