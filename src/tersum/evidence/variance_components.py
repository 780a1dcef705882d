"""Where the scatter comes from: between groups (vehicles, people, days, instruments) and within them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import reals
from tersum.errors import N_, OutOfRange
from tersum.evidence.mixed_model import RandomPart, mixed_fit


@dataclass(frozen=True)
class GroupedAnova:
    """One-way analysis of variance."""

    ss_between: float
    ss_within: float
    df_between: int
    df_within: int

    @property
    def ms_between(self) -> float:
        return self.ss_between / self.df_between

    @property
    def ms_within(self) -> float:
        return self.ss_within / self.df_within

    @property
    def f(self) -> float:
        return self.ms_between / self.ms_within

    @property
    def r_squared(self) -> float:
        return self.ss_between / (self.ss_between + self.ss_within)

    @property
    def residual_sd(self) -> float:
        return math.sqrt(self.ms_within)


@dataclass(frozen=True)
class Components:
    """Mean and the variances around it; ``none_between`` where the groups differ by no more than their own scatter.

    A variance of 0 then says that no difference was seen, not that there is none.
    """

    mean: float
    mean_error: float
    between: float
    within: float
    none_between: bool

    @property
    def total(self) -> float:
        return self.between + self.within


def grouped_anova(groups: Sequence[ArrayLike]) -> GroupedAnova:
    """Return the one-way analysis of variance of groups of values.

    Parameters
    ----------
    groups : sequence of array_like
        Two groups or more, one value each at least, together more values than groups; not all equal within groups.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    NIST Statistical Reference Datasets, analysis of variance (SiRstv, AtmWtAg; certified values read). Squares about
    means found first, so that seven equal leading digits cost nothing.

    Examples
    --------
    >>> found = grouped_anova([[1.0, 2.0, 3.0], [2.0, 3.0, 4.0]])
    >>> found.ss_between, found.ss_within, found.f
    (1.5, 4.0, 1.5)
    """
    values = [reals("groups", group).ravel() for group in groups]
    count = sum(one.size for one in values)
    if len(values) < 2 or min(one.size for one in values) < 1 or count <= len(values):
        raise OutOfRange("groups", len(values), N_("two groups or more, together with more values than groups"))
    origin = float(values[0][0])
    values = [one - origin for one in values]
    grand = math.fsum(x for one in values for x in one) / count
    means = [math.fsum(one) / one.size for one in values]
    between = math.fsum(one.size * (mean - grand) ** 2 for one, mean in zip(values, means, strict=True))
    within = math.fsum(float(x - mean) ** 2 for one, mean in zip(values, means, strict=True) for x in one)
    if within == 0.0:
        raise OutOfRange("groups", within, N_("values that are not all equal within their groups"))
    return GroupedAnova(between, within, len(values) - 1, count - len(values))


def components(values: ArrayLike, groups: ArrayLike) -> Components:
    """Return how much values scatter between groups and within them, by restricted likelihood.

    Parameters
    ----------
    values : array_like, shape (n,)
        Log readings or the like.
    groups : array_like, shape (n,)
        The group of each; two groups or more, one of them with two values at least.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    :func:`tersum.evidence.mixed_model.mixed_fit`; check: Davies & Goldsmith 1972 dyestuff as printed by lme4. With
    three or four groups the variance between them is hardly known.

    Examples
    --------
    >>> found = components([1.0, 1.2, 2.0, 2.1, 3.2, 2.9], ["a", "a", "b", "b", "c", "c"])
    >>> round(found.between, 2), round(found.within, 3)
    (0.94, 0.023)
    """
    y = reals("values", values).ravel()
    names = np.asarray(groups).ravel()
    if names.size != y.size or not 2 <= np.unique(names).size < y.size:
        raise OutOfRange("groups", int(np.unique(names).size), N_("two groups or more, and fewer than values ({n})"),
                         n=y.size)
    fit = mixed_fit(np.ones((y.size, 1)), y - y.mean(), [RandomPart.level(names)])
    return Components(float(fit.coefficients[0] + y.mean()), float(fit.standard_errors[0]),
                      0.0 if fit.at_edge else float(fit.parts[0][0, 0]), fit.residual_variance, fit.at_edge)
