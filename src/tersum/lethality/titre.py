"""Virus titres from wells that show an effect or none: Spearman-Kaerber with its error, Reed-Muench beside it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array, real, row, together, wholes
from tersum.errors import N_, OutOfRange, TersumError
from tersum.lethality.count_scatter import zero_upper

N, N_MINUS_1 = "n", "n-minus-1"
VARIANCES = (N, N_MINUS_1)
NORMAL_95 = 1.959963984540054
# Infectious units per TCID50: at the 50 % point of a Poisson law, and for a Spearman-Kaerber titre.
UNITS_PER_TCID50 = math.log(2.0)
UNITS_PER_SPEARMAN_TCID50 = math.exp(-0.5772156649015329)

FIRST_ASSUMED = "next-stronger-dilution-assumed-all-positive"
LAST_ASSUMED = "next-weaker-dilution-assumed-all-negative"
NOT_FALLING = "shares-do-not-fall"
NO_HALF = "no-half-way-point"


@dataclass(frozen=True)
class Wells:
    """Wells of a titration, strongest dilution first: log10 of each dilution (such as -1), wells with effect, wells."""

    log10_dilution: Array
    positive: Array
    total: Array
    inoculum_ml: float

    @property
    def shares(self) -> Array:
        """Share of wells with effect."""
        return np.asarray(self.positive / self.total)

    @property
    def step(self) -> float:
        """Step between dilutions, log10."""
        return float(self.log10_dilution[0] - self.log10_dilution[1])


@dataclass(frozen=True)
class Titre:
    """A titre per mL, log10 TCID50, with its operator.

    ``operator`` is ``=``, ``<`` (fewer than half of the wells everywhere) or ``>`` (more than half everywhere).
    ``se_log10`` is the standard error, ``low_log10`` and ``high_log10`` the ends at 95 %; NaN for a bound and where the
    method has none. ``flags`` name what was assumed.
    """

    log10_per_ml: float
    operator: str
    se_log10: float
    low_log10: float
    high_log10: float
    endpoint_log10: float
    method: str
    flags: tuple[str, ...]

    @property
    def per_ml(self) -> float:
        """TCID50 per mL."""
        return math.pow(10.0, self.log10_per_ml)

    @property
    def low_per_ml(self) -> float:
        """Lower end at 95 %, TCID50 per mL; NaN where there is none."""
        return math.pow(10.0, self.low_log10)

    @property
    def high_per_ml(self) -> float:
        """Upper end at 95 %, TCID50 per mL; NaN where there is none."""
        return math.pow(10.0, self.high_log10)


def wells(log10_dilution: ArrayLike, positive: ArrayLike, total: ArrayLike, *, inoculum_ml: float) -> Wells:
    """Return the wells of a titration, checked.

    Parameters
    ----------
    log10_dilution : array_like, shape (k,)
        Log10 of each dilution, 0 or less, two or more, evenly spaced, in any order.
    positive, total : array_like, shape (k,)
        Wells with effect, and wells, at each: whole numbers, positive not above total, total 1 or more.
    inoculum_ml : float
        Put into each well, mL, above 0.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above; all at once.
    """
    faults: list[TersumError] = []
    logs, seen, of = _rows(log10_dilution, positive, total, faults)
    try:
        volume = real("inoculum_ml", inoculum_ml, above=0.0)
    except TersumError as fault:
        faults.append(fault)
    together(faults)
    order = np.argsort(-logs)
    logs, seen, of = logs[order], seen[order], of[order]
    steps = -np.diff(logs)
    if np.any(seen > of):
        faults.append(OutOfRange("positive", float(seen[seen > of][0]), N_("no more than there are wells")))
    if not np.all(steps > 0.0) or not np.allclose(steps, steps[0], rtol=1e-6):
        faults.append(OutOfRange("log10_dilution", str(logs.tolist()), N_("different dilutions, evenly spaced")))
    if logs[0] > 0.0:
        faults.append(OutOfRange("log10_dilution", float(logs[0]), N_("0 or less: -1 for one in ten")))
    together(faults)
    return Wells(logs, seen, of, volume)


def spearman_kaerber(wells: Wells, *, variance: str = N_MINUS_1) -> Titre:
    """Return the titre by Spearman and Kaerber.

    Parameters
    ----------
    wells : Wells
        From :func:`wells`.
    variance : {"n-minus-1", "n"}
        Of each share, p(1-p)/(n-1), which is unbiased, or p(1-p)/n, which many published intervals use.

    Returns
    -------
    Titre
        A bound where the share with effect is below a half everywhere, or above it everywhere: there is no point where
        half of them show one. Where only an end is missing the next dilution is taken as all positive, or all negative,
        and flagged.

    Raises
    ------
    OutOfRange
        For another variance; for one well a dilution with ``n-minus-1``, which has none.

    Source
    ------
    Log10 dilution of the end point = x0 + d/2 - d sum p, from the last all-positive dilution x0 on; SE = d sqrt(sum of
    the variances). Lei et al. 2021, tables 1 and 2 (read), reproduce with ``n``. Holds for shares that fall through the
    whole range.

    Examples
    --------
    >>> found = spearman_kaerber(wells([-5, -6, -7, -8], [5, 3, 1, 0], [5, 5, 5, 5], inoculum_ml=0.1), variance="n")
    >>> round(found.endpoint_log10, 3), round(found.log10_per_ml, 3), round(found.se_log10, 3)
    (-6.3, 7.3, 0.283)
    """
    if variance not in VARIANCES:
        raise OutOfRange("variance", variance, "{names}", names=", ".join(VARIANCES))
    shares = wells.shares
    if shares.max() < 0.5:
        return _bound(wells, "<", shares)
    if shares.min() > 0.5:
        return _bound(wells, ">", shares)
    full = np.flatnonzero(np.cumprod(shares == 1.0))
    flags = _flags(shares)
    if full.size:
        start = int(full[-1])
        endpoint = wells.log10_dilution[start] + wells.step / 2.0 - wells.step * shares[start:].sum()
    else:  # as if the next stronger dilution were all positive
        start = 0
        endpoint = wells.log10_dilution[0] + wells.step * 1.5 - wells.step * (1.0 + shares.sum())
    part = slice(start, None)
    fewer = 1.0 if variance == N_MINUS_1 else 0.0
    mixed = (shares[part] > 0.0) & (shares[part] < 1.0)
    if fewer and np.any(wells.total[part][mixed] < 2.0):
        raise OutOfRange("total", 1, N_("two wells or more at each dilution, or the variance over n"))
    spread = np.where(mixed, shares[part] * (1.0 - shares[part]) / np.maximum(wells.total[part] - fewer, 1.0), 0.0)
    se = wells.step * math.sqrt(float(spread.sum()))
    log10 = float(-endpoint) - math.log10(wells.inoculum_ml)
    return Titre(log10, "=", se, log10 - NORMAL_95 * se, log10 + NORMAL_95 * se, float(endpoint), "spearman-kaerber",
                 flags)


def reed_muench(wells: Wells) -> Titre:
    """Return the titre by Reed and Muench, for comparison only: it has no valid standard error.

    Raises
    ------
    OutOfRange
        Where the cumulated shares do not pass through 50 %.

    Source
    ------
    Reed & Muench 1938: wells with effect cumulated towards the stronger dilutions, those without towards the weaker,
    and a straight line through 50 %. Lei et al. 2021, table 2, case 1 (read).

    Examples
    --------
    >>> found = reed_muench(wells([-5, -6, -7, -8], [5, 3, 1, 0], [5, 5, 5, 5], inoculum_ml=0.1))
    >>> round(found.per_ml / 1e7, 2)
    2.08
    """
    with_effect = np.cumsum(wells.positive[::-1])[::-1]
    without = np.cumsum(wells.total - wells.positive)
    shares = with_effect / (with_effect + without)
    above = np.flatnonzero(shares >= 0.5)
    if not above.size or above[-1] == shares.size - 1 or wells.shares.max() < 0.5 or wells.shares.min() > 0.5:
        raise OutOfRange("positive", str([int(one) for one in wells.positive]),
                         N_("shares that pass from above 50 % to below it"))
    last = int(above[-1])
    part = (shares[last] - 0.5) / (shares[last] - shares[last + 1])
    endpoint = float(wells.log10_dilution[last] - part * wells.step)
    log10 = -endpoint - math.log10(wells.inoculum_ml)
    return Titre(log10, "=", math.nan, math.nan, math.nan, endpoint, "reed-muench", _flags(wells.shares))


def units_per_ml(tcid50_per_ml: float, *, per_tcid50: float = UNITS_PER_SPEARMAN_TCID50) -> float:
    """Return about how many infectious units per mL a titre stands for.

    Parameters
    ----------
    tcid50_per_ml : float
        0 or more.
    per_tcid50 : float
        ``UNITS_PER_SPEARMAN_TCID50`` (0.56) for a Spearman-Kaerber titre, ``UNITS_PER_TCID50`` (ln 2) for the dose at
        which half of the wells show an effect.

    Source
    ------
    Poisson law; Wulff et al. 2012, abstract, for the smaller factor. Plaques of one assay need not equal them.

    Examples
    --------
    >>> round(units_per_ml(1e6)), round(units_per_ml(1e6, per_tcid50=UNITS_PER_TCID50))
    (561459, 693147)
    """
    return real("tcid50_per_ml", tcid50_per_ml, at_least=0.0) * real("per_tcid50", per_tcid50, above=0.0)


def no_effect_upper(well_count: int, *, inoculum_ml: float, dilution: float = 1.0, confidence: float = 0.95) -> float:
    """Return the upper limit of infectious units per mL where no well of one dilution showed an effect.

    Parameters
    ----------
    well_count : int
        Wells, 1 or more.
    inoculum_ml : float
        Put into each, mL, above 0.
    dilution : float
        Of what was put in, above 0 and up to 1.

    Source
    ------
    Poisson: -ln(1 - confidence) over the volume looked at. Why more volume makes a lower limit.

    Examples
    --------
    >>> round(no_effect_upper(8, inoculum_ml=0.1, dilution=0.1), 1)
    37.4
    """
    volume = float(wholes("well_count", well_count, at_least=1)) * real("inoculum_ml", inoculum_ml, above=0.0)
    return zero_upper(confidence) / (volume * real("dilution", dilution, above=0.0, at_most=1.0))


def _rows(log10_dilution: ArrayLike, positive: ArrayLike, total: ArrayLike,
          faults: list[TersumError]) -> tuple[Array, Array, Array]:
    found = []
    for field, values, least in (("log10_dilution", log10_dilution, None), ("positive", positive, 0),
                                 ("total", total, 1)):
        try:
            array = row(field, values, count=2) if least is None else row(field, wholes(field, values, at_least=least),
                                                                        count=2)
            found.append(array)
        except TersumError as fault:
            faults.append(fault)
    together(faults)
    if len({one.size for one in found}) != 1:
        raise OutOfRange("positive", found[1].size, N_("one for each dilution ({count})"), count=found[0].size)
    return found[0], found[1], found[2]


def _flags(shares: Array) -> tuple[str, ...]:
    flags = []
    if shares[0] < 1.0:
        flags.append(FIRST_ASSUMED)
    if shares[-1] > 0.0:
        flags.append(LAST_ASSUMED)
    if np.any(np.diff(shares) > 0.0):
        flags.append(NOT_FALLING)
    return tuple(flags)


def _bound(wells: Wells, operator: str, shares: Array) -> Titre:
    """Return the bound of a titration in which the share never passes a half: it lies beyond one end of the series.

    Without any effect at all, or with effect everywhere, the bound is half a step further out, where the method would
    put it if the next dilution turned.
    """
    whole = not shares.any() or bool((shares == 1.0).all())
    beyond = wells.step / 2.0 if whole else 0.0
    endpoint = float(wells.log10_dilution[0] + beyond if operator == "<" else wells.log10_dilution[-1] - beyond)
    flags = () if whole else (NO_HALF,)
    return Titre(-endpoint - math.log10(wells.inoculum_ml), operator, math.nan, math.nan, math.nan, endpoint,
                 "spearman-kaerber", flags)
