"""Re-randomisation of thirty pairs and the bootstrap of a thousand groups, against the general functions of SciPy."""

from __future__ import annotations

import resource
import sys
from dataclasses import replace

import numpy as np
from measuring import Result, compare
from scipy import stats

from tersum.evidence.bootstrap import mean_intervals
from tersum.evidence.rerandomisation import sign_flips

NAME = "re-randomisation and bootstrap"
GOAL = "30 pairs, 100,000 draws: 20 times faster, same p; 1,000 groups: 4 times faster"
DRAWS = 100_000


def measure() -> list[Result]:
    """Turn signs of thirty pairs, drawn and counted; resample a thousand groups of twenty."""
    rng = np.random.default_rng(7)
    pairs = rng.normal(0.12, 0.35, 30)
    drawn = sign_flips(pairs, rng=np.random.default_rng(1), draws=DRAWS)
    counted = sign_flips(pairs)
    theirs = _scipy_flips(pairs)
    apart = 4.0 * np.sqrt(counted.p_two_sided / DRAWS)
    if max(abs(drawn.p_two_sided - counted.p_two_sided), abs(theirs - counted.p_two_sided)) > apart:
        raise AssertionError(f"p-values differ: {drawn.p_two_sided}, {theirs}, counted {counted.p_two_sided}")
    groups = rng.normal(2.0, 0.3, (1000, 20))
    results = [
        compare("30 pairs, 100,000 draws", lambda: sign_flips(pairs, rng=np.random.default_rng(1), draws=DRAWS),
                lambda: _scipy_flips(pairs), reference_name="scipy.stats.permutation_test", goal_ratio=1 / 20, runs=5),
        compare("30 pairs, all 2^30 assignments counted", lambda: sign_flips(pairs), lambda: _scipy_flips(pairs),
                reference_name="scipy.stats.permutation_test, 100,000 draws", goal_ratio=1 / 20, runs=5),
        compare("1,000 groups of 20, 1,000 resamples", lambda: mean_intervals(groups, rng=np.random.default_rng(1)),
                lambda: stats.bootstrap((groups,), np.mean, axis=1, n_resamples=1000, method="percentile",
                                        rng=np.random.default_rng(1), vectorized=True, batch=100),
                reference_name="scipy.stats.bootstrap", goal_ratio=1 / 4, runs=5)]
    return [replace(one, peak_mb=_peak_mb(), peak_goal_mb=2000.0) for one in results]


def _scipy_flips(pairs: np.ndarray) -> float:
    found = stats.permutation_test((pairs,), lambda x, axis: x.sum(axis=axis), permutation_type="samples",
                                   n_resamples=DRAWS, vectorized=True, rng=np.random.default_rng(1))
    return float(found.pvalue)


def _peak_mb() -> float:
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1e6 if sys.platform == "darwin" else 1e3)
