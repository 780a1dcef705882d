"""Counts a swab although it was noted that no fresh area was left."""

from tersum.visit import readings

WHAT = "a swab counts although the answer before it was opened was that it goes on the same spot as the last"
BREAKS = ["tests/simulator/test_rule_calibration.py::test_the_rule_releases_at_most_5_pct_at_the_limit[2]"]


def apply(monkeypatch):
    monkeypatch.delitem(readings.FAULTS_BEFORE_THE_NUMBER, "fresh_area")
