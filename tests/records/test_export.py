"""Exports: whole files or none, no formulas for spreadsheets, and JSON that can be read again."""

import csv
import io
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tersum.records import export
from tersum.visit.decision import Decision, LimitInForce, Reason, Terms
from tersum.visit.readings import Reading
from tersum.visit.rules import decide_point

READINGS = [Reading("seat", "as_found", 900.0, 900.0, "900"), Reading("seat", "cleaned", 41.0, 41.0, "41"),
            Reading("seat", "cleaned", 41.0, 41.0, "41", swab=2, dry=False)]
DECISION = decide_point("seat", READINGS, terms=Terms(reduction_target_log10=1.0), limit=LimitInForce(250.0, "option"))


def test_decision_goes_through_json_and_back():
    fields = json.loads(export.json_text(export.decision_fields(DECISION)))
    again = export.decision_from(fields)
    assert export.decision_fields(again) == fields
    assert (again.point, again.verdict, again.reduction, again.n) == (
        DECISION.point, DECISION.verdict, DECISION.reduction, DECISION.n)
    assert again.remarks == (Reason("not-counted", {"swab": 2, "fault": "wet-surface"}),)


def test_row_has_a_cell_for_each_heading():
    row = dict(zip(export.CSV_HEADINGS, export.csv_row(DECISION), strict=True))
    assert (row["point"], row["verdict"], row["reason"]) == ("seat", "done", "at-or-below-release-level")
    assert (row["reduction_operator"], row["mean_operator"], row["remarks"]) == ("equal", "equal", "not-counted")
    assert row["reduction_met"] == "cannot-tell"


@given(st.lists(st.lists(st.one_of(st.text(st.characters(exclude_categories=["Cs"])), st.none(), st.floats(-9, 9)),
                         min_size=2, max_size=2), max_size=5))
def test_no_text_cell_can_be_run_by_a_spreadsheet(rows):
    text = "".join(export.csv_lines(("a", "b"), rows))
    read = list(csv.reader(io.StringIO(text, newline="")))
    assert len(read) == len(rows) + 1
    for written, row in zip(rows, read[1:], strict=True):
        for given_cell, cell in zip(written, row, strict=True):
            if isinstance(given_cell, str):
                assert cell[:1] not in ("=", "+", "-", "@", "\t", "\r")
                assert cell == given_cell or cell == "'" + given_cell


def test_negative_number_stays_a_number():
    assert list(export.csv_lines(("a",), [[-0.5]]))[1] == "-0.5\r\n"


@given(st.text(st.characters(exclude_categories=["Cs"])))
def test_markdown_cell_stays_in_its_cell(text):
    page = "".join(export.markdown_lines("t", [], ["a", "b"], [[text, "x"]]))
    row = page.split("\n")[-2] if page.endswith("\n") else ""
    bare = row.replace("\\\\", "").replace("\\|", "")
    assert bare.count("|") == 3
    assert not any(mark in bare.replace("\\<", "").replace("\\>", "") for mark in "<>")


def test_json_object_of_nothing_is_json():
    text = "".join(export.json_object({"schema": "s"}, "points", [], lambda: {"faults": []}))
    assert json.loads(text) == {"schema": "s", "points": [], "faults": []}


def test_tail_is_asked_for_after_the_points():
    met = []
    pieces = export.json_object({}, "points", (met.append(1) or "1" for _ in range(3)), lambda: {"met": len(met)})
    assert json.loads("".join(pieces)) == {"points": [1, 1, 1], "met": 3}


def test_files_stand_under_their_names_only_when_all_are_whole(tmp_path):
    (tmp_path / "a").write_text("old")
    with pytest.raises(ZeroDivisionError), export.whole_files(tmp_path, ("a", "b")) as (one, two):
        one.write("new")
        two.write("half")
        raise ZeroDivisionError
    assert [path.name for path in tmp_path.iterdir()] == ["a"]
    assert (tmp_path / "a").read_text() == "old"
    with export.whole_files(tmp_path, ("a", "b")) as (one, two):
        one.write("new")
        two.write("new")
        assert (tmp_path / "a").read_text() == "old"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a", "b"]
    assert (tmp_path / "a").read_text() == "new"


def test_files_go_where_no_folder_was(tmp_path):
    with export.whole_files(tmp_path / "x" / "y", ("a",)) as (one,):
        one.write("ü")
    assert Path(tmp_path / "x" / "y" / "a").read_bytes() == "ü".encode()


def test_decision_of_an_unread_point_is_json_too():
    unread = decide_point("seat", [], terms=Terms(), limit=None)
    assert isinstance(unread, Decision)
    assert json.loads(export.json_text(export.decision_fields(unread)))["geometric_mean_rlu"] is None
