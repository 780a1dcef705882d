"""Lets a lead override what must not meet, as with a material."""

from tersum.visit import allowed

WHAT = "products that must not meet are planned to, with a reason"
BREAKS = ["tests/visit/test_allowed.py::test_no_override_lets_products_meet"]


def apply(monkeypatch):
    honest = allowed.must_not_meet
    monkeypatch.setattr(allowed, "must_not_meet", lambda steps, products, forbids: (
        () if any(step.overrides for step in steps) else honest(steps, products, forbids)))
