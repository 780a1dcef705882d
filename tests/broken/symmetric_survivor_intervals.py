"""Takes intervals of survivor curves from the curvature at the best fit, with the normal's 1.96."""

import numpy as np

from tersum.lethality import survivor_fit
from tersum.lethality.survivor_profile import Ends, _width

WHAT = "intervals are symmetric from the normal, where the profile is lopsided and the points are few"
BREAKS = ["tests/lethality/test_survivor_fit.py::test_straight_line_has_the_intervals_of_regression",
          "tests/lethality/test_survivor_fit.py::test_parameter_that_the_data_do_not_bound_has_an_open_end"]


def apply(monkeypatch):
    def symmetric(curve, points, best, limit, *, places=None):
        half = 1.959963984540054 * np.asarray(_width(curve, points, best))
        return Ends(best.free - half, best.free + half)

    monkeypatch.setattr(survivor_fit, "profile_ends", symmetric)
