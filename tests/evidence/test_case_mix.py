"""Funnels: exact limits, chance alone, and a mix of work taken out."""

import numpy as np
import pytest
from scipy.stats import binom

from tersum.errors import OutOfRange
from tersum.evidence.case_mix import INSIDE, funnel_of


def test_one_stratum_has_the_binomial_limits():
    found = funnel_of(["b", "a"], [[10], [5]], [[50], [40]])
    assert [unit.name for unit in found.units] == ["a", "b"]
    for unit in found.units:
        low, high = unit.limits_998
        share = 15 / 90
        assert binom.cdf(low - 1, unit.looked_at, share) <= 0.001 < binom.cdf(low, unit.looked_at, share)
        assert binom.sf(high, unit.looked_at, share) <= 0.001 + 1e-12


def test_chance_alone_puts_no_more_outside_than_stated():
    random = np.random.default_rng(3)
    outside = 0
    for _ in range(300):
        found = funnel_of([f"p{n}" for n in range(20)], random.binomial(30, 0.2, (20, 1)), np.full((20, 1), 30))
        outside += sum(unit.verdict != INSIDE for unit in found.units)
    assert outside / 300 <= found.by_chance


def test_a_harder_mix_is_no_fault():
    """Someone with nearly all the hard surfaces fails more often and still lies inside."""
    names, size = ["easy", "hard", "mixed"], [[95, 5], [5, 95], [50, 50]]
    failing = [[5, 2], [0, 38], [3, 20]]
    found = funnel_of(names, failing, size)
    assert all(unit.verdict == INSIDE for unit in found.units)
    plain = funnel_of(names, [[sum(row)] for row in failing], [[100]] * 3)
    assert any(unit.verdict != INSIDE for unit in plain.units)


@pytest.mark.parametrize("call", [
    lambda: funnel_of(["a"], [[1]], [[5]]), lambda: funnel_of(["a", "b"], [[0], [0]], [[5], [5]]),
    lambda: funnel_of(["a", "b"], [[6], [0]], [[5], [5]])])
def test_what_makes_no_funnel_is_refused(call):
    with pytest.raises(OutOfRange):
        call()
