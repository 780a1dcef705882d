"""Swabs beyond the planned looks may release a point."""

from tersum.visit import rule_v1

WHAT = "a swab beyond the planned looks releases a point, which is testing until it passes"
BREAKS = ["tests/visit/test_rule_v1.py::test_swabs_beyond_the_planned_looks_cannot_release"]


def apply(monkeypatch):
    honest = rule_v1._Standing._prefix
    monkeypatch.setattr(rule_v1._Standing, "_prefix", lambda self, looks: honest(self, None))
