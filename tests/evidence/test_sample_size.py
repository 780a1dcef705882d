"""Sizes of trials, held against independent powers."""

import math

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.power import FTestAnovaPower, TTestIndPower, TTestPower

from tersum.errors import OutOfRange
from tersum.evidence.sample_size import (
    ancova_factors,
    groups_for_anova,
    groups_of_two,
    pairs_for_difference,
    power_of_pairs,
    size_for_mean,
    size_for_proportion,
)


@pytest.mark.parametrize("effect", [0.2, 0.7, 1.5, 3.0])
@pytest.mark.parametrize("power", [0.8, 0.95])
def test_pairs_and_groups_agree_with_independent_powers(effect, power):
    pairs, panels = TTestPower(), TTestIndPower()
    n = pairs_for_difference(effect, power=power)
    assert pairs.power(effect, n, 0.05) >= power and (n == 2 or pairs.power(effect, n - 1, 0.05) < power)
    n = groups_of_two(effect, power=power)
    assert panels.power(effect, n, 0.05) >= power and (n == 2 or panels.power(effect, n - 1, 0.05) < power)


@pytest.mark.parametrize("groups", [2, 4])
def test_groups_of_an_anova_agree_with_an_independent_power(groups):
    n, other = groups_for_anova(groups, 0.4), FTestAnovaPower()
    assert other.power(0.4, n * groups, 0.05, groups) >= 0.8 > other.power(0.4, (n - 1) * groups, 0.05, groups)


def test_two_groups_of_an_anova_are_the_two_sample_test():
    assert groups_for_anova(2, 0.25) == groups_of_two(0.5)


def test_direction_of_the_difference_does_not_matter():
    assert pairs_for_difference(-0.8) == pairs_for_difference(0.8) == 15


@pytest.mark.parametrize(("spread", "row"), [
    (0.25, (55, 18, 8, 5)), (0.35, (105, 33, 13, 7)), (0.50, (211, 66, 24, 11)),
])
def test_pairs_for_a_factor_between_two_treatments(spread, row):
    assert tuple(pairs_for_difference(math.log10(factor) / spread) for factor in (1.25, 1.5, 2, 3)) == row


def test_planned_pairs_show_the_difference_as_often_as_wanted():
    random, n = np.random.default_rng(8), pairs_for_difference(0.8)
    pairs = random.normal(0.8, 1.0, (8000, n))
    shown = (stats.ttest_1samp(pairs, 0.0, axis=1).pvalue < 0.05).mean()
    assert shown >= 0.8 - 3 * math.sqrt(0.16 / 8000)


@pytest.mark.parametrize("call", [
    lambda: pairs_for_difference(0.0), lambda: pairs_for_difference(1e-6), lambda: groups_of_two(0.5, risk=0.6),
    lambda: groups_of_two(0.5, power=0.4), lambda: groups_for_anova(1, 0.25), lambda: groups_for_anova(3, 0.0),
    lambda: size_for_mean(0.0), lambda: size_for_mean(10.0), lambda: size_for_proportion(0.1, 0.1),
    lambda: size_for_proportion(0.0, 0.1), lambda: ancova_factors(1.0), lambda: pairs_for_difference(True),
])
def test_questions_without_an_answer_are_refused(call):
    with pytest.raises(OutOfRange):
        call()


def test_the_chance_of_finding_is_a_number_however_large_the_effect():
    """Far out the noncentral t gives none; beside it stands the normal bound."""
    for pairs in (2, 5, 18, 59, 300):
        chances = [power_of_pairs(pairs, effect) for effect in (0.01, 0.5, 1.0, 3.0, 5.0, 10.0)]
        assert all(0.0 <= one <= 1.0 for one in chances) and chances == sorted(chances)
    assert power_of_pairs(18, 10.0) == 1.0
