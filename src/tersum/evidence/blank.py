"""The blank: the light of an unused swab, what it takes off a reading, and where a reading begins to mean something."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array, probability, real, reals, sample, whole
from tersum.errors import N_, OutOfRange
from tersum.evidence.coverage import coverage_factor


@dataclass(frozen=True)
class BlankLevels:
    """Levels of the net reading: above ``decision_rlu`` something was there; ``detection_rlu`` is found reliably."""

    decision_rlu: float
    detection_rlu: float


def blank_levels(spread_rlu: float, *, degrees_of_freedom: float = math.inf, n_blanks: int = 1,
                 confidence: float = 0.95) -> BlankLevels:
    """Return decision level and detection level of a net reading from the spread of the blanks.

    Parameters
    ----------
    spread_rlu : float
        Standard deviation of blanks of one lot, RLU, above 0.
    degrees_of_freedom : float
        Behind the spread, above 0; infinity where it is taken as known.
    n_blanks : int
        Blanks averaged before they are taken off, 1 or more.
    confidence : float
        One less the accepted share of blanks taken for residue, 0.5 to below 1.

    Returns
    -------
    BlankLevels
        ``detection_rlu`` is twice the decision level: residue of that size is missed as rarely as a blank is mistaken.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Currie 1968, Anal. Chem. 40:586 (known from memory, ISO 11843-1 likewise): ``1.645 s sqrt(1 + 1/n)``. Holds while
    residue near the level scatters as a blank does; where it scatters more, as swabs of real surfaces do, the detection
    level is too low.

    Examples
    --------
    >>> levels = blank_levels(2.0)
    >>> round(levels.decision_rlu, 2), round(levels.detection_rlu, 2)
    (4.65, 9.3)
    """
    spread = real("spread_rlu", spread_rlu, above=0.0)
    blanks = whole("n_blanks", n_blanks, at_least=1)
    factor = coverage_factor(real("confidence", confidence, at_least=0.5, below=1.0), degrees_of_freedom,
                             one_sided=True)
    decision = float(factor) * spread * math.sqrt(1.0 + 1.0 / blanks)
    return BlankLevels(decision, 2.0 * decision)


def levels_from_blanks(blanks_rlu: ArrayLike, *, confidence: float = 0.95) -> BlankLevels:
    """Return the levels from readings of unused swabs of one lot; the mean of these blanks is what is taken off.

    Parameters
    ----------
    blanks_rlu : array_like, shape (n,)
        Readings of unused swabs, RLU, 0 or more; three or more, not all equal.
    confidence : float
        As for :func:`blank_levels`.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above. Equal blanks say nothing of their spread: the display was
        too coarse.

    Source
    ------
    As :func:`blank_levels`, with Student's t for the few blanks.

    Examples
    --------
    >>> round(levels_from_blanks([2, 5, 3, 4, 6]).decision_rlu, 2)
    3.69
    """
    blanks = sample("blanks_rlu", reals("blanks_rlu", blanks_rlu, at_least=0.0), count=3)
    spread = float(np.std(blanks, ddof=1))
    if spread == 0.0:
        raise OutOfRange("blanks_rlu", float(blanks[0]), N_("blanks that are not all equal"))
    return blank_levels(spread, degrees_of_freedom=blanks.size - 1, n_blanks=int(blanks.size),
                        confidence=probability("confidence", confidence))


def net_bounds(low_rlu: ArrayLike, high_rlu: ArrayLike, blank_rlu: ArrayLike, *,
               decision_level_rlu: float | None = None) -> tuple[Array, Array]:
    """Return what the net reading lies between once the blank is taken off.

    Parameters
    ----------
    low_rlu, high_rlu : array_like
        Bounds of the gross reading, RLU: equal for a plain number, ``0`` and the level for "below", the top of the
        range and infinity for "over range". 0 or more, low not above high, high above 0 (a displayed 0 is the bounds 0
        and 1).
    blank_rlu : array_like
        The blank, or the mean of several, RLU, 0 or more.
    decision_level_rlu : float or None
        Net reading above which something was there, RLU above 0; None where it is not known.

    Returns
    -------
    low, high : ndarray
        Bounds of the net reading, RLU, as the rules take them. A net reading that is not above the decision level
        becomes "at most the decision level"; without one, a net reading that is not above 0 becomes "at most the gross
        reading, 1 RLU or more", since the blank can only have added light. A blank of half the gross reading or more
        leaves a difference that is mostly its own scatter: then too the residue is at most the gross reading.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Net signal of ISO 11843-1 (known from memory); a value that is not above its decision level is an inequality (Helsel
    2005, Nondetects and Data Analysis, known from memory), never 0 and never half the level.

    Examples
    --------
    >>> low, high = net_bounds([120, 12, 0], [120, 12, 10], 20)
    >>> low.tolist(), high.tolist()
    ([100.0, 0.0, 0.0], [100.0, 12.0, 10.0])
    >>> low, high = net_bounds([28, 25], [28, 25], [4, 20], decision_level_rlu=25.0)
    >>> low.tolist(), high.tolist()
    ([0.0, 0.0], [25.0, 25.0])
    >>> low, high = net_bounds(25, 25, 20)
    >>> low.item(), high.item()
    (5.0, 25.0)
    """
    low = reals("low_rlu", low_rlu, at_least=0.0)
    high = reals("high_rlu", high_rlu, above=0.0, infinite=True)
    low, high, blank = np.broadcast_arrays(low, high, reals("blank_rlu", blank_rlu, at_least=0.0))
    if np.any(low > high):
        raise OutOfRange("low_rlu", float(low[low > high].flat[0]), N_("not above the upper bound"))
    level = 0.0 if decision_level_rlu is None else real("decision_level_rlu", decision_level_rlu, above=0.0)
    measured = low == high
    net_low, net_high = np.maximum(low - blank, 0.0), high - blank
    mostly_blank = (blank > 0.0) & (2.0 * blank >= high)
    nothing_shown = net_high <= level
    ceiling = np.where(mostly_blank, np.maximum(np.maximum(high, 1.0), level), level or np.maximum(high, 1.0))
    # The lower end of a true interval that begins below the level says nothing; a measured number above it stays.
    net_low = np.where(nothing_shown | ((~measured | mostly_blank) & (net_low <= level)), 0.0, net_low)
    return net_low, np.where(nothing_shown | mostly_blank, ceiling, net_high)
