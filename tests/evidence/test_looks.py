"""Release multipliers for several looks, and the shares they release."""

import itertools
import math

import numpy as np
import pytest
from scipy import stats

from tersum.errors import OutOfRange
from tersum.evidence.looks import (
    false_release,
    first_time_share,
    release_multiplier,
    share_at_each_look,
    within_looks_share,
)

# Known spread, two looks: by integrating the bivariate normal; three looks and estimated spreads: by simulation.
WORKED_OUT = [(math.inf, 1, 1.645), (math.inf, 2, 1.871), (math.inf, 3, 1.98), (20, 1, 1.73), (20, 2, 1.97),
              (20, 3, 2.09), (10, 1, 1.81), (10, 2, 2.08), (10, 3, 2.21)]


@pytest.mark.parametrize(("freedom", "looks", "wanted"), WORKED_OUT)
def test_multipliers_are_those_worked_out_independently(freedom, looks, wanted):
    assert release_multiplier(looks, freedom) == pytest.approx(wanted, abs=0.01)


@pytest.mark.parametrize("freedom", [1, 1.5, 2, 5, 10, 30, 1000, math.inf])
@pytest.mark.parametrize("risk", [0.001, 0.05, 0.3])
def test_one_look_takes_the_quantile_of_student_t(freedom, risk):
    wanted = stats.t.isf(risk, freedom) if math.isfinite(freedom) else stats.norm.isf(risk)
    assert release_multiplier(1, freedom, risk=risk) == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("looks", [2, 3, 5])
def test_many_duplicates_come_to_a_known_spread(looks):
    assert release_multiplier(looks, 1e5) == pytest.approx(release_multiplier(looks), abs=1e-4)
    assert release_multiplier(looks, 1e7) == pytest.approx(release_multiplier(looks), abs=1e-6)


def test_two_looks_agree_with_the_bivariate_normal():
    """Released at the first look, or held between and released by the mean of both."""
    k = release_multiplier(2)
    both = stats.multivariate_normal([0, 0], [[1, math.sqrt(0.5)], [math.sqrt(0.5), 1]])
    second = both.cdf([0.0, -k]) - both.cdf([-k, -k])
    assert stats.norm.cdf(-k) + second == pytest.approx(0.05, abs=1e-5)


@pytest.mark.parametrize("freedom", [1, 3, 10, math.inf])
@pytest.mark.parametrize("looks", [2, 4])
def test_multiplier_agrees_with_a_plain_simulation(looks, freedom):
    rng, many, k = np.random.default_rng(11), 400_000, release_multiplier(looks, freedom)
    scale = np.ones(many) if math.isinf(freedom) else np.sqrt(rng.chisquare(freedom, many) / freedom)
    total, waiting, released = np.zeros(many), np.ones(many, dtype=bool), 0
    for look in range(1, looks + 1):
        total += rng.normal(size=many)
        passes = waiting & (total / look <= -k * scale / math.sqrt(look))
        released += passes.sum()
        waiting &= ~passes & (total <= 0.0)
    assert released / many == pytest.approx(0.05, abs=3 * math.sqrt(0.05 * 0.95 / many))


def test_reusing_the_guard_of_one_look_spends_more_than_5_pct():
    assert [round(100 * false_release(1.6449, looks), 1) for looks in (1, 2, 3, 5)] == [5.0, 7.9, 9.6, 11.6]


@pytest.mark.parametrize(("looks", "freedom", "risk"),
                         list(itertools.product([1, 2, 5], [1, 7, math.inf], [1e-6, 0.01, 0.45])))
def test_risk_comes_back_from_its_multiplier(looks, freedom, risk):
    assert false_release(release_multiplier(looks, freedom, risk=risk), looks,
                         degrees_of_freedom=freedom) == pytest.approx(risk, rel=1e-4)


def test_an_even_chance_needs_no_guard():
    assert release_multiplier(1, risk=0.5) == release_multiplier(3, risk=0.5) == 0.0


def test_cleaning_to_a_third_is_often_not_enough_and_to_a_fifth_is():
    half, third, fifth = first_time_share([1 / 2, 1 / 3, 1 / 5], spread_log10=0.205)
    assert half < 0.4 < third < 0.7 < 0.9 < fifth


@pytest.mark.parametrize(("spread", "swabs", "wanted"), [
    (0.10, 1, [0.91, 1.00, 1.00]), (0.17, 1, [0.55, 0.88, 0.99]), (0.205, 1, [0.43, 0.75, 0.96]),
    (0.30, 1, [0.26, 0.48, 0.75]), (0.17, 2, [0.81, 0.99, 1.00]), (0.205, 2, [0.67, 0.95, 1.00]),
    (0.30, 2, [0.41, 0.73, 0.95])])
def test_first_time_shares_of_one_look_agree_with_the_closed_form(spread, swabs, wanted):
    shares = first_time_share([1 / 2, 1 / 3, 1 / 5], spread_log10=spread, looks=1, swabs=swabs)
    assert shares == pytest.approx(wanted, abs=0.0051)


@pytest.mark.parametrize("freedom", [3, 12])
def test_estimated_spread_makes_the_share_a_noncentral_t(freedom):
    drift = math.log10(1 / 3) / 0.2
    wanted = stats.nct.cdf(-release_multiplier(1, freedom), freedom, drift)
    found = first_time_share(1 / 3, spread_log10=0.2, degrees_of_freedom=freedom, looks=1)
    assert float(found) == pytest.approx(wanted, abs=1e-6)


def test_looks_add_up():
    each = share_at_each_look([0.2, 0.5, 1.0], spread_log10=0.205, looks=3)
    assert each.shape == (3, 3)
    assert within_looks_share([0.2, 0.5, 1.0], spread_log10=0.205, looks=3) == pytest.approx(each.sum(axis=0))
    assert each[0] == pytest.approx(first_time_share([0.2, 0.5, 1.0], spread_log10=0.205, looks=3))


def test_far_from_the_limit_all_or_nothing_is_released():
    assert within_looks_share([1e-6, 1e6], spread_log10=0.205, looks=5).tolist() == pytest.approx([1.0, 0.0], abs=1e-9)


@pytest.mark.parametrize("wrong", [
    {"looks": 0}, {"looks": 6}, {"looks": 2.5}, {"looks": True}, {"looks": 2, "degrees_of_freedom": 0.5},
    {"looks": 2, "degrees_of_freedom": math.nan}, {"looks": 2, "risk": 0.0}, {"looks": 2, "risk": 0.51},
    {"looks": 2, "risk": math.nan}])
def test_what_no_plan_can_hold_is_refused(wrong):
    with pytest.raises(OutOfRange) as refused:
        release_multiplier(**wrong)
    assert refused.value.field == list(wrong)[-1]
