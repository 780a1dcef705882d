"""Takes plates without growth as if so many had been counted as the detection limit."""

from dataclasses import replace

import numpy as np

from tersum.lethality import survivor_fit

WHAT = "points below the detection limit enter a survivor curve as counts at the limit"
BREAKS = ["tests/lethality/test_survivor_fit.py::test_bounds_are_neither_left_out_nor_taken_for_counts",
          "tests/lethality/test_survivor_fit.py::test_bounds_at_the_limit_are_no_tail"]


def apply(monkeypatch):
    placed, checked = survivor_fit._placed, survivor_fit.checked_points

    def counted(points):
        return replace(points, below=np.zeros(points.below.shape, bool))

    monkeypatch.setattr(survivor_fit, "_placed", lambda of, points: placed(of, counted(points)))
    monkeypatch.setattr(survivor_fit, "checked_points", lambda *given: counted(checked(*given)))
