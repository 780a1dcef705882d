"""Takes a spread from few duplicates as if it were known."""

import math

from scipy.special import ndtr

from tersum.evidence import conformity, looks

WHAT = "the normal distribution stands in for Student's t, although the spread is only estimated from duplicates"
BREAKS = ["tests/evidence/test_calibration.py::test_at_most_5_pct_are_released_at_the_limit[2-10-pairs]",
          "tests/evidence/test_calibration.py::test_at_the_limit_p_conform_exceeds_p_in_one_minus_p_of_cases[5]"]


def apply(monkeypatch):
    kept = looks._multiplier
    monkeypatch.setattr(looks, "_multiplier", lambda planned, freedom, risk: kept(planned, math.inf, risk))
    monkeypatch.setattr(conformity, "stdtr", lambda freedom, distance: ndtr(distance))
