"""The last good swab is taken as the result."""

from tersum.visit import rule_v1

WHAT = "the last swab replaces the earlier ones of its round and is not averaged with them"
BREAKS = ["tests/visit/test_rule_v1.py::test_second_look_is_averaged_and_never_replaces_the_first"]


def apply(monkeypatch):
    honest = rule_v1._mean
    monkeypatch.setattr(rule_v1, "_mean", lambda readings, terms: honest(readings[-1:], terms))
