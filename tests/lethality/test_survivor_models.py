"""Survivor curves: they start at N0, fall, end in their tail, and give the time to a reduction back."""

import numpy as np
import pytest

from lethality.survivor_truths import TRUTHS
from tersum.errors import UnknownName
from tersum.lethality.survivor_models import MODELS, model

EVERY = pytest.mark.parametrize("name", sorted(MODELS))


@EVERY
def test_curve_starts_at_n0_and_never_rises(name):
    curve = model(name).curve(np.linspace(0.0, 60.0, 200), np.array([TRUTHS[name]]))[0]
    assert curve[0] == pytest.approx(7.5) and (np.diff(curve) <= 1e-12).all()


@EVERY
@pytest.mark.parametrize("logs", [0.5, 1.0, 3.0, 5.0])
def test_time_to_a_reduction_lies_on_the_curve_and_back(name, logs):
    free = np.array([TRUTHS[name]])
    timed = model(name).to_time(free, logs)
    time = np.exp(timed[:, model(name).scale])
    assert model(name).curve(time, free)[0, 0] == pytest.approx(7.5 - logs, abs=1e-9)
    assert model(name).from_time(timed, logs) == pytest.approx(free, abs=1e-9)


@pytest.mark.parametrize(("name", "end"), [("weibull-tail", 2.2), ("geeraerd", 1.9)])
def test_tail_is_where_the_curve_ends_and_nothing_below_it_is_reached(name, end):
    free = np.array([TRUTHS[name]])
    assert model(name).curve(np.array([1e4]), free)[0, 0] == pytest.approx(end)
    with np.errstate(invalid="ignore", divide="ignore"):
        assert np.isnan(model(name).to_time(free, 7.5 - end + 0.01)[0, 1])


def test_models_meet_where_one_is_a_case_of_another():
    time = np.linspace(0.0, 20.0, 50)
    line = model("log-linear").curve(time, np.array([[7.5, np.log(3.0)]]))
    assert model("weibull").curve(time, np.array([[7.5, np.log(3.0), 0.0]])) == pytest.approx(line)
    rate = np.log(np.log(10.0) / 3.0)
    assert model("geeraerd-no-tail").curve(time, np.array([[7.5, rate, 0.0]])) == pytest.approx(line)
    assert model("geeraerd").curve(time, np.array([[7.5, rate, 0.0, -90.0]])) == pytest.approx(line)
    assert model("biphasic").curve(time, np.array([[7.5, -90.0, -3.0, rate]])) == pytest.approx(line)


def test_hardy_part_is_the_slower_one_whatever_a_search_called_it():
    free = np.array([[7.5, -3.3, np.log(0.12), np.log(1.6)]])
    swapped = np.array([[7.5, 3.3, np.log(1.6), np.log(0.12)]])
    of = model("biphasic")
    assert of.tidied(swapped) == pytest.approx(free) and of.tidied(free) == pytest.approx(free)
    assert of.curve(np.linspace(0, 20, 9), swapped) == pytest.approx(of.curve(np.linspace(0, 20, 9), free))


def test_unknown_model_is_refused():
    with pytest.raises(UnknownName, match="weibull"):
        model("weibul")
