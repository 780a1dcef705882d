"""Survivor curves: log10 of what is left against time, by the usual models, for many parameter sets at once."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from tersum.arguments import Array
from tersum.errors import UnknownName

LN10 = math.log(10.0)
_NEWTON_STEPS = 12
_BEYOND = 100.0  # ln of a rate or a time: a search that ran out here found no end, only the end of the numbers


@dataclass(frozen=True)
class Model:
    """One model.

    ``parameters`` are the names as they are reported. ``curve(time, free)`` gives log10 N, shape (sets, times), from
    the free parameters that are searched, shape (sets, parameters). ``logged`` are the places whose free parameter is
    the natural log of the reported one. ``starts(time, log10_n)`` gives places to begin a search from, shape
    (starts, parameters). ``to_time`` turns free parameters into ones that hold ln of the time to a log10 reduction in
    the place ``scale``, NaN where the curve never gets there; ``from_time`` turns them back. ``tail`` and ``shoulder``
    are the places of those parameters, None where the model has none. ``tidied`` gives each parameter its own place
    where a search may have swapped them.
    """

    name: str
    parameters: tuple[str, ...]
    curve: Callable[[Array, Array], Array]
    starts: Callable[[Array, Array], Array]
    to_time: Callable[[Array, float], Array]
    from_time: Callable[[Array, float], Array]
    logged: tuple[int, ...]
    scale: int = 1
    tail: int | None = None
    shoulder: int | None = None
    tidied: Callable[[Array], Array] = np.copy

    def told(self, free: Array) -> Array:
        """Return the parameters as they are reported, place by place."""
        found = np.array(free, dtype=float)
        ln = found[..., self.logged]
        with np.errstate(over="ignore"):
            found[..., self.logged] = np.where(ln > _BEYOND, np.inf, np.where(ln < -_BEYOND, 0.0, np.exp(ln)))
        return found


def model(name: str) -> Model:
    """Return a model by name.

    Examples
    --------
    >>> model("weibull").parameters
    ('log10_n0', 'delta', 'p')
    """
    if name not in MODELS:
        raise UnknownName("model", name, tuple(MODELS))
    return MODELS[name]


def _put(free: Array, place: int, values: Array) -> Array:
    found = free.copy()
    found[:, place] = values
    return found


# --- straight line ------------------------------------------------------------------------------------------------


def _line(time: Array, free: Array) -> Array:
    return np.asarray(free[:, :1] - time / np.exp(free[:, 1:2]))


def _line_starts(time: Array, logs: Array) -> Array:
    return np.array([[_start(logs), math.log(_per_log(time, logs))]])


def _line_to(free: Array, logs: float) -> Array:
    return _put(free, 1, free[:, 1] + math.log(logs))


def _line_from(free: Array, logs: float) -> Array:
    return _put(free, 1, free[:, 1] - math.log(logs))


# --- Weibull ------------------------------------------------------------------------------------------------------


def _weibull(time: Array, free: Array) -> Array:
    return np.asarray(free[:, :1] - _power(time, free))


def _power(time: Array, free: Array) -> Array:
    """Return (t/delta)^p, 0 at time 0 whatever p is."""
    with np.errstate(divide="ignore", over="ignore"):
        exponent = np.exp(free[:, 2:3]) * (np.log(time) - free[:, 1:2])
        return np.asarray(np.exp(np.minimum(exponent, 50.0)))


def _weibull_starts(time: Array, logs: Array) -> Array:
    per_log = _per_log(time, logs)
    return np.array([[_start(logs), math.log(per_log * factor), math.log(p)]
                     for factor, p in ((1.0, 1.0), (2.0, 2.0), (0.5, 0.6), (3.0, 3.5))])


def _weibull_to(free: Array, logs: float) -> Array:
    return _put(free, 1, free[:, 1] + math.log(logs) / np.exp(free[:, 2]))


def _weibull_from(free: Array, logs: float) -> Array:
    return _put(free, 1, free[:, 1] - math.log(logs) / np.exp(free[:, 2]))


# --- Weibull with a tail ------------------------------------------------------------------------------------------


def _tailed(log_n0: Array, log_nres: Array, ln_left: Array) -> Array:
    """Return log10 of N0 S + Nres (1 - S) from ln S."""
    with np.errstate(divide="ignore"):
        gone = np.log(-np.expm1(np.minimum(ln_left, 0.0)))
    return np.asarray(np.logaddexp(LN10 * log_n0 + ln_left, LN10 * log_nres + gone) / LN10)


def _weibull_tail(time: Array, free: Array) -> Array:
    return _tailed(free[:, :1], free[:, 3:4], -LN10 * _power(time, free))


def _weibull_tail_starts(time: Array, logs: Array) -> Array:
    return np.hstack([_weibull_starts(time, logs), np.full((4, 1), float(logs.min()) - 0.05)])


def _share_left(free: Array, logs: float, tail: int | None) -> Array:
    """Return what the falling part has to come down to for a reduction of all; NaN where the tail stands above it."""
    if tail is None:
        return np.full(len(free), math.pow(10.0, -logs))
    rest = 10.0 ** np.minimum(free[:, tail] - free[:, 0], 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = (math.pow(10.0, -logs) - rest) / (1.0 - rest)
    return np.asarray(np.where(share > 0.0, share, np.nan))


def _weibull_tail_to(free: Array, logs: float) -> Array:
    falling = -np.log10(_share_left(free, logs, 3))
    return _put(free, 1, free[:, 1] + np.log(falling) / np.exp(free[:, 2]))


def _weibull_tail_from(free: Array, logs: float) -> Array:
    falling = -np.log10(_share_left(free, logs, 3))
    return _put(free, 1, free[:, 1] - np.log(falling) / np.exp(free[:, 2]))


# --- two populations ----------------------------------------------------------------------------------------------


def _biphasic(time: Array, free: Array) -> Array:
    """Free: log10 N0, log10 of the hardy part over the rest, ln k of the hardy part, ln k of the rest."""
    odds = LN10 * free[:, 1:2]
    hardy, rest = -np.logaddexp(0.0, -odds), -np.logaddexp(0.0, odds)
    both = np.logaddexp(rest - np.exp(free[:, 3:4]) * time, hardy - np.exp(free[:, 2:3]) * time)
    return np.asarray(free[:, :1] + both / LN10)


def _hardy_first(free: Array) -> Array:
    """Name the two populations by their rates: the hardy one is the slower."""
    turned = free[:, 2] > free[:, 3]
    found = free.copy()
    found[turned] = np.column_stack((free[turned, 0], -free[turned, 1], free[turned, 3], free[turned, 2]))
    return found


def _biphasic_starts(time: Array, logs: Array) -> Array:
    start, rate = _start(logs), LN10 / _per_log(time, logs)
    return np.array([[start, odds, math.log(rate * slow), math.log(rate * fast)]
                     for odds, slow, fast in ((-2.0, 0.3, 2.0), (-3.5, 0.2, 2.0), (-1.0, 0.5, 3.0))])


def _biphasic_reach(free: Array, logs: float) -> Array:
    """Return k of the hardy part times the time to a reduction.

    ln S is convex and falls: Newton from the left, where either part alone would be, comes up to the root from there.
    """
    ratio, odds, wanted = np.exp(free[:, 3] - free[:, 2]), LN10 * free[:, 1], LN10 * logs
    hardy, rest = -np.logaddexp(0.0, -odds), -np.logaddexp(0.0, odds)
    at = np.maximum(np.maximum(wanted + hardy, (wanted + rest) / ratio), 0.0)
    for _ in range(_NEWTON_STEPS):
        left = np.logaddexp(rest - ratio * at, hardy - at)
        share = np.exp(hardy - at - left)
        at = at + (left + wanted) / (share + ratio * (1.0 - share))
    return np.asarray(at)


def _biphasic_to(free: Array, logs: float) -> Array:
    """The last place becomes the log of the ratio of the two rates."""
    found = _put(free, 2, np.log(_biphasic_reach(free, logs)) - free[:, 2])
    return _put(found, 3, free[:, 3] - free[:, 2])


def _biphasic_from(free: Array, logs: float) -> Array:
    unit = _put(free, 2, np.zeros(len(free)))
    rate = np.log(_biphasic_reach(unit, logs)) - free[:, 2]
    return _put(_put(free, 2, rate), 3, free[:, 3] + rate)


# --- Geeraerd: shoulder, straight part, tail ----------------------------------------------------------------------


def _geeraerd(time: Array, free: Array) -> Array:
    return _tailed(free[:, :1], free[:, 3:4], _geeraerd_ln_left(time, free))


def _geeraerd_no_tail(time: Array, free: Array) -> Array:
    return np.asarray(free[:, :1] + _geeraerd_ln_left(time, free) / LN10)


def _geeraerd_ln_left(time: Array, free: Array) -> Array:
    """Return ln S of S = 1/(1 + e^(k(t - Sl)) (1 - e^(-kt))), from log10 N0, ln k and the shoulder Sl."""
    rate = np.exp(free[:, 1:2])
    with np.errstate(divide="ignore"):
        risen = rate * (time - free[:, 2:3]) + np.log(-np.expm1(-rate * time))
    return np.asarray(-np.logaddexp(0.0, risen))


def _geeraerd_no_tail_starts(time: Array, logs: Array) -> Array:
    start, per_log, span = _start(logs), _per_log(time, logs), float(np.ptp(time))
    return np.array([[start, math.log(LN10 / (per_log * steep)), shoulder * span]
                     for steep, shoulder in ((1.0, 0.02), (0.7, 0.2), (0.5, 0.4))])


def _geeraerd_starts(time: Array, logs: Array) -> Array:
    return np.hstack([_geeraerd_no_tail_starts(time, logs), np.full((3, 1), float(logs.min()) - 0.05)])


def _geeraerd_reach(free: Array, shoulder: Array, logs: float, tail: int | None) -> Array:
    """Return k times the time to a reduction, from k times the shoulder."""
    share = _share_left(free, logs, tail)
    return np.asarray(np.logaddexp(0.0, np.log((1.0 - share) / share) + shoulder))


def _geeraerd_to(tail: int | None) -> Callable[[Array, float], Array]:
    """The place of the shoulder becomes k times the shoulder, which scaling the time leaves alone."""
    def to(free: Array, logs: float) -> Array:
        shoulder = np.exp(free[:, 1]) * free[:, 2]
        ln_time = np.log(_geeraerd_reach(free, shoulder, logs, tail)) - free[:, 1]
        return _put(_put(free, 1, ln_time), 2, shoulder)
    return to


def _geeraerd_from(tail: int | None) -> Callable[[Array, float], Array]:
    def back(free: Array, logs: float) -> Array:
        rate = np.log(_geeraerd_reach(free, free[:, 2], logs, tail)) - free[:, 1]
        return _put(_put(free, 1, rate), 2, free[:, 2] / np.exp(rate))
    return back


# --- where to begin -----------------------------------------------------------------------------------------------


def _start(logs: Array) -> float:
    return float(logs[0]) if logs.size else 0.0


def _per_log(time: Array, logs: Array) -> float:
    """Return about how long one log takes over the whole series."""
    fallen = max(float(logs[0] - logs.min()), 0.1)
    place = int(np.argmax(logs <= logs.min() + 0.3))
    return max(float(time[place] - time[0]), float(np.ptp(time)) / 20.0, 1e-9) / fallen


MODELS: Mapping[str, Model] = MappingProxyType({one.name: one for one in (
    Model("log-linear", ("log10_n0", "d"), _line, _line_starts, _line_to, _line_from, (1,)),
    Model("weibull", ("log10_n0", "delta", "p"), _weibull, _weibull_starts, _weibull_to, _weibull_from, (1, 2)),
    Model("weibull-tail", ("log10_n0", "delta", "p", "log10_nres"), _weibull_tail, _weibull_tail_starts,
          _weibull_tail_to, _weibull_tail_from, (1, 2), tail=3),
    Model("biphasic", ("log10_n0", "log10_hardy_over_rest", "k_slow", "k_fast"), _biphasic, _biphasic_starts,
          _biphasic_to, _biphasic_from, (2, 3), scale=2, tidied=_hardy_first),
    Model("geeraerd", ("log10_n0", "k", "shoulder", "log10_nres"), _geeraerd, _geeraerd_starts, _geeraerd_to(3),
          _geeraerd_from(3), (1,), tail=3, shoulder=2),
    Model("geeraerd-no-tail", ("log10_n0", "k", "shoulder"), _geeraerd_no_tail, _geeraerd_no_tail_starts,
          _geeraerd_to(None), _geeraerd_from(None), (1,), shoulder=2),
)})
