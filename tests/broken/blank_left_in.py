"""Leaves the light of the unused swab in the reading."""

from tersum.evidence import blank

WHAT = "the blank is not taken off, so that every reduction looks smaller than it was"
BREAKS = ["tests/evidence/test_blank.py::test_blank_is_taken_off_a_measured_reading",
          "tests/published/test_published.py::test_case[reduction-with-blank]"]


def apply(monkeypatch):
    honest = blank.reals
    monkeypatch.setattr(blank, "reals", lambda field, values, **limits: honest(
        field, 0.0 if field == "blank_rlu" else values, **limits))
