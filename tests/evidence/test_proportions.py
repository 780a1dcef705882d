"""Intervals of a share."""

import numpy as np
import pytest
from scipy import stats

from tersum.errors import OutOfRange
from tersum.evidence.proportions import clopper_pearson, share_pct, wilson, zero_failures_upper

COUNTS = [(x, n) for n in (1, 2, 7, 20, 421) for x in {0, 1, n // 2, n - 1, n} if 0 <= x <= n]


@pytest.mark.parametrize(("method", "name"), [(wilson, "wilson"), (clopper_pearson, "exact")])
def test_interval_agrees_with_an_independent_one(method, name):
    for x, n in COUNTS:
        other = stats.binomtest(x, n).proportion_ci(0.9, method=name)
        lower, upper = method(x, n, confidence=0.9)
        assert (lower.item(), upper.item()) == pytest.approx((other.low, other.high), abs=1e-12)


def test_arrays_go_through_at_once():
    lower, upper = wilson([0, 5], [10, 10])
    assert (lower[1], upper[1]) == pytest.approx([end.item() for end in wilson(5, 10)])


def test_exact_interval_covers_at_least_what_it_says():
    """Summed over all outcomes, whatever the share: the guarantee that the name stands for."""
    n = 12
    lower, upper = clopper_pearson(np.arange(n + 1), n)
    for share in np.linspace(0.01, 0.99, 50):
        covered = ((lower <= share) & (share <= upper)) @ stats.binom.pmf(np.arange(n + 1), n, share)
        assert covered >= 0.95


def test_no_failure_among_n_is_the_one_sided_exact_bound():
    assert zero_failures_upper(20) == pytest.approx(clopper_pearson(0, 20, confidence=0.9)[1])


def test_share_is_in_percent():
    assert share_pct(1, 4) == 25.0


@pytest.mark.parametrize("given", [(5, 4), (-1, 4), (1.5, 4), (0, 0), (True, 4), ([1, 5], 4)])
def test_impossible_counts_are_refused(given):
    for method in (wilson, clopper_pearson, share_pct):
        with pytest.raises(OutOfRange):
            method(*given)


def test_confidence_lies_between_0_and_1():
    for call in (lambda: wilson(1, 4, confidence=1.0), lambda: clopper_pearson(1, 4, confidence=0.0),
                 lambda: zero_failures_upper(4, confidence=2)):
        with pytest.raises(OutOfRange):
            call()
