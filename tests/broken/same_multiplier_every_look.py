"""Uses the guard of one look again at every further look."""

from tersum.evidence import looks

WHAT = "the multiplier for one look is used at every look, so that each further look adds false releases"
BREAKS = ["tests/evidence/test_calibration.py::test_at_most_5_pct_are_released_at_the_limit[2-no-pairs]",
          "tests/evidence/test_looks.py::test_multipliers_are_those_worked_out_independently[inf-2-1.871]"]


def apply(monkeypatch):
    kept = looks._multiplier
    monkeypatch.setattr(looks, "_multiplier", lambda planned, freedom, risk: kept(1, freedom, risk))
