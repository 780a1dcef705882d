"""Intervals of fitted survivor curves hold the truth as often as they say, or the program calls them unreliable."""

import os

import numpy as np
import pytest

from lethality.survivor_truths import TIMES, TRUTHS, simulated
from tersum.lethality.survivor_fit import fits, single
from tersum.lethality.survivor_models import MODELS, model
from tersum.lethality.survivor_time import times_to_logs

SETS = 200
MANY = 2000
# 0.95 less and more three standard errors of a share of 200; of 2,000 the band that is promised.
BAND, NARROW_BAND = (0.90, 0.99), (0.93, 0.97)
EVERY = pytest.mark.parametrize("name", sorted(MODELS))


def covered(name, sets, record_property, *, limit=None):
    of, truth = model(name), np.array(TRUTHS[name])
    points = simulated(name, sets, seed=4, limit=limit)
    found = fits(points, name)
    told = of.told(truth)
    shares = dict(zip(of.parameters, ((found.low <= told) & (told <= found.high)).mean(axis=0).round(4), strict=True))
    true_time = float(np.exp(of.to_time(truth[None, :], 3.0)[0, of.scale]))
    _, low, high = times_to_logs(found, 3.0)
    shares["time to 3 log"] = ((low <= true_time) & (true_time <= high)).mean().round(4)
    for parameter, share in shares.items():
        record_property(f"coverage {name}: {parameter}", float(share))
    print(name, {key: float(share) for key, share in shares.items()})
    return shares


@EVERY
def test_intervals_hold_the_truth_where_the_design_shows_every_phase(name, record_property):
    shares = covered(name, SETS, record_property)
    assert all(BAND[0] <= share <= BAND[1] for share in shares.values()), shares


@pytest.mark.parametrize("name", ["log-linear", "weibull", "geeraerd-no-tail"])
def test_intervals_hold_the_truth_where_a_third_of_the_points_are_bounds(name, record_property):
    shares = covered(name, SETS, record_property, limit=3.2)
    assert all(BAND[0] <= share <= BAND[1] for share in shares.values()), shares


@EVERY
@pytest.mark.slow
@pytest.mark.skipif(os.environ.get("TERSUM_TEST_PROFILE") != "soak", reason="2,000 sets a model: run by make soak")
def test_intervals_hold_the_truth_in_the_promised_band(name, record_property):
    shares = covered(name, MANY, record_property)
    assert all(NARROW_BAND[0] <= share <= NARROW_BAND[1] for share in shares.values()), shares


@pytest.mark.parametrize(("name", "parameter", "times"), [
    ("geeraerd", "log10_nres", np.repeat(np.arange(0.0, 10.0), 2)),
    ("weibull-tail", "log10_nres", np.repeat(np.arange(0.0, 8.0), 2)),
    ("biphasic", "log10_hardy_over_rest", np.repeat(np.arange(0.0, 5.0), 4)),
    ("biphasic", "k_slow", np.repeat(np.arange(0.0, 5.0), 4)),
    ("biphasic", "k_fast", np.repeat(np.arange(0.0, 5.0), 4)),
    ("geeraerd-no-tail", "shoulder", np.repeat([0.0, 9.0, 11.0, 13.0, 15.0, 17.0, 19.0], 3)[2:]),
])
def test_parameter_that_a_design_does_not_show_is_called_unreliable(name, parameter, times, record_property):
    """A tail that was never reached, a shoulder between the first two times."""
    found = fits(simulated(name, 100, seed=5, times=times), name)
    place = model(name).parameters.index(parameter)
    called = np.mean([bool(single(found, one).estimates[place].why_not) for one in range(100)])
    record_property(f"called unreliable {name}: {parameter}", float(called))
    assert called >= 0.95


def test_design_that_shows_every_phase_is_not_called_unreliable():
    for name in MODELS:
        found = fits(simulated(name, 20, seed=6), name)
        sure = np.mean([[not one.why_not for one in single(found, place).estimates] for place in range(20)])
        assert sure >= 0.95, name
    assert TIMES.size == 30
