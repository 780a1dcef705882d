"""Use-by times: conservative, never longer than the label, and honest where the series says nothing."""

import numpy as np
import pytest

from tersum.chemistry.decay import decay, time_to_floor_h
from tersum.chemistry.use_by import conservative_h, fading, use_by, use_by_of_rate
from tersum.errors import Faults, OutOfRange

AGES = np.array([0.0, 24.0, 48.0, 72.0, 96.0, 120.0])
RATE = 0.004


def seen(rng, rate=RATE, relative=0.02):
    return 1000.0 * np.exp(-rate * AGES) * (1.0 + relative * rng.standard_normal(len(AGES)))


def test_use_by_lies_before_the_middle_estimate():
    by = use_by(decay(AGES, seen(np.random.default_rng(1))), floor_mg_l=700.0)
    assert by.basis == "computed" and 0.0 < by.hours < by.central_h


def test_use_by_is_early_enough_in_95_of_100_series():
    """At the use-by time the true strength is still at the floor or above it."""
    rng, early, rounds = np.random.default_rng(21), 0, 1000
    true_h = time_to_floor_h(1000.0, 700.0, RATE)
    for _ in range(rounds):
        early += use_by(decay(AGES, seen(rng)), floor_mg_l=700.0).hours <= true_h
    assert early / rounds >= 0.95


def test_label_life_wins_where_it_is_shorter_and_never_gets_longer():
    found = decay(AGES, seen(np.random.default_rng(1)))
    free = use_by(found, floor_mg_l=700.0)
    assert use_by(found, floor_mg_l=700.0, label_life_h=24.0).hours == 24.0
    long = use_by(found, floor_mg_l=700.0, label_life_h=10 * free.hours)
    assert long.hours == free.hours and long.basis == "computed"


def test_earlier_of_two_orders_counts_where_both_fit():
    found = decay(AGES, seen(np.random.default_rng(3), relative=0.04))
    assert found.prefers == "both-fit"
    by = use_by(found, floor_mg_l=700.0)
    assert by.hours == pytest.approx(min(conservative_h(fit, floor_mg_l=700.0) for fit in found.kept))


def test_series_that_cannot_tell_gives_no_more_than_it_saw():
    by = use_by(decay(AGES, seen(np.random.default_rng(4), rate=0.0)), floor_mg_l=700.0)
    assert by.basis == "lower-bound-only" and by.hours <= AGES[-1]
    assert {"little-loss", "no-loss-shown"} <= {flag.code for flag in by.flags}


def test_three_points_give_a_lower_bound():
    by = use_by(decay([0.0, 24.0, 48.0], [1000.0, 905.0, 822.0]), floor_mg_l=500.0)
    assert by.basis == "lower-bound-only" and by.hours <= 48.0 and "few-points" in [flag.code for flag in by.flags]


def test_solution_that_starts_below_the_floor_has_no_life():
    by = use_by(decay(AGES, seen(np.random.default_rng(1))), floor_mg_l=1000.0)
    assert (by.hours, by.basis) == (0.0, "below-floor-at-start")


def test_use_by_beyond_the_series_is_flagged():
    by = use_by(decay(AGES, seen(np.random.default_rng(1))), floor_mg_l=300.0)
    assert by.hours > AGES[-1] and by.flags[-1].code == "beyond-the-series"


def test_chart_holds_the_fit_its_band_and_the_use_by():
    strengths = seen(np.random.default_rng(1))
    found = decay(AGES, strengths)
    by = use_by(found, floor_mg_l=700.0)
    drawn = fading(found, by, floor_mg_l=700.0, measured_age_h=tuple(AGES), measured_mg_l=tuple(strengths))
    assert drawn.age_h[0] == 0.0 and drawn.age_h[-1] > max(AGES[-1], by.hours)
    assert np.all(drawn.low_mg_l <= drawn.strength_mg_l) and np.all(drawn.strength_mg_l <= drawn.high_mg_l)
    assert np.all(np.diff(drawn.strength_mg_l) < 0.0) and drawn.use_by_h == by.hours


def test_chart_of_second_order_keeps_its_band_around_it():
    strengths = 1.0 / (1e-3 + 4e-5 * AGES)
    found = decay(AGES, strengths * np.array([1.01, 0.99, 1.01, 0.99, 1.01, 0.99]))
    assert found.prefers == "2"
    drawn = fading(found, use_by(found, floor_mg_l=300.0), floor_mg_l=300.0, measured_age_h=(), measured_mg_l=())
    assert np.all(drawn.low_mg_l <= drawn.strength_mg_l) and np.all(drawn.strength_mg_l <= drawn.high_mg_l)


def test_rate_with_its_uncertainty_gives_a_middle_and_an_early_time():
    assert use_by_of_rate(1.2, 1.0, 0.01, u_rate=0.002) == (pytest.approx(18.23, abs=0.005),
                                                            pytest.approx(13.72, abs=0.005))


def test_floor_and_label_life_are_checked_together():
    found = decay(AGES, seen(np.random.default_rng(1)))
    with pytest.raises(Faults) as told:
        use_by(found, floor_mg_l=0.0, label_life_h=-1.0)
    assert [fault.field for fault in told.value.faults] == ["floor_mg_l", "label_life_h"]
    with pytest.raises(OutOfRange):
        fading(found, use_by(found, floor_mg_l=700.0), floor_mg_l=700.0, measured_age_h=(), measured_mg_l=(), points=1)
