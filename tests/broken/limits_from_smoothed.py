"""Takes the spread of a chart from the values that it has smoothed already."""

import numpy as np

from tersum.evidence import watching

WHAT = "the spread of a chart comes from the smoothed values, so its limits are far too narrow"
BREAKS = ["tests/evidence/test_watching.py::test_the_spread_comes_from_raw_values_and_not_from_what_is_smoothed"]


def apply(monkeypatch):
    honest = watching.individuals

    def smoothed(values):
        series = np.asarray(values, dtype=float)
        state, found = series.mean(), []
        for value in series:
            state += watching.LAM * (value - state)
            found.append(state)
        return honest(found)

    monkeypatch.setattr(watching, "individuals", smoothed)
