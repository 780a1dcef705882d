"""Checks the facts and not what pages show of them."""

from tersum.records.projections import Comparison

WHAT = "the tables that pages read are not compared with the facts, so that a page can show what no fact says"
BREAKS = ["tests/records/test_tampering.py::test_edited_table_is_found_and_names_its_first_difference",
          "tests/records/test_tampering.py::test_table_rows_added_or_taken_are_found"]


def apply(monkeypatch):
    monkeypatch.setattr(Comparison, "of", lambda *_: ())
    monkeypatch.setattr(Comparison, "left_over", lambda *_: ())
