"""How many must be looked at before something may be said of all: sizes for a fleet, and for the list of one cabin."""

from __future__ import annotations

import math

from scipy.special import bdtr, betaln

from tersum.arguments import probability, real, whole
from tersum.errors import N_, OutOfRange
from tersum.evidence.search import smallest_fitting

_MOST = 10_000_000


def smallest_n_all_pass(coverage: float, confidence: float, *, failures_allowed: int = 0) -> int:
    """Return how many of very many must pass before a share of all may be claimed.

    Parameters
    ----------
    coverage : float
        Share of all such points that is to conform, above 0 and below 1.
    confidence : float
        Of the claim, above 0 and below 1.
    failures_allowed : int
        Failures among those looked at that still allow the claim, 0 or more; fixed beforehand.

    Returns
    -------
    int
        The smallest number: with as many, drawn at random and no more failures than allowed, the claim may be made.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above, or more than ten million would be needed.

    Source
    ------
    Wilks 1941, Ann. Math. Statist. 12:91 (known from memory; 59 for 95/95 seen in a secondary text), by the binomial
    distribution. A statement about a fleet: the ten points of one cabin can never carry it. Each swab counts as right;
    with swabs that err it is too hopeful, so a point passes only at its release level.

    Examples
    --------
    >>> smallest_n_all_pass(0.95, 0.95), smallest_n_all_pass(0.95, 0.95, failures_allowed=1)
    (59, 93)
    """
    failing = 1.0 - probability("coverage", coverage)
    missed = 1.0 - probability("confidence", confidence)
    allowed = whole("failures_allowed", failures_allowed)
    found = smallest_fitting(lambda n: bool(bdtr(allowed, n, failing) <= missed), low=allowed + 1, most=_MOST)
    if found is None:
        raise OutOfRange("coverage", coverage, N_("a share that {most} or fewer can show"), most=_MOST)
    return found


def detection_probability(points: int, failing: int, swabbed: int) -> float:
    """Return the chance that a draw without replacement meets at least one of the failing points.

    Parameters
    ----------
    points : int
        Points on the list, 1 or more.
    failing : int
        Of them failing, 0 to ``points``.
    swabbed : int
        Points drawn, 0 to ``points``.

    Raises
    ------
    OutOfRange
        If a number lies outside the range stated above.

    Source
    ------
    Hypergeometric distribution: ``1 - C(N-D, n) / C(N, n)``. Holds for a random draw and swabs that do not err.

    Examples
    --------
    >>> round(detection_probability(20, 3, 12), 3)
    0.951
    """
    total = whole("points", points, at_least=1)
    bad, drawn = whole("failing", failing), whole("swabbed", swabbed)
    for name, value in (("failing", bad), ("swabbed", drawn)):
        if value > total:
            raise OutOfRange(name, value, N_("no more than the points ({points})"), points=total)
    if drawn > total - bad:
        return 1.0
    return -math.expm1(_log_choose(total - bad, drawn) - _log_choose(total, drawn))


def smallest_n_to_detect(points: int, failing: int, *, confidence: float = 0.95) -> int:
    """Return how many of a finite list must be swabbed to meet at least one of ``failing`` points.

    Parameters
    ----------
    points : int
        Points on the list, 1 or more.
    failing : int
        How many failing points must not be missed, 1 to ``points``.
    confidence : float
        Chance of meeting one, above 0 and below 1.

    Returns
    -------
    int
        With so many swabbed and none failing, one may be ``confidence`` sure that fewer than ``failing`` points fail.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Hypergeometric search, as in ISPM 31 appendix 2 and Cannon & Roe 1982 (known from memory).

    Examples
    --------
    >>> [smallest_n_to_detect(20, failing) for failing in (1, 2, 3, 4, 5)]
    [19, 16, 12, 10, 9]
    """
    total, bad = whole("points", points, at_least=1), whole("failing", failing, at_least=1)
    if bad > total:
        raise OutOfRange("failing", bad, N_("no more than the points ({points})"), points=total)
    wanted = probability("confidence", confidence)
    # A hair below: 19 of 20 is exactly 0.95, which floating point may miss by its last bit.
    found = smallest_fitting(lambda n: detection_probability(total, bad, n) >= wanted - 1e-12, low=1, most=total)
    assert found is not None  # with every point swabbed none is missed
    return found


def smallest_n_for_share(points: int, failing_frac: float, *, confidence: float = 0.95) -> int:
    """Return how many of a finite list must be swabbed to meet at least one failing point, if a share of it fails.

    Parameters
    ----------
    points, confidence
        As for :func:`smallest_n_to_detect`.
    failing_frac : float
        Share of the list that fails, above 0, up to 1; a broken number of points counts as the next whole one.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    As for :func:`smallest_n_to_detect`.

    Examples
    --------
    >>> [smallest_n_for_share(100, share) for share in (0.1, 0.05, 0.02, 0.01)]
    [25, 45, 78, 95]
    """
    share = real("failing_frac", failing_frac, above=0.0, at_most=1.0)
    failing = math.ceil(share * whole("points", points, at_least=1) - 1e-9)
    return smallest_n_to_detect(points, failing, confidence=confidence)


def _log_choose(n: int, k: int) -> float:
    return float(-math.log(n + 1.0) - betaln(n - k + 1.0, k + 1.0))
