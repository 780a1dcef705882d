"""Ten thousand most probable numbers at once, against a root finder in a loop."""

from __future__ import annotations

import math

import numpy as np
from measuring import Result, compare
from scipy.optimize import brentq

from tersum.lethality.mpn import Design, design, mpn

NAME = "10,000 most probable numbers"
GOAL = "50 times faster than scipy.optimize in a loop, same numbers"
MANY = 10_000


def measure() -> list[Result]:
    """Solve ten thousand random patterns of three rows of ten tubes."""
    made = design([10, 10, 10], [0.1, 0.01, 0.001])
    rng = np.random.default_rng(11)
    density = 10.0 ** rng.uniform(0.5, 3.0, MANY)
    patterns = rng.binomial(10, -np.expm1(-density[:, None] * made.amounts)).astype(float)
    total = patterns.sum(axis=1)
    patterns = patterns[(total > 0) & (total < 30)]
    while len(patterns) < MANY:  # patterns with a number of their own only
        patterns = np.concatenate((patterns, patterns[:MANY - len(patterns)]))
    ours, theirs = mpn(patterns, design=made).mpn, _looped(patterns, made)
    if not np.allclose(ours, theirs, rtol=1e-6):
        raise AssertionError(f"numbers differ by {np.abs(ours / theirs - 1.0).max()}")
    return [compare("10,000 patterns of 3 rows of 10 tubes, with error and rarity", lambda: mpn(patterns, design=made),
                    lambda: _looped(patterns, made), reference_name="scipy.optimize.brentq in a loop",
                    goal_ratio=1 / 50, runs=5)]


def _looped(patterns: np.ndarray, made: Design) -> np.ndarray:
    return np.array([_one(pattern, made) for pattern in patterns])


def _one(pattern: np.ndarray, made: Design) -> float:
    def score(ln_mpn: float) -> float:
        doses = math.exp(ln_mpn) * made.amounts
        return float((pattern * doses / np.expm1(doses) - (made.tubes - pattern) * doses).sum())

    return math.exp(brentq(score, math.log(1e-3), math.log(6e3), xtol=1e-9))
