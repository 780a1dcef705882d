"""Lets one instrument be converted into another from any number of pairs."""

from tersum.evidence import two_instruments

WHAT = "a conversion is offered from fewer than 40 pairs"
BREAKS = ["tests/evidence/test_two_instruments.py::test_conversion_needs_40_pairs_and_a_known_error_ratio"]


def apply(monkeypatch):
    monkeypatch.setattr(two_instruments, "PAIRS_FOR_CONVERSION", 6)
