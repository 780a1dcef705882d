"""Puts half the detection level where a reading lies below it."""

import math
from dataclasses import replace

import numpy as np

from tersum.evidence import comparison

WHAT = "a reading below detection becomes half the level, which draws arms together or apart"
BREAKS = ["tests/evidence/test_trial_calibration.py::test_readings_below_detection_leave_the_ratio_unbiased"]


def apply(monkeypatch):
    honest = comparison._modelled

    def filled(units):
        value = np.where(np.isfinite(units.after_low), units.after_low, units.after_high - math.log10(2.0))
        return honest(replace(units, after_low=value, after_high=value))

    monkeypatch.setattr(comparison, "_modelled", filled)
