"""Dose and response as a teaching figure: how a reduction changes a probability along one route, never a risk."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import hyp1f1

from tersum.arguments import Array, real, reals
from tersum.catalogue import load
from tersum.errors import N_, OutOfRange, UnknownName

EXPONENTIAL = "exponential"
BETA_POISSON = "beta-poisson"
EXACT_BETA_POISSON = "exact-beta-poisson"

# Codes of the cautions that stand beside every figure.
CAUTIONS = ("dose-is-not-surface-density", "healthy-adults-or-animals-one-strain", "total-count-is-no-pathogen-count",
            "one-route-only")
APPROXIMATION_POOR = "approximation-poor"


@dataclass(frozen=True)
class DoseResponse:
    """One published curve: ``rate`` for the exponential, ``alpha`` and ``n50`` for the beta-Poisson, NaN otherwise."""

    name: str
    model: str
    rate: float
    alpha: float
    n50: float
    known: str
    source: str

    @property
    def beta(self) -> float:
        """Second parameter of the beta distribution, N50 / (2^(1/alpha) - 1)."""
        return self.n50 / math.expm1(math.log(2.0) / self.alpha)

    @property
    def half_dose(self) -> float:
        """Dose at which the curve passes a half."""
        return math.log(2.0) / self.rate if self.model == EXPONENTIAL else self.n50


@dataclass(frozen=True)
class RelativeChange:
    """Probability on a curve after a reduction over that before, for the same route; with the cautions to print."""

    ratio: Array
    cautions: tuple[str, ...]
    before: Array
    after: Array


def dose_response(name: str) -> DoseResponse:
    """Return a published curve by name.

    Examples
    --------
    >>> round(dose_response("SARS coronavirus, mice").half_dose)
    282
    """
    curves = load.table("dose_response")
    if name not in curves:
        raise UnknownName("curve", name, tuple(curves))
    one = curves[name]
    if "k" in one:
        return DoseResponse(name, EXPONENTIAL, one["k"].number, math.nan, math.nan, one["k"].known, one["k"].source)
    return DoseResponse(name, BETA_POISSON, math.nan, one["alpha"].number, one["n50"].number, one["n50"].known,
                        one["n50"].source)


def own_curve(*, rate: float | None = None, alpha: float | None = None, n50: float | None = None) -> DoseResponse:
    """Return a curve from parameters of one's own: exponential from ``rate``, beta-Poisson from ``alpha`` and ``n50``.

    Parameters
    ----------
    rate : float, optional
        Probability per organism taken in, 1e-15 to 1.
    alpha : float, optional
        Shape, 0.01 to 100.
    n50 : float, optional
        Dose of half, organisms, 0.1 to 1e15.

    Raises
    ------
    OutOfRange
        For a value out of its range, and for both kinds of parameters or half of one.

    Examples
    --------
    >>> own_curve(rate=0.01).model, round(own_curve(alpha=0.144, n50=890.0).beta, 2)
    ('exponential', 7.29)
    """
    if rate is not None and alpha is None and n50 is None:
        rate = real("rate", rate, at_least=1e-15, at_most=1.0)
        return DoseResponse("", EXPONENTIAL, rate, math.nan, math.nan, "", "")
    if rate is None and alpha is not None and n50 is not None:
        return DoseResponse("", BETA_POISSON, math.nan, real("alpha", alpha, at_least=0.01, at_most=100.0),
                            real("n50", n50, at_least=0.1, at_most=1e15), "", "")
    told = [name for name, one in (("rate", rate), ("alpha", alpha), ("n50", n50)) if one is not None]
    raise OutOfRange("curve", ", ".join(told) or "-", N_("a rate alone, or alpha with n50"))


def response(curve: DoseResponse, dose: ArrayLike, *, exact: bool = False) -> Array:
    """Return the probability of a response to a dose on a curve.

    Parameters
    ----------
    curve : DoseResponse
        From :func:`dose_response`, or one's own.
    dose : array_like
        Organisms taken in, 0 or more; no count per cm2.
    exact : bool
        For the beta-Poisson: the exact form by the confluent hypergeometric function.

    Source
    ------
    P = 1 - exp(-k d); P = 1 - [1 + d (2^(1/alpha) - 1)/N50]^(-alpha), an approximation that needs beta much above 1 and
    above alpha; exactly P = 1 - 1F1(alpha, alpha + beta, -d) (Furumoto & Mickey 1967: memory).

    Examples
    --------
    >>> response(dose_response("Campylobacter jejuni, human"), [10.0, 890.0]).round(3).tolist()
    [0.117, 0.5]
    """
    taken = reals("dose", dose, at_least=0.0)
    if curve.model == EXPONENTIAL:
        return np.asarray(-np.expm1(-real("rate", curve.rate, above=0.0) * taken))
    alpha, beta = real("alpha", curve.alpha, above=0.0), curve.beta
    if exact:
        return np.asarray(1.0 - hyp1f1(alpha, alpha + beta, -taken))
    return np.asarray(-np.expm1(-alpha * np.log1p(taken / beta)))


def relative_change(curve: DoseResponse, dose: ArrayLike, *, log10_reduction: float) -> RelativeChange:
    """Return by what factor the probability on a curve changes where the dose falls by a reduction.

    Parameters
    ----------
    curve, dose
        As for :func:`response`; dose 1e-6 to 1e15.
    log10_reduction : float
        0 to 15.

    Examples
    --------
    >>> found = relative_change(dose_response("adenovirus 4, human"), 10.0, log10_reduction=3.0)
    >>> round(found.ratio.item(), 4), "one-route-only" in found.cautions
    (0.0061, True)
    """
    taken = reals("dose", dose, at_least=1e-6, at_most=1e15)
    left = taken * math.pow(10.0, -real("log10_reduction", log10_reduction, at_least=0.0, at_most=15.0))
    before, after = response(curve, taken), response(curve, left)
    poor = curve.model == BETA_POISSON and (curve.beta < 10.0 or curve.beta < 10.0 * curve.alpha)
    cautions = (*CAUTIONS, APPROXIMATION_POOR) if poor else CAUTIONS
    return RelativeChange(np.asarray(after / before), cautions, before, after)
