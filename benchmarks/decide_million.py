"""Deciding a million points from their single readings, against the bare distribution function on as many numbers."""

from __future__ import annotations

import math
import resource
import sys
from dataclasses import replace

import numpy as np
from measuring import Result, compare
from scipy.special import ndtr, stdtr

from tersum.evidence.conformity import Guard, conformity_of_groups

NAME = "decide a million points"
GOAL = "within 3 times the distribution function alone, below 1 GB"
POINTS = 1_000_000


def measure() -> list[Result]:
    """Decide points with one or two swabs each, spread known and from ten duplicates."""
    rng = np.random.default_rng(1)
    index = np.repeat(np.arange(POINTS), rng.integers(1, 3, POINTS))
    readings = rng.normal(2.2, 0.4, index.size)
    results = []
    for name, freedom in (("known spread", math.inf), ("spread from 10 duplicates", 10.0)):
        guard = Guard(limit_rlu=300.0, spread_log10=0.205, degrees_of_freedom=freedom)
        found = conformity_of_groups(readings, index, POINTS, guard=guard)
        distance = (math.log10(300.0) - found.high_mean_log10) * np.sqrt(found.n) / 0.205
        bare = ndtr if math.isinf(freedom) else lambda values: stdtr(10.0, values)
        results.append(compare(
            f"{POINTS:,} points, {index.size:,} readings, {name}",
            lambda guard=guard: conformity_of_groups(readings, index, POINTS, guard=guard),
            lambda bare=bare, distance=distance: bare(distance),
            reference_name="scipy.special." + ("ndtr" if math.isinf(freedom) else "stdtr"), goal_ratio=3.0))
    return [replace(one, peak_mb=_peak_mb(), peak_goal_mb=1000.0) for one in results]


def _peak_mb() -> float:
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1e6 if sys.platform == "darwin" else 1e3)
