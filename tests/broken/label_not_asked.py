"""Lets every step of a plan through, whatever the label says."""

from tersum.visit import label_use

WHAT = "a plan is sealed although a step lies outside its product's label"
BREAKS = ["tests/visit/test_label_use.py::test_everything_outside_the_label_is_told_at_once"]


def apply(monkeypatch):
    monkeypatch.setattr(label_use, "_outside", lambda step, product: iter(()))
