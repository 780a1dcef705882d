"""Decay of a stored solution: fits, intervals, and series that cannot tell."""

import math

import numpy as np
import pytest

from tersum.chemistry.decay import decay, half_life_h, time_to_floor_h
from tersum.errors import Faults, OutOfRange

AGES = np.array([0.0, 12.0, 24.0, 48.0, 72.0, 96.0])


def truth(order, ages, *, rate, start=1000.0):
    return start * np.exp(-rate * ages) if order == 1 else 1.0 / (1.0 / start + rate * ages)


def series(rng, order, ages, *, rate, relative=0.02):
    return truth(order, ages, rate=rate) * (1.0 + relative * rng.standard_normal(len(ages)))


@pytest.mark.parametrize(("order", "rate"), [(1, 0.008), (2, 1.2e-5)])
def test_exact_series_gives_back_its_rate_and_order(order, rate):
    found = decay(AGES, truth(order, AGES, rate=rate))
    fit, = found.kept
    assert fit.order == order and fit.rate == pytest.approx(rate) and fit.start_mg_l == pytest.approx(1000.0)
    assert fit.strength_mg_l(AGES) == pytest.approx(truth(order, AGES, rate=rate))


def test_strength_halves_each_half_life():
    fit = decay(AGES, truth(1, AGES, rate=0.01)).first
    half = half_life_h(0.01)
    assert fit.strength_mg_l([0.0, half, 2.0 * half]) == pytest.approx([1000.0, 500.0, 250.0])


# Points, loss over the series and scatter: from the smallest series that counts as identified to a comfortable one.
SCENES = [(1, 4, 0.012, 0.02), (1, 6, 0.006, 0.03), (1, 10, 0.01, 0.05), (2, 4, 2e-5, 0.02), (2, 8, 1e-5, 0.03)]


@pytest.mark.parametrize(("order", "points", "rate", "relative"), SCENES)
def test_interval_of_a_fitted_rate_covers_the_truth_93_to_97_times_in_100(order, points, rate, relative):
    rng, ages = np.random.default_rng(order * 100 + points), np.linspace(0.0, 96.0, points)
    rounds, covered, identified = 3000, 0, 0
    for _ in range(rounds):
        found = decay(ages, series(rng, order, ages, rate=rate, relative=relative))
        fit = found.first if order == 1 else found.second
        if fit.identified:
            identified += 1
            covered += fit.low_rate <= rate <= fit.high_rate
    assert identified / rounds > 0.9
    assert 0.93 <= covered / identified <= 0.97


def test_absolute_uncertainties_weigh_the_points_and_keep_the_coverage():
    rng, ages, rate = np.random.default_rng(8), np.linspace(0.0, 96.0, 8), 0.012
    rounds, covered = 3000, 0
    for _ in range(rounds):
        seen = truth(1, ages, rate=rate) + 15.0 * rng.standard_normal(len(ages))
        fit = decay(ages, seen, u_mg_l=15.0).first
        covered += fit.low_rate <= rate <= fit.high_rate
    assert 0.93 <= covered / rounds <= 0.97


@pytest.mark.parametrize(("rate", "relative", "why"), [(0.0005, 0.03, "little-loss"), (0.0, 0.03, "no-loss-shown")])
def test_series_without_a_clear_loss_says_that_it_cannot_tell(rate, relative, why):
    rng, told = np.random.default_rng(6), 0
    for _ in range(300):
        fit = decay(AGES, series(rng, 1, AGES, rate=rate, relative=relative)).first
        told += not fit.identified and why in fit.why_not
    assert told / 300 > 0.95


def test_three_points_are_fitted_and_said_to_be_few():
    fit = decay([0, 24, 48], [1000, 800, 650]).first
    assert fit.why_not == ("few-points",) and not fit.identified


def test_orders_that_the_data_do_not_part_both_stand():
    rng = np.random.default_rng(3)
    found = decay(AGES, series(rng, 1, AGES, rate=0.004, relative=0.03))
    assert found.prefers == "both-fit" and [fit.order for fit in found.kept] == [1, 2]


@pytest.mark.parametrize(("order", "rate"), [(1, 0.03), (2, 6e-5)])
def test_deep_series_parts_the_orders(order, rate):
    rng, right, wrong = np.random.default_rng(order), 0, 0
    for _ in range(200):
        prefers = decay(AGES, series(rng, order, AGES, rate=rate, relative=0.03)).prefers
        right += prefers == str(order)
        wrong += prefers == str(3 - order)
    assert right > 190 and wrong == 0


def test_scatter_far_beyond_the_method_is_flagged():
    rng = np.random.default_rng(2)
    seen = series(rng, 1, AGES, rate=0.01, relative=0.10)
    assert [flag.code for flag in decay(AGES, seen, relative_u=0.01).flags] == ["scatter-beyond-method"]
    assert not decay(AGES, series(rng, 1, AGES, rate=0.01, relative=0.01), relative_u=0.01).flags


def test_order_of_the_points_changes_nothing():
    seen = series(np.random.default_rng(5), 1, AGES, rate=0.01)
    mixed = [3, 0, 5, 1, 4, 2]
    assert decay(AGES[mixed], seen[mixed]).first.rate == pytest.approx(decay(AGES, seen).first.rate, rel=1e-12)


def test_time_to_a_floor_by_both_orders():
    assert time_to_floor_h(1200.0, 1000.0, 0.01) == pytest.approx(18.23, abs=0.005)
    assert time_to_floor_h(1000.0, 500.0, 1e-5, order=2) == pytest.approx(100.0)
    assert time_to_floor_h(900.0, 1000.0, 0.01) == 0.0 and math.isinf(time_to_floor_h(1000.0, 900.0, 0.0))


# refusals

@pytest.mark.parametrize("points", [0, 1, 2])
def test_series_of_two_points_is_refused(points):
    with pytest.raises(OutOfRange, match="two lie on any line"):
        decay(AGES[:points], [1000.0, 900.0][:points])


def test_series_at_one_age_is_refused():
    with pytest.raises(OutOfRange, match="two different ages"):
        decay([5.0, 5.0, 5.0], [1000.0, 990.0, 1010.0])


def test_ages_and_strengths_must_pair():
    with pytest.raises(OutOfRange, match="as many strengths as ages"):
        decay([0.0, 1.0, 2.0], [1000.0, 900.0])


def test_all_faults_of_a_series_are_told_at_once():
    with pytest.raises(Faults) as told:
        decay([0.0, -1.0, 2.0], [1000.0, 0.0, math.nan], relative_u=2.0, u_mg_l=[1.0, 2.0])
    assert [fault.field for fault in told.value.faults] == ["point 2: age_h", "point 2: strength_mg_l",
                                                            "point 3: strength_mg_l", "relative_u", "u_mg_l"]


def test_floor_and_order_outside_their_range_are_refused():
    with pytest.raises(Faults):
        time_to_floor_h(0.0, -1.0, 0.01, order=3)
    with pytest.raises(OutOfRange):
        half_life_h(0.0)
