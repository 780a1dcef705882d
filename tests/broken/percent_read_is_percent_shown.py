"""Takes the reduction that was read for the reduction that was shown."""

import numpy as np

from tersum.evidence import reduction

WHAT = "a reduction counts as met as soon as the reading itself reaches the target, with no regard to its spread"
BREAKS = ["tests/evidence/test_reduction.py::test_exactly_90_percent_read_on_one_pair_does_not_show_90_percent",
          "tests/properties/test_readings.py::test_met_is_never_said_inside_the_interval"]


def apply(monkeypatch):
    honest = reduction._met
    monkeypatch.setattr(reduction, "_met", lambda before, low, high, target, one_sided, detection: honest(
        before, low, high, target, np.zeros_like(one_sided), detection))
