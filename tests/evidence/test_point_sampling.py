"""Points of a list, swabs that miss, and plans for a series."""

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.family import detection_probability
from tersum.evidence.point_sampling import allocation, found_at_most, point_statement, series_plans, swabs_needed


@pytest.mark.parametrize(("failing", "swabs"), [(10, 25), (5, 45), (2, 78), (1, 95)])
def test_perfect_swabs_need_what_the_standard_prints(failing, swabs):
    # ISPM 31, 100 points, 95 %.
    assert swabs_needed(100, failing) == swabs
    assert 1 - found_at_most(100, failing, swabs, 0) == pytest.approx(detection_probability(100, failing, swabs))


def test_a_swab_that_misses_is_simulated():
    random, hits, trials = np.random.default_rng(1), 0, 20_000
    for _ in range(trials):
        met = random.hypergeometric(4, 36, 12)
        hits += random.binomial(met, 0.7) > 0
    assert abs(hits / trials - (1 - found_at_most(40, 4, 12, 0, sensitivity=0.7))) < 4 * 0.5 / trials**0.5


def test_the_statement_is_wrong_no_more_often_than_it_says():
    random = np.random.default_rng(2)
    for failing in (3, 8, 20):
        wrong = sum(point_statement(40, 12, int(random.hypergeometric(failing, 40 - failing, 12))).failing_at_most
                    < failing for _ in range(300))
        assert wrong / 300 <= 0.05 + 3 * (0.05 * 0.95 / 300) ** 0.5


def test_one_failing_point_and_a_poor_swab_can_not_be_assured():
    assert swabs_needed(10, 1, sensitivity=0.7) is None


def test_both_plans_keep_both_risks():
    plans = series_plans(0.02, 0.15)
    for share, low, high in ((0.02, 0.95, 1.0), (0.15, 0.0, 0.1)):
        fixed = np.interp(share, plans.failing_frac, plans.accepted_fixed)
        walked = np.interp(share, plans.failing_frac, plans.accepted_sequential)
        assert low - 0.01 <= fixed <= high + 0.01 and low - 0.02 <= walked <= high + 0.02
    assert plans.mean_looked_at[0] < plans.n < plans.stop_at


def test_each_stratum_gets_two_and_none_more_than_it_has():
    found = allocation([3, 50, 50], [9.0, 0.1, 0.2], 12)
    assert found.sum() == 12 and found[0] == 3 and found.min() >= 2 and found[2] > found[1]
    with pytest.raises(OutOfRange):
        allocation([3, 3], [0.2, 0.2], 3)
