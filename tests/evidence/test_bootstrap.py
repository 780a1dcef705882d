"""The bootstrap of many groups: what SciPy finds, to the precision it promises, at any scale."""

import numpy as np
import pytest
from scipy import stats

from tersum.errors import OutOfRange
from tersum.evidence.bootstrap import mean_intervals

DRAWS = 4000


def groups(rows=40, n=20, seed=1):
    return np.random.default_rng(seed).normal(2.0, 0.3, (rows, n))


def in_double_precision(values, draws, seed):
    n = values.shape[1]
    shares = np.random.default_rng(seed).multinomial(n, np.full(n, 1.0 / n), size=draws) / n
    return np.quantile(values @ shares.T, [0.025, 0.975], axis=1)


def test_ends_are_those_of_double_precision():
    values = groups()
    found = mean_intervals(values, rng=np.random.default_rng(3), draws=DRAWS)
    assert np.abs(np.array(found) - in_double_precision(values, DRAWS, 3)).max() < 1e-6


def test_ends_are_those_of_scipy_within_chance():
    values = groups()
    theirs = stats.bootstrap((values,), np.mean, axis=1, n_resamples=DRAWS, method="percentile",
                             rng=np.random.default_rng(2)).confidence_interval
    low, high = mean_intervals(values, rng=np.random.default_rng(3), draws=DRAWS)
    # An end of 4,000 draws wanders by about 0.04 standard errors of the mean.
    apart = 6.0 * 0.04 * 0.3 / 20**0.5
    assert np.abs(low - theirs.low).max() < apart and np.abs(high - theirs.high).max() < apart


@pytest.mark.parametrize("scale", [1e-150, 1.0, 1e150])
def test_scale_and_origin_carry_over(scale):
    values = groups(4)
    low, _ = mean_intervals(values, rng=np.random.default_rng(3))
    there, _ = mean_intervals(scale * (values + 1000.0), rng=np.random.default_rng(3))
    assert there / scale - 1000.0 == pytest.approx(low, abs=1e-6)


def test_equal_values_have_no_width():
    low, high = mean_intervals([[2.0] * 5], rng=np.random.default_rng(1))
    assert low.item() == high.item() == 2.0


def test_many_groups_are_taken_in_portions():
    values = groups(9)
    whole = mean_intervals(values, rng=np.random.default_rng(3), draws=1000)
    many = mean_intervals(np.tile(values, (500, 1)), rng=np.random.default_rng(3), draws=1000)
    assert np.allclose(np.tile(whole, 500), many, rtol=0.0, atol=1e-6)


@pytest.mark.parametrize(("values", "more"), [([1.0, 2.0], {}), ([[1.0], [2.0]], {}), ([[1.0, np.nan]], {}),
                                              ([[1.0, 2.0]], {"draws": 99}), ([[1.0, 2.0]], {"coverage": 1.0})])
def test_arguments_that_do_not_fit_are_refused(values, more):
    with pytest.raises(OutOfRange):
        mean_intervals(values, rng=np.random.default_rng(1), **more)
