"""Known survivor curves to simulate from, and a design of times that shows all their phases."""

import numpy as np

from tersum.lethality.survivor_models import model
from tersum.lethality.survivor_search import Points

TIMES = np.repeat([0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0], 2)
SPREAD = 0.2
TRUTHS = {
    "log-linear": [7.5, np.log(3.2)],
    "weibull": [7.5, np.log(4.0), np.log(1.4)],
    "weibull-tail": [7.5, np.log(3.0), np.log(1.5), 2.2],
    "biphasic": [7.5, -3.3, np.log(0.12), np.log(1.6)],
    "geeraerd": [7.5, np.log(1.3), 4.0, 1.9],
    "geeraerd-no-tail": [7.5, np.log(0.9), 4.0],
}


def simulated(name, sets, *, seed, times=TIMES, spread=SPREAD, limit=None):
    """Return data sets about a known curve; those below ``limit`` are bounds at it."""
    logs = model(name).curve(times, np.array([TRUTHS[name]])) + np.random.default_rng(seed).normal(
        0.0, spread, (sets, times.size))
    below = np.zeros(logs.shape, bool) if limit is None else logs < limit
    return Points(times, np.where(below, -np.inf if limit is None else limit, logs), below)
