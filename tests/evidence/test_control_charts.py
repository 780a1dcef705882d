"""Charts: limits, run lengths by simulation, small numbers, bad input."""

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.control_charts import c_chart, comes_back_dirty, cusum, ewma, funnel, individuals, p_chart
from tersum.evidence.run_length import RULES, cusum_run_length, ewma_run_length, rules_run_length


def test_run_lengths_are_those_of_simulated_streams():
    values = np.random.default_rng(1).normal(1.0, 1.0, (120, 4000))
    seen = cusum(values, target=0.0, allowance=0.5, limit=4.0).first_above
    wanted = float(cusum_run_length(1.0, allowance=0.5, limit=4.0))
    assert seen.min() >= 0 and (seen + 1).mean() == pytest.approx(wanted, rel=0.05)
    seen = ewma(values, target=0.0, sigma=1.0, exact_start=False).first_outside
    assert (seen + 1).mean() == pytest.approx(float(ewma_run_length(1.0, lam=0.2, width=2.962)), rel=0.05)


def test_every_added_rule_costs_false_alarms():
    found = [rules_run_length(RULES[:many]) for many in range(1, 5)]
    assert found == sorted(found, reverse=True) and found[-1] == pytest.approx(91.75, abs=0.01)


def test_many_streams_are_each_as_alone():
    values = np.random.default_rng(2).normal(0.0, 1.0, (50, 3))
    for one, many in ((ewma(values[:, 1], target=0.0, sigma=1.0).ewma, ewma(values, target=0.0, sigma=1.0).ewma),
                      (cusum(values[:, 1], target=0.0, allowance=0.5, limit=4.0).high,
                       cusum(values, target=0.0, allowance=0.5, limit=4.0).high)):
        assert many[:, 1] == pytest.approx(one)


def test_the_first_values_have_narrower_limits():
    chart = ewma(np.zeros(30), target=0.0, sigma=1.0)
    assert chart.upper[0] == pytest.approx(2.962 * 0.2) and chart.upper[0] < chart.upper[-1]


def test_exact_limits_of_small_groups_ring_as_seldom_as_they_say():
    """Three standard deviations about a share of 0.05 of 8 would ring at a single failure's double: not so here."""
    exact, rough = p_chart([0] * 40, 8, center_frac=0.05), p_chart([0] * 40, 8, center_frac=0.05, exact=False)
    draws = np.random.default_rng(3).binomial(8, 0.05, 200_000) / 8
    assert exact.exact and np.mean(draws > exact.upper[0]) <= 0.00135 < np.mean(draws > rough.upper[0])


def test_exact_counts_ring_as_seldom_as_they_say():
    draws = np.random.default_rng(4).poisson(1.2, 200_000)
    assert np.mean(draws > c_chart([1, 2], center=1.2).upper[0]) <= 0.00135 * 1.2


def test_few_values_make_limits_that_are_said_to_be_so():
    assert individuals(np.arange(19.0) % 3).few and not individuals(np.arange(20.0) % 3).few


def test_the_funnel_is_wide_for_small_places():
    assert funnel([2, 40], [4, 80], center_frac=0.2).outside == (1,)


def test_a_point_never_dirty_does_not_come_back_dirty():
    assert comes_back_dirty([0, 0], [30, 1], usual_frac=0.01).tolist() == [False, False]


@pytest.mark.parametrize("call", [
    lambda: individuals([1.0, 1.0, 1.0]), lambda: individuals([1.0]), lambda: ewma([1.0], target=0.0, sigma=0.0),
    lambda: ewma([1.0], target=0.0, sigma=1.0, lam=0.0), lambda: cusum([1.0], target=0.0, allowance=-1.0, limit=4.0),
    lambda: p_chart([9], [8]), lambda: p_chart([0, 0], [8, 8]), lambda: c_chart([1.5]), lambda: c_chart([0, 0]),
    lambda: rules_run_length(["none"]), lambda: ewma(np.zeros((2, 2, 2)), target=0.0, sigma=1.0),
    lambda: individuals([1.0, float("nan")])])
def test_what_is_no_series_is_refused(call):
    with pytest.raises(OutOfRange):
        call()
