"""Chemical left on a surface upsets the light: how much of a spike is read, what that does, and what to do about it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array, real, reals, sample
from tersum.errors import N_, OutOfRange

AS_READ, CORRECT, NOT_COUNTED = "as-read", "correct-or-rinse", "not-counted"
REPEATS = 6


@dataclass(frozen=True)
class Recovery:
    """Share of a spike that is read, with its standard uncertainty."""

    share: float
    uncertainty: float

    @property
    def relative_uncertainty(self) -> float:
        return self.uncertainty / self.share

    @property
    def log10_bias(self) -> float:
        """What an uncorrected reading is off by: negative reads too clean."""
        return math.log10(self.share)


@dataclass(frozen=True)
class Corrected:
    """A net reading over the recovery, RLU, with its relative standard uncertainty."""

    net_rlu: float
    relative_uncertainty: float


@dataclass(frozen=True)
class Policy:
    """Shares between which a reading is used as read, and beyond which it is not counted.

    The bounds are common practice, no source: settings, to be agreed.
    """

    as_read: tuple[float, float] = (0.7, 1.3)
    counted: tuple[float, float] = (0.3, 1.5)

    def __post_init__(self) -> None:
        if not 0.0 < self.counted[0] <= self.as_read[0] < 1.0 < self.as_read[1] <= self.counted[1]:
            raise OutOfRange("policy", self.as_read, N_("bounds about 1, those for counting the wider"))

    def verdict(self, share: float) -> str:
        """Return what a recovery means for a reading: as read, correct or rinse, not counted.

        Examples
        --------
        >>> [Policy().verdict(share) for share in (0.9, 0.5, 0.2, 1.6)]
        ['as-read', 'correct-or-rinse', 'not-counted', 'not-counted']
        """
        real("share", share, at_least=0.0)
        if self.as_read[0] <= share <= self.as_read[1]:
            return AS_READ
        return CORRECT if self.counted[0] <= share <= self.counted[1] else NOT_COUNTED


def recovery(unspiked_rlu: float, spiked_rlu: float, spike_rlu: float, *, unspiked_rel: float = 0.0,
             spiked_rel: float = 0.0, spike_rel: float = 0.0) -> Recovery:
    """Return the share of a spike that is read on a used swab.

    Parameters
    ----------
    unspiked_rlu, spiked_rlu : float
        Net readings without and with the spike, RLU; the second above the first.
    spike_rlu : float
        The same spike on a clean swab, RLU, above 0.
    unspiked_rel, spiked_rel, spike_rel : float
        Relative standard uncertainty of each, 0 or more.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    ``(spiked - unspiked) / spike``: Thompson, Ellison, Fajgelj, Willetts & Wood 1999, Pure Appl. Chem. 71:337
    (known from memory); uncertainty by GUM clause 5. The spike goes on the swab after use, never on
    a customer's surface, and is three to ten times the reading; a smaller one is lost in the difference of two
    readings.

    Examples
    --------
    >>> found = recovery(80, 580, 1000, unspiked_rel=0.2, spiked_rel=0.2, spike_rel=0.1)
    >>> found.share, round(found.relative_uncertainty, 2)
    (0.5, 0.25)
    """
    low, high = real("unspiked_rlu", unspiked_rlu, at_least=0.0), real("spiked_rlu", spiked_rlu, above=0.0)
    clean = real("spike_rlu", spike_rlu, above=0.0)
    if high <= low:
        raise OutOfRange("spiked_rlu", high, N_("above the reading without the spike ({low:g}): nothing of it was "
                                                "read"), low=low)
    shares = [real(name, value, at_least=0.0) for name, value in
              (("unspiked_rel", unspiked_rel), ("spiked_rel", spiked_rel), ("spike_rel", spike_rel))]
    share = (high - low) / clean
    relative = math.hypot(math.hypot(low * shares[0], high * shares[1]) / (high - low), shares[2])
    return Recovery(share, share * relative)


def mean_recovery(shares: ArrayLike) -> Recovery:
    """Return the recovery of one chemistry on one surface with one instrument, from repeats.

    Parameters
    ----------
    shares : array_like, shape (n,)
        One a repeat, above 0; six or more. A single spike at a visit is a check and corrects nothing.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Geometric mean with the standard error of the logs. Six: common practice, no source.

    Examples
    --------
    >>> found = mean_recovery([0.5, 0.6, 0.45, 0.55, 0.5, 0.48])
    >>> round(found.share, 2), round(found.uncertainty, 3)
    (0.51, 0.021)
    """
    logs = np.log(sample("shares", shares, count=REPEATS, above=0.0))
    share = math.exp(float(logs.mean()))
    return Recovery(share, share * float(logs.std(ddof=1)) / math.sqrt(logs.size))


def corrected(net_rlu: float, known: Recovery, *, net_rel: float) -> Corrected:
    """Return a net reading over its recovery.

    Parameters
    ----------
    net_rlu : float
        Net reading, RLU, 0 or more.
    known : Recovery
        Of the chemistry, surface and instrument in question; before and after each have their own.
    net_rel : float
        Relative standard uncertainty of the reading, 0 or more.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    GUM clause 5 on a quotient. Rinsing, drying and swabbing anew is better than any correction.

    Examples
    --------
    >>> corrected(80, Recovery(0.5, 0.125), net_rel=0.2)
    Corrected(net_rlu=160.0, relative_uncertainty=0.32015621187164245)
    """
    net = real("net_rlu", net_rlu, at_least=0.0)
    own = real("net_rel", net_rel, at_least=0.0)
    return Corrected(net / real("share", known.share, above=0.0), math.hypot(own, known.relative_uncertainty))


def recovery_ratio(share: float, other_share: float) -> tuple[float, float]:
    """Return how many times as much one surface gives up as another, and the log10 bias of the other.

    Examples
    --------
    >>> [round(value, 3) for value in recovery_ratio(48.1, 9.8)]
    [4.908, -0.691]
    """
    ratio = real("share", share, above=0.0) / real("other_share", other_share, above=0.0)
    return ratio, -math.log10(ratio)


def method_spread(between: ArrayLike, within: ArrayLike) -> Array:
    """Return the spread of a method over all laboratories (or people) from that between and that within them.

    Examples
    --------
    >>> method_spread([110.0, 0.0], [460.0, 82.0]).round(0).tolist()
    [473.0, 82.0]
    """
    return np.hypot(reals("between", between, at_least=0.0), reals("within", within, at_least=0.0))
