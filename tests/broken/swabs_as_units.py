"""Takes every swab for a unit of its own."""

from dataclasses import replace

import numpy as np

from tersum.evidence import arm_model, comparison

WHAT = "swabs of one part count as parts, which finds differences that are only differences between parts"
BREAKS = ["tests/evidence/test_trial_calibration.py::test_swabs_of_one_part_are_no_further_units"]


def apply(monkeypatch):
    honest = arm_model.arm_model

    def inflated(units, *, adjust=True):
        model = honest(units, adjust=adjust)
        swabs = units.swabs / len(units.arm)
        # What the error of a mean would be, were its swabs as many parts.
        return replace(model, covariance=model.covariance / swabs,
                       degrees_of_freedom=int(np.ceil(model.degrees_of_freedom * swabs)))

    monkeypatch.setattr(comparison, "arm_model", inflated)
