"""Several comparisons at once: Dunnett for treatments against one control, Holm for any set."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtri, gammaln, ndtr

from tersum.arguments import Array, probability, real, reals, sample, whole
from tersum.errors import N_, OutOfRange
from tersum.evidence.search import root

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(128)
_REACH = 8.5


def holm(p: ArrayLike) -> Array:
    """Return p-values adjusted for their number, step by step.

    Parameters
    ----------
    p : array_like, shape (n,)
        One a comparison, 0 to 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Holm 1979, Scand. J. Statist. 6:65 (adjusted values read in several test suites). Holds whatever ties the
    comparisons to each other.

    Examples
    --------
    >>> holm([0.01, 0.04, 0.03, 0.005]).tolist()
    [0.03, 0.06, 0.06, 0.02]
    """
    found = sample("p", reals("p", p, at_least=0.0, at_most=1.0), count=1)
    order = np.argsort(found, kind="stable")
    stepped = np.maximum.accumulate((found.size - np.arange(found.size)) * found[order])
    adjusted = np.empty_like(found)
    adjusted[order] = np.minimum(stepped, 1.0)
    return adjusted


def dunnett_p(t: ArrayLike, degrees_of_freedom: float, *, loads: ArrayLike | None = None) -> Array:
    """Return two-sided p-values of treatments against one control, adjusted for their number.

    Parameters
    ----------
    t : array_like, shape (treatments,)
        Difference to the control over its standard error.
    degrees_of_freedom : float
        Behind the common spread, above 0; infinity where it is known.
    loads : array_like or None
        How strongly each difference leans on the control: ``sqrt(n / (n + n_control))``, at least 0 and below 1; their
        products are the correlations. None: equal numbers, correlation one half.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Dunnett 1955, J. Am. Statist. Assoc. 50:1096 (p-values read in a test suite). The control is declared beforehand.

    Examples
    --------
    >>> dunnett_p([2.38, 0.5], 20.0).round(2).tolist()
    [0.05, 0.84]
    """
    statistics = sample("t", t, count=1)
    shared = _loads(loads, statistics.size)
    freedom = real("degrees_of_freedom", degrees_of_freedom, above=0.0, infinite=True)
    return np.array([1.0 - _all_within(abs(one), shared, freedom, two_sided=True) for one in statistics])


def dunnett_factor(treatments: int, degrees_of_freedom: float, *, loads: ArrayLike | None = None,
                   coverage: float = 0.95, one_sided: bool = False) -> float:
    """Return how many standard errors hold all differences to a control together.

    Parameters
    ----------
    treatments : int
        Compared with the control, 1 or more.
    degrees_of_freedom, loads
        As for :func:`dunnett_p`.
    coverage : float
        Of all together, above 0 and below 1.
    one_sided : bool
        True for bounds on one side.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Dunnett 1964, Biometrics 20:482 (two-sided row read in a copy of the table that calls it one-sided; one-sided row
    known from memory; values computed).

    Examples
    --------
    >>> [round(dunnett_factor(k, 20.0), 2) for k in (1, 2, 3)]
    [2.09, 2.38, 2.54]
    """
    many = whole("treatments", treatments, at_least=1)
    shared = _loads(loads, many)
    freedom = real("degrees_of_freedom", degrees_of_freedom, above=0.0, infinite=True)
    wanted = probability("coverage", coverage)
    return root(lambda c: _all_within(c, shared, freedom, two_sided=not one_sided) - wanted, 2.0, 1.0)


def _loads(loads: ArrayLike | None, size: int) -> Array:
    if loads is None:
        return np.full(size, math.sqrt(0.5))
    found = reals("loads", loads, at_least=0.0, below=1.0)
    if found.shape != (size,):
        raise OutOfRange("loads", found.size, N_("one a treatment ({n})"), n=size)
    return found


def _all_within(level: float, loads: Array, freedom: float, *, two_sided: bool) -> float:
    """Return the chance that all differences stay within a level, by quadrature over the control and the spread."""
    shared = _REACH * _NODES
    weights = _WEIGHTS * _REACH * np.exp(-0.5 * shared * shared) / math.sqrt(2.0 * math.pi)
    scales, masses = _scales(freedom)
    own = np.sqrt(1.0 - loads * loads)
    lean = loads[:, None] * shared
    total = np.zeros_like(scales)
    for place, scale in enumerate(scales):
        inside = ndtr((level * scale + lean) / own[:, None])
        if two_sided:
            inside = inside - ndtr((lean - level * scale) / own[:, None])
        total[place] = weights @ inside.prod(axis=0)
    return float(masses @ total)


def _scales(freedom: float) -> tuple[Array, Array]:
    """Return values of an estimated spread over the true one, and their probability masses."""
    if math.isinf(freedom):
        return np.ones(1), np.ones(1)
    low, high = (math.sqrt(float(chdtri(freedom, tail)) / freedom) for tail in (1.0 - 1e-13, 1e-13))
    scale = low + (high - low) * (_NODES + 1.0) / 2.0
    log_density = (math.log(2.0) + freedom / 2.0 * math.log(freedom / 2.0) - float(gammaln(freedom / 2.0))
                   + (freedom - 1.0) * np.log(scale) - freedom * scale * scale / 2.0)
    return scale, np.asarray(_WEIGHTS * (high - low) / 2.0 * np.exp(log_density))
