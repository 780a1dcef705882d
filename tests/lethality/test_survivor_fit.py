"""Fits of survivor curves: scipy is the referee, bounds are bounds, what is undecided is said."""

import math

import numpy as np
import pytest
from scipy.optimize import least_squares, minimize
from scipy.stats import norm

from lethality.survivor_truths import SPREAD, TIMES, TRUTHS, simulated
from tersum.errors import OutOfRange, UnknownName
from tersum.lethality.survivor_chart import survivor_chart
from tersum.lethality.survivor_choice import compared
from tersum.lethality.survivor_fit import fits, survivor_fit
from tersum.lethality.survivor_models import MODELS, model
from tersum.lethality.survivor_time import time_to_logs, times_to_logs

EVERY = pytest.mark.parametrize("name", sorted(MODELS))


@EVERY
def test_least_squares_of_scipy_finds_nothing_better(name):
    points = simulated(name, 8, seed=21)
    found = fits(points, name)
    for place, logs in enumerate(points.logs):
        other = least_squares(lambda free, logs=logs: logs - model(name).curve(TIMES, free[None, :])[0], TRUTHS[name],
                              x_scale="jac", xtol=1e-12, ftol=1e-12)
        ours = ((logs - model(name).curve(TIMES, found.place.free[place:place + 1])[0]) ** 2).sum()
        assert ours <= 2.0 * other.cost * (1.0 + 1e-6)


@pytest.mark.parametrize("name", ["log-linear", "weibull", "geeraerd-no-tail"])
def test_likelihood_with_bounds_agrees_with_scipy(name):
    points = simulated(name, 3, seed=22, limit=3.0)
    assert points.below.any(axis=1).all()
    found = fits(points, name)
    for place in range(3):
        logs, below = points.logs[place], points.below[place]

        def loss(at, logs=logs, below=below):
            z = (logs - model(name).curve(TIMES, at[None, :-1])[0]) / math.exp(at[-1])
            return -np.where(below, norm.logcdf(z), norm.logpdf(z) - at[-1]).sum()

        other = minimize(loss, [*TRUTHS[name], math.log(SPREAD)], method="Nelder-Mead",
                         options={"xatol": 1e-8, "fatol": 1e-10, "maxiter": 20000})
        ours = loss(np.append(found.place.free[place], found.place.ln_spread[place]))
        assert ours <= other.fun + 1e-6


def test_bounds_are_neither_left_out_nor_taken_for_counts():
    """Points below the limit say that the fall went on: both shortcuts make it look slower than it was."""
    points = simulated("log-linear", 60, seed=23, limit=3.0)
    honest = np.median(fits(points, "log-linear").values[:, 1])
    as_counts = [survivor_fit(points.time, logs, model="log-linear")["d"].value for logs in points.logs[:20]]
    assert honest == pytest.approx(3.2, abs=0.05) and np.median(as_counts) > 3.5


def test_straight_line_has_the_intervals_of_regression():
    points = simulated("log-linear", 1, seed=24)
    found = survivor_fit(points.time, points.logs[0], model="log-linear")
    slope, (low, high) = np.polyfit(points.time, points.logs[0], 1)[0], (found["d"].low, found["d"].high)
    across = points.time - points.time.mean()
    spread = math.sqrt(((points.logs[0] - found.log10_n(points.time)) ** 2).sum() / 28)
    reach = 2.048407 * spread / math.sqrt((across**2).sum())  # Student's t, 28 degrees of freedom
    assert (-1 / low, -1 / high) == pytest.approx((slope - reach, slope + reach), rel=2e-3)
    assert found.spread_log10 == pytest.approx(spread, rel=1e-3)


def test_tail_without_two_points_on_it_is_undecided_and_says_so():
    points = simulated("geeraerd", 1, seed=25, times=np.arange(0.0, 11.0))
    found = survivor_fit(points.time, points.logs[0], model="geeraerd")
    assert "tail-undecided" in found.flags and "tail-undecided" in found["log10_nres"].why_not


def test_bounds_at_the_limit_are_no_tail():
    points = simulated("geeraerd-no-tail", 1, seed=26, limit=2.5)
    found = survivor_fit(points.time, points.logs[0], model="geeraerd", below=points.below[0])
    assert "tail-undecided" in found.flags and found["log10_nres"].why_not


def test_shoulder_before_the_second_point_is_undecided():
    points = simulated("geeraerd-no-tail", 1, seed=27, times=np.array([0.0, 8, 10, 12, 14, 16, 18, 20]))
    found = survivor_fit(points.time, points.logs[0], model="geeraerd-no-tail")
    assert "shoulder-undecided" in found["shoulder"].why_not


def test_replicates_at_one_time_show_no_phase():
    """Six plates at the end and six at the start, none between: their number is no proof that anything stays."""
    points = simulated("geeraerd", 1, seed=36, times=np.array([0.0] * 6 + [6, 7, 8, 9] + [20.0] * 6))
    found = survivor_fit(points.time, points.logs[0], model="geeraerd")
    assert {"tail-undecided", "shoulder-undecided"} <= set(found.flags)


def test_line_read_as_two_populations_gives_no_rate_of_a_hardy_one():
    """The rate of the one population is tightly known, but nothing says that it is the rate of survivors."""
    points = simulated("log-linear", 1, seed=37)
    found = survivor_fit(points.time, points.logs[0], model="biphasic")
    assert all("phases-undecided" in found[name].why_not for name in ("log10_hardy_over_rest", "k_slow", "k_fast"))


def test_few_points_are_said():
    found = survivor_fit([0, 2, 4, 6], [7.0, 6.0, 5.1, 3.9], model="log-linear")
    assert "few-points" in found.flags and all("few-points" in one.why_not for one in found.estimates)


def test_parameter_that_the_data_do_not_bound_has_an_open_end():
    points = simulated("log-linear", 1, seed=28)
    found = survivor_fit(points.time, points.logs[0], model="geeraerd")
    assert "open-interval" in found["log10_nres"].why_not and math.isinf(found["log10_nres"].low)


def test_nothing_is_extrapolated_past_the_reduction_observed():
    points = simulated("log-linear", 1, seed=29)
    found = survivor_fit(points.time, points.logs[0], model="log-linear")
    assert time_to_logs(found, 7.4).why_not == ("beyond-the-data",)
    three = time_to_logs(found, 3.0)
    one = found["d"]  # on a straight line three logs take three times as long as one, interval and all
    assert (three.low, three.time, three.high) == pytest.approx((3 * one.low, 3 * one.value, 3 * one.high), rel=2e-3)
    assert three.low < 9.6 < three.high


def test_reduction_below_the_tail_is_never_reached():
    points = simulated("geeraerd", 1, seed=30)
    found = survivor_fit(points.time, points.logs[0], model="geeraerd")
    lowest = float(found.free[0] - points.logs.min())
    assert time_to_logs(found, lowest - 1e-6).why_not == ("never-reached",)


def test_models_that_tie_show_the_more_cautious_one():
    """Of twenty straight lines some are drawn as well by a curve; what is shown is then the longest of the times."""
    cautious = []
    for logs in simulated("log-linear", 20, seed=31).logs:
        found = compared(TIMES, logs, models=("log-linear", "weibull", "geeraerd-no-tail"), logs=3.0)
        times = {one.model: time_to_logs(one, 3.0).time for one in found.fits if one.model in found.tied}
        assert found.shown.model in found.tied and times[found.shown.model] == max(times.values())
        cautious.append(found.shown.model != found.fits[0].model)
    assert any(cautious) and not all(cautious)  # the best is not always the cautious one: both were seen


def test_left_out_tail_turns_the_shape_round():
    """A Weibull without its tail reads a shoulder as a tail: p falls from above 1 to below."""
    points = simulated("weibull-tail", 1, seed=32)
    with_tail, without = (survivor_fit(points.time, points.logs[0], model=name) for name in ("weibull-tail", "weibull"))
    assert with_tail["p"].value > 1.0 > without["p"].value and with_tail.aicc < without.aicc - 10.0


def test_order_of_the_points_does_not_matter():
    points = simulated("weibull", 1, seed=33)
    order = np.random.default_rng(1).permutation(TIMES.size)
    a = survivor_fit(points.time, points.logs[0], model="weibull")
    b = survivor_fit(points.time[order], points.logs[0][order], model="weibull")
    assert [one.value for one in a.estimates] == pytest.approx([one.value for one in b.estimates], rel=1e-5)


def test_chart_shows_points_bounds_and_a_band_about_the_curve():
    points = simulated("weibull", 1, seed=34, limit=3.0)
    found = survivor_fit(points.time, points.logs[0], model="weibull", below=points.below[0])
    drawn = survivor_chart(found)
    assert drawn.point_time.size + drawn.bound_time.size == TIMES.size and drawn.bound_time.size > 0
    assert (drawn.low < drawn.log10_n).all() and (drawn.log10_n < drawn.high).all()
    assert drawn.time[-1] == points.time.max()


def test_band_of_a_straight_line_is_that_of_regression():
    """Five points by hand: slope -0.5, SSE 0.028, Student's t of 3 degrees of freedom 3.182."""
    drawn = survivor_chart(survivor_fit([0, 2, 4, 6, 8], [7.0, 6.1, 5.0, 3.9, 3.1], model="log-linear"), places=3)
    spread = math.sqrt(0.028 / 3)
    by_hand = [2.0 * 3.18245 * spread * math.sqrt(0.2 + across**2 / 40.0) for across in (-4.0, 0.0, 4.0)]
    assert drawn.high - drawn.low == pytest.approx(by_hand, rel=1e-3)


@pytest.mark.parametrize(("time", "logs", "below", "told"), [
    ([0, 1], [7.0], None, "one for each time"), ([0, 1], [7.0, 6.0], None, "3 points or more"),
    ([-1, 1, 2], [7.0, 6.0, 5.0], None, "time"), ([0, 1, 2], [7.0, math.nan, 5.0], None, "log10_n"),
    ([0, 1, 2], [1e7, 1e6, 1e5], None, "not the count itself"),
    ([0, 1, 2], [7.0, 6.0, 5.0], [0, 1, 1], "true or false"),
    ([0, 1, 2], [7.0, 6.0, 5.0], [False, True, True], "two countable"),
    ([1, 1, 1], [7.0, 6.0, 5.0], None, "at different times"), ([0, 1, 2], [7.0, 6.0, 5.0], [True], "one for each time"),
])
def test_what_is_no_data_set_is_refused(time, logs, below, told):
    with pytest.raises(OutOfRange, match=told):
        survivor_fit(time, logs, model="log-linear", below=below)


def test_unknown_model_and_reduction_that_is_none_are_refused():
    with pytest.raises(UnknownName, match="weibull"):
        survivor_fit([0, 1, 2], [7.0, 6.0, 5.0], model="line")
    found = survivor_fit([0, 1, 2, 3, 4], [7.0, 6.1, 5.0, 4.1, 3.0], model="log-linear")
    for wrong in (0.0, -1.0, math.nan, True):
        with pytest.raises(OutOfRange, match="log10"):
            time_to_logs(found, wrong)


def test_time_to_logs_of_many_sets_is_that_of_each():
    points = simulated("geeraerd", 5, seed=35)
    many = fits(points, "geeraerd")
    times, low, high = times_to_logs(many, 3.0)
    alone = time_to_logs(survivor_fit(points.time, points.logs[2], model="geeraerd"), 3.0)
    assert (times[2], low[2], high[2]) == pytest.approx((alone.time, alone.low, alone.high), rel=1e-2)
