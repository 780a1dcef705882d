"""Adds log reductions as plain numbers: the bound of a clean plate becomes a measured value."""

from tersum.lethality import log_reduction
from tersum.lethality.log_reduction import LogReduction, exactly

WHAT = "a sum with a bound comes out as a measured number, > 5.38 as = 5.38"
BREAKS = ["tests/properties/test_log_reduction_laws.py::test_a_sum_is_a_number_only_where_both_are",
          "tests/lethality/test_suspension.py::test_clean_plates_make_the_reduction_a_bound"]


def apply(monkeypatch):
    honest = LogReduction.__add__

    def plain(one, other):
        found = honest(one, other)
        return found if found.operator in ("between", "?") else exactly(found.value)

    monkeypatch.setattr(log_reduction.LogReduction, "__add__", plain)
