"""Re-randomisation against full enumeration, against SciPy, and at its edges."""

import math
from itertools import product

import numpy as np
import pytest
from scipy import stats

from tersum.errors import OutOfRange
from tersum.evidence.rerandomisation import rerandomise, shift_interval, sign_flips, smallest_p

RNG = np.random.default_rng(12)


def test_counted_sums_are_those_of_full_enumeration():
    pairs = RNG.normal(0.1, 0.3, 9)
    sums = [float(np.dot(signs, pairs)) for signs in product((1, -1), repeat=9)]
    found = sign_flips(pairs)
    assert found.total == 512
    assert found.count_upper == sum(one >= pairs.sum() - 1e-9 for one in sums)
    assert found.count_two_sided == sum(abs(one) >= abs(pairs.sum()) - 1e-9 for one in sums)


def test_ties_count_however_they_are_added():
    assert sign_flips([0.1, 0.2, 0.3, 0.3]).count_two_sided == 2
    assert sign_flips([0.1, 0.2, -0.3]).p_two_sided == 1.0
    assert sign_flips([0.0, 0.0, 0.0]).p_two_sided == 1.0


def test_blocks_of_unequal_size_agree_with_scipy():
    values, treated = RNG.normal(0.0, 1.0, 9), np.array([True, True, False, False, False, True, False, False, True])
    theirs = stats.permutation_test((values[treated], values[~treated]), lambda x, y: x.mean() - y.mean(),
                                    vectorized=False, n_resamples=np.inf, alternative="greater")
    assert rerandomise(values, treated, [0] * 9).p_upper == pytest.approx(theirs.pvalue)


def test_drawn_p_values_are_near_the_counted_one():
    pairs = RNG.normal(0.12, 0.35, 18)
    counted, drawn = sign_flips(pairs), sign_flips(pairs, rng=np.random.default_rng(1), draws=20_000)
    assert not drawn.exact and drawn.p_two_sided == pytest.approx(
        counted.p_two_sided, abs=4.0 * math.sqrt(counted.p_two_sided / 20_000))


def test_a_block_too_large_to_count_is_drawn_from():
    values = np.concatenate([RNG.normal(0.8, 1.0, 20), RNG.normal(0.0, 1.0, 20)])
    treated = np.arange(40) < 20
    with pytest.raises(OutOfRange, match="too many to count"):
        rerandomise(values, treated, [0] * 40)
    found = rerandomise(values, treated, [0] * 40, rng=np.random.default_rng(3), draws=5000)
    assert found.p_two_sided == pytest.approx(stats.ttest_ind(values[:20], values[20:]).pvalue, abs=0.02)


def test_the_same_seed_draws_the_same():
    pairs = RNG.normal(0.0, 1.0, 60)
    one, two = (sign_flips(pairs, rng=np.random.default_rng(5), draws=1000) for _ in range(2))
    assert one == two and one.count_two_sided > 0


def test_a_drawn_p_value_is_never_0():
    assert sign_flips(np.full(50, 1.0), rng=np.random.default_rng(1), draws=500).p_two_sided == pytest.approx(1 / 501)


def test_five_pairs_never_reach_5_pct():
    assert sign_flips([1.0] * 5).p_two_sided == smallest_p(5) > 0.05 >= smallest_p(6)
    assert shift_interval([1.0, 1.1, 1.2, 0.9, 1.3]) == (-math.inf, math.inf)


def test_the_interval_holds_exactly_the_shifts_that_are_not_refuted():
    pairs = RNG.normal(0.3, 0.2, 12)
    low, high = shift_interval(pairs)
    for shift, kept in ((low - 1e-4, False), (low + 1e-4, True), (high - 1e-4, True), (high + 1e-4, False)):
        assert (sign_flips(pairs - shift).p_two_sided > 0.05) is kept


@pytest.mark.parametrize("pairs", [6, 12])
def test_the_interval_covers_at_least_what_it_says(pairs):
    rng, trials = np.random.default_rng(pairs), 300
    covered = sum(low <= 0.2 <= high for low, high in (
        shift_interval(0.2 + rng.laplace(0.0, 0.3, pairs)) for _ in range(trials)))
    assert covered / trials >= 0.95 - 3.0 * math.sqrt(0.05 * 0.95 / trials)


@pytest.mark.parametrize("bad", [{"treated": [True, True]}, {"treated": [1, 0, 1, 0]}, {"blocks": [0, 1]},
                                 {"values": [1.0, math.nan, 2.0, 3.0]}, {"treated": [True] * 4}])
def test_arguments_that_do_not_fit_are_refused(bad):
    given = {"values": [1.0, 2.0, 3.0, 4.0], "treated": [True, False, True, False], "blocks": [0, 0, 1, 1], **bad}
    with pytest.raises(OutOfRange):
        rerandomise(**given)
