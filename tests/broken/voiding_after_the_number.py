"""Drops up to two bad results of a point after they were seen, and swabs again as if they had not been."""

from dataclasses import replace

from tersum.simulator import swabs

WHAT = "up to two swabs a point are voided because of the number they showed, and cost no look"
BREAKS = ["tests/evidence/test_calibration.py::test_at_most_5_pct_are_released_at_the_limit[2-no-pairs]"]


def apply(monkeypatch):
    kept = swabs._voided_after
    monkeypatch.setattr(swabs, "_voided_after", lambda shown, habits: kept(
        shown, replace(habits, voids_after_above_rlu=1500.0, voids_after_most=2)))
