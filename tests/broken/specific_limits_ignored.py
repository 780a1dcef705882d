"""Takes the general limit of a class for every substance."""

from dataclasses import replace

from tersum.chemistry import hazard_rules

WHAT = "a substance with a limit of its own is held against the general one"
BREAKS = ["tests/chemistry/test_hazard.py::test_specific_limits_replace_general_ones"]


def apply(monkeypatch):
    honest = hazard_rules.skin_limits
    monkeypatch.setattr(hazard_rules, "skin_limits", lambda entry: honest(replace(entry, limits={})))
