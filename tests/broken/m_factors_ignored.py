"""Counts every substance once for water life, whatever its factor."""

from dataclasses import replace

from tersum.chemistry import hazard_rules

WHAT = "a substance that harms water life at a tenth of the share is counted once"
BREAKS = ["tests/chemistry/test_hazard.py::test_m_factors_multiply_and_a_missing_one_excludes_nothing"]


def apply(monkeypatch):
    honest = hazard_rules._aquatic
    monkeypatch.setattr(hazard_rules, "_aquatic", lambda parts: honest(
        [tuple(replace(one, m_factors={"Aquatic Acute 1": 1.0}) for one in versions) for versions in parts]))
