"""Draws three standard deviations about the share of groups of eight."""

from functools import partial

from tersum.evidence import watching_counts

WHAT = "small groups get limits of three standard deviations, which ring far more often than stated"
BREAKS = ["tests/evidence/test_watching.py::test_small_groups_get_exact_limits_that_ring_no_more_often_than_they_may"]


def apply(monkeypatch):
    monkeypatch.setattr(watching_counts, "p_chart", partial(watching_counts.p_chart, exact=False))
