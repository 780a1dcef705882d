"""A thousand survivor curves fitted with profile intervals, against least squares in a loop; report only."""

from __future__ import annotations

import numpy as np
from measuring import Result, compare
from scipy.optimize import least_squares

from tersum.lethality.survivor_fit import fits
from tersum.lethality.survivor_models import Model, model
from tersum.lethality.survivor_search import Points

NAME = "1,000 survivor fits with intervals"
GOAL = "none: reported beside scipy.optimize, which gives no profile interval; no worse a fit is asserted"
MANY = 1_000
SPREAD_LOG10 = 0.2
TIMES = np.repeat([0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0], 2)
TRUTHS = {  # as the models are searched: rates and times by their natural logarithm
    "weibull": np.array([7.5, np.log(4.0), np.log(1.4)]),
    "geeraerd": np.array([7.5, np.log(1.3), 4.0, 1.9]),
}
SLACK = 1e-3  # of the sum of squares: how far ours may lie above the reference, that starts at the truth


def measure() -> list[Result]:
    """Fit simulated sets of thirty points by two of the curves."""
    return [_measured(name, truth) for name, truth in TRUTHS.items()]


def _measured(name: str, truth: np.ndarray) -> Result:
    of, rng = model(name), np.random.default_rng(12)
    logs = of.curve(TIMES, truth[None, :]) + rng.normal(0.0, SPREAD_LOG10, (MANY, TIMES.size))
    points = Points(TIMES, logs, np.zeros(logs.shape, bool))
    ours = ((of.curve(TIMES, fits(points, name).place.free) - logs) ** 2).sum(axis=1)
    theirs = np.array([2.0 * least.cost for least in _looped(of, logs, truth)])
    if (worse := int((ours > theirs * (1.0 + SLACK)).sum())):
        raise AssertionError(f"{worse} of {MANY} fits of {name} lie further from their points than the reference's")
    return compare(f"1,000 sets of 30 points, {name}, with intervals", lambda: fits(points, name),
                   lambda: _looped(of, logs, truth), reference_name="scipy least_squares in a loop, no intervals",
                   goal_ratio=None, runs=3)


def _looped(of: Model, logs: np.ndarray, truth: np.ndarray) -> list:
    return [least_squares(lambda free, one=one: of.curve(TIMES, free[None, :])[0] - one, truth) for one in logs]
