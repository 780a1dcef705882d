"""Leaves the neutraliser's control out: product that goes on working in the plate counts as reduction."""

from tersum.lethality import suspension

WHAT = "control B of a suspension test is not held against its range"
BREAKS = ["tests/lethality/test_suspension.py::test_control_out_of_range_makes_a_great_reduction_invalid"]


def apply(monkeypatch):
    honest = suspension.control_failings

    def lenient(controls, **more):
        return [one for one in honest(controls, **more) if one.code != "control-b"]

    monkeypatch.setattr(suspension, "control_failings", lenient)
