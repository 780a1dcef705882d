"""Cells of an exported table are written as they come."""

from tersum.records import export

WHAT = "a point whose name begins as a formula runs in the reader's spreadsheet"
BREAKS = ["tests/records/test_export.py::test_no_text_cell_can_be_run_by_a_spreadsheet",
          "tests/cli/test_decide.py::test_files_are_written_whole_with_the_same_decisions"]


def apply(monkeypatch):
    monkeypatch.setattr(export, "_harmless", lambda cell: cell)
