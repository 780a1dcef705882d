"""What comes on top of repeatability when people, days and instruments change: components within the same surfaces."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import reals
from tersum.errors import N_, OutOfRange
from tersum.evidence.mixed_model import RandomPart, mixed_fit

ONE_LEVEL, NOT_CROSSED, CONFOUNDED = "one-level", "not-crossed", "confounded"
FEW_LEVELS = 6  # below that a component is hardly known
_LEAST_POINTS = 3  # surfaces in which a factor must change to be told from them
_MOST = 600


@dataclass(frozen=True)
class Component:
    """One source of scatter: its spread, log10, and over how many levels; NaN and ``why`` where it cannot be told."""

    name: str
    spread_log10: float
    levels: int
    why: str = ""
    beside: str = ""

    @property
    def told(self) -> bool:
        return not self.why


@dataclass(frozen=True)
class Reproducibility:
    """Spread within a cell (``repeatability_log10``), the components on top, and their sum in quadrature.

    ``whole`` is False where a component could not be told: then the sum is too small.
    """

    repeatability_log10: float
    components: tuple[Component, ...]
    total_log10: float
    whole: bool


def reproducibility(logs: ArrayLike, points: ArrayLike, factors: Mapping[str, ArrayLike]) -> Reproducibility:
    """Return how much people, days and instruments add to the scatter of swabs of the same surfaces.

    Parameters
    ----------
    logs : array_like, shape (n,)
        log10 net readings, 600 at most.
    points : array_like, shape (n,)
        The surface of each; readings of one surface are taken to be of one level.
    factors : mapping of str to array_like, shape (n,)
        By name, such as person, day, instrument: which of them each reading is of.

    Returns
    -------
    Reproducibility
        A factor of one level, one that changes with the surface only, or one that changes together with another is
        told as such and gets no number.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above, or nothing is left to tell a spread from.

    Source
    ------
    ``s_R**2 = s_r**2 + s_person**2 + s_day**2 + s_instrument**2``, ISO 5725-2 and -3 (known from memory); restricted
    likelihood with a fixed level a surface, :func:`tersum.evidence.mixed_model.mixed_fit`. With fewer than six levels a
    component is hardly known; one of 0 says that none was seen.

    Examples
    --------
    >>> rng = np.random.default_rng(2)
    >>> point, person = np.repeat(np.arange(10), 8), np.tile(np.repeat(np.arange(4), 2), 10)
    >>> y = rng.normal(2, 0.5, 10)[point] + rng.normal(0, 0.2, 4)[person] + rng.normal(0, 0.1, 80)
    >>> found = reproducibility(y, point, {"person": person, "day": np.zeros(80)})
    >>> round(found.repeatability_log10, 2), [(one.name, one.why) for one in found.components]
    (0.1, [('person', ''), ('day', 'one-level')])
    """
    y, surfaces = reals("logs", logs).ravel(), np.unique(np.asarray(points).ravel(), return_inverse=True)[1]
    codes = {name: np.unique(np.asarray(values).ravel(), return_inverse=True)[1] for name, values in factors.items()}
    if not 2 <= y.size <= _MOST or any(one.size != y.size for one in (surfaces, *codes.values())):
        raise OutOfRange("logs", y.size, N_("2 to {most} readings, each with its surface and factors"), most=_MOST)
    levels = {name: int(one.max()) + 1 for name, one in codes.items()}
    refused: dict[str, tuple[str, str]] = {}
    told: list[str] = []
    for name, one in codes.items():
        why = _why(one, surfaces)
        twin = next((other for other in told if _same(one, codes[other])), "") if not why else ""
        if why or twin:
            refused[name] = (why or CONFOUNDED, twin)
        else:
            told.append(name)
    design = np.asarray(surfaces[:, None] == np.unique(surfaces), dtype=np.float64)
    if y.size <= design.shape[1] + len(told):
        raise OutOfRange("points", design.shape[1], N_("surfaces of which some were swabbed more than once"))
    within, spreads = _fitted(y, design, [codes[name] for name in told])
    found = dict(zip(told, spreads, strict=True))
    components = tuple(Component(name, found.get(name, math.nan), levels[name], *refused.get(name, ("", "")))
                       for name in codes)
    return Reproducibility(within, components, math.hypot(within, *spreads), not refused)


def _fitted(y: np.ndarray, design: np.ndarray, codes: list[np.ndarray]) -> tuple[float, list[float]]:
    if not codes:
        left = y - design @ np.linalg.lstsq(design, y, rcond=None)[0]
        return math.sqrt(float(left @ left) / (y.size - design.shape[1])), []
    fit = mixed_fit(design, y, [RandomPart.level(one) for one in codes])
    return math.sqrt(fit.residual_variance), [_spread(part.item(), fit.residual_variance) for part in fit.parts]


def _spread(variance: float, residual: float) -> float:
    # The search stops a hair above nothing; a component a thousandth of the scatter within is none.
    return 0.0 if variance < 1e-6 * residual else math.sqrt(variance)


def _why(codes: np.ndarray, surfaces: np.ndarray) -> str:
    if codes.max() == 0:
        return ONE_LEVEL
    changing = sum(np.unique(codes[surfaces == one]).size > 1 for one in np.unique(surfaces))
    return "" if changing >= _LEAST_POINTS else NOT_CROSSED


def _same(one: np.ndarray, other: np.ndarray) -> bool:
    """Return whether two factors divide the readings alike."""
    return len(set(zip(one.tolist(), other.tolist(), strict=True))) == int(one.max()) + 1 == int(other.max()) + 1
