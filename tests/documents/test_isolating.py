"""A name from right to left turns round nothing but itself."""

from dataclasses import replace

from documents import sample_records
from documents.poppler import text_of
from tersum.documents.isolating import all_isolated, isolated
from tersum.documents.visit_record import headline, record_page, record_pdf

HEBREW = "מיניבוס 7"


def test_a_record_without_such_names_stays_as_it_is():
    record = sample_records.finished()
    assert all_isolated(record) == record


def test_a_name_ends_before_the_numbers_of_its_sentence(tmp_path):
    record = sample_records.finished()
    record = replace(record, plan=replace(record.plan, place=HEBREW))
    assert headline(all_isolated(record)).startswith(f"\u2068{HEBREW}\u2069: 6 of 6")
    text = text_of(record_pdf(record), tmp_path)
    assert ": 6 of 6 swabbed points" in text


def test_points_keep_their_readings_limits_and_verdicts():
    record = sample_records.finished()
    renamed = {"entry handrail": HEBREW}

    def named(one, field):
        return replace(one, **{field: renamed.get(getattr(one, field), getattr(one, field))})

    plan = replace(record.plan, points=tuple(named(one, "id") for one in record.plan.points))
    changed = replace(record, plan=plan, readings=tuple(named(one, "point") for one in record.readings),
                      decisions=tuple(named(one, "point") for one in record.decisions))
    rows = [part for part in record_page(changed)["parts"] if part["kind"] == "table"][0]["rows"]
    before = [part for part in record_page(record)["parts"] if part["kind"] == "table"][0]["rows"]
    assert [row[1:] for row in rows] == [row[1:] for row in before]
    assert rows[1][0]["t"] == isolated(HEBREW)
