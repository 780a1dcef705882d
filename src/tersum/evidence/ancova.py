"""Separate groups compared: after values adjusted for before values, and the change score for what it costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import fdtrc

from tersum.arguments import Array, sample
from tersum.errors import N_, OutOfRange, UnknownName
from tersum.evidence.linear_model import LinearFit, linear_fit


@dataclass(frozen=True)
class ArmEffects:
    """Differences of each other arm to the reference, in the order of ``arms``, with their covariance.

    ``before_slope`` is None where the before values were not adjusted for.
    """

    reference: str
    arms: tuple[str, ...]
    differences: Array
    covariance: Array
    intercept: float
    intercept_error: float
    before_slope: float | None
    before_slope_error: float | None
    residual_mean_square: float
    degrees_of_freedom: int
    f: float
    p: float

    @property
    def standard_errors(self) -> Array:
        return np.asarray(np.sqrt(np.diag(self.covariance)))

    def against_reference(self, arm: str) -> tuple[float, float]:
        """Return the difference of one arm to the reference and its standard error."""
        if arm not in self.arms:
            raise UnknownName("arm", arm, self.arms)
        place = self.arms.index(arm)
        return float(self.differences[place]), float(self.standard_errors[place])


def ancova(after: ArrayLike, before: ArrayLike, arms: Sequence[str], *, reference: str) -> ArmEffects:
    """Return what arms leave, adjusted for what they met.

    Parameters
    ----------
    after, before : array_like, shape (n,)
        Logs, one a unit; more units than arms and one.
    arms : sequence of str, shape (n,)
        The arm of each unit; two arms or more.
    reference : str
        The arm the others are compared with.

    Raises
    ------
    OutOfRange, UnknownName
        If an argument lies outside the range stated above.

    Source
    ------
    Vickers & Altman 2001, BMJ 323:1123; check: the fit printed in R's documentation of glm (Venables & Ripley 2002, p.
    189). Unbiased where the arms were assigned at random; where they were not and start apart, neither this nor the
    change score is.

    Examples
    --------
    >>> found = ancova([1.0, 1.2, 0.4, 0.7], [2.0, 2.4, 2.1, 2.5], ["a", "a", "b", "b"], reference="a")
    >>> found.differences.round(2).tolist(), round(found.before_slope, 2)
    ([-0.61], 0.63)
    """
    y, x = sample("after", after, count=3), sample("before", before, count=3)
    if x.shape != y.shape:
        raise OutOfRange("before", x.size, N_("as many as after values ({n})"), n=y.size)
    return _effects(y, arms, reference, x)


def change_score(after: ArrayLike, before: ArrayLike, arms: Sequence[str], *, reference: str) -> ArmEffects:
    """Return differences of the mean change, which punish or reward an arm for where it started.

    Parameters
    ----------
    after, before, arms, reference
        As for :func:`ancova`.

    Raises
    ------
    OutOfRange, UnknownName
        If an argument lies outside the range stated above.

    Source
    ------
    Frison & Pocock 1992 (known from memory). Kept to show what it costs:
    panels chosen because dirty fall by themselves.

    Examples
    --------
    >>> found = change_score([1.0, 1.2, 0.4, 0.7], [2.0, 2.4, 2.1, 2.5], ["a", "a", "b", "b"], reference="a")
    >>> found.differences.round(2).tolist()
    [-0.65]
    """
    y, x = sample("after", after, count=3), sample("before", before, count=3)
    if x.shape != y.shape:
        raise OutOfRange("before", x.size, N_("as many as after values ({n})"), n=y.size)
    return _effects(y - x, arms, reference, None)


def after_only(after: ArrayLike, arms: Sequence[str], *, reference: str) -> ArmEffects:
    """Return differences of the mean after values, before values unused; arguments as for :func:`ancova`.

    Examples
    --------
    >>> after_only([1.0, 1.2, 0.4, 0.7], ["a", "a", "b", "b"], reference="a").differences.round(2).tolist()
    [-0.55]
    """
    return _effects(sample("after", after, count=3), arms, reference, None)


def _effects(y: Array, arms: Sequence[str], reference: str, before: Array | None) -> ArmEffects:
    others = tuple(name for name in dict.fromkeys(arms) if name != reference)
    if len(arms) != y.size:
        raise OutOfRange("arms", len(arms), N_("one a unit ({n})"), n=y.size)
    if reference not in arms:
        raise UnknownName("reference", reference, tuple(dict.fromkeys(arms)))
    if not others:
        raise OutOfRange("arms", 1, N_("two arms or more"))
    marks = np.array([[float(one == other) for other in others] for one in arms])
    covariates = [] if before is None else [before]
    full = linear_fit(np.column_stack([np.ones(y.size), *covariates, marks]), y)
    bare = linear_fit(np.column_stack([np.ones(y.size), *covariates]), y)
    first, f = 1 + len(covariates), _f(full, bare)
    errors = full.standard_errors
    slope, slope_error = (None, None) if before is None else (float(full.coefficients[1]), float(errors[1]))
    return ArmEffects(reference, others, full.coefficients[first:], full.covariance[first:, first:],
                      float(full.coefficients[0]), float(errors[0]), slope, slope_error, full.residual_mean_square,
                      full.degrees_of_freedom, f, float(fdtrc(len(others), full.degrees_of_freedom, f)))


def _f(full: LinearFit, bare: LinearFit) -> float:
    between = bare.degrees_of_freedom - full.degrees_of_freedom
    return (bare.residual_squares - full.residual_squares) / between / full.residual_mean_square
