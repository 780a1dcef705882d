"""The model behind a comparison: what each arm leaves, adjusted for before values, panels within vehicles at random."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tersum.arguments import Array
from tersum.errors import N_, OutOfRange
from tersum.evidence.censored_panels import censored_fit
from tersum.evidence.linear_model import linear_fit
from tersum.evidence.mixed_model import RandomPart, mixed_fit
from tersum.evidence.trial import APART, PANEL, Units

MIXED, LIKELIHOOD, SEPARATE = "mixed-model", "censored-likelihood", "separate-groups"
_FEWEST_VEHICLES = 3  # below that no variance between vehicles is asked for; panels carry it


@dataclass(frozen=True)
class ArmModel:
    """Means of the arms in the order of ``arms`` (log10, at the mean before value), with their covariance.

    ``panel_sd`` is the spread between blocks (nan where there are none), ``residual_sd`` that between units of one.
    """

    method: str
    arms: tuple[str, ...]
    means: Array
    covariance: Array
    degrees_of_freedom: int
    before_slope: float | None
    panel_sd: float
    residual_sd: float

    def difference(self, arm: str, other: str) -> tuple[float, float]:
        """Return mean of ``arm`` less that of ``other``, log10, and its standard error."""
        weights = np.array([float(name == arm) - float(name == other) for name in self.arms])
        return float(weights @ self.means), float(np.sqrt(weights @ self.covariance @ weights))


def arm_model(units: Units, *, adjust: bool = True) -> ArmModel:
    """Return the means of all arms of a trial.

    Parameters
    ----------
    units : Units
        Two arms or more; enough units that degrees of freedom are left within the blocks.
    adjust : bool
        Whether to adjust for before values, which are used only where all units have one.

    Returns
    -------
    ArmModel
        ``mixed-model``: restricted likelihood, blocks (and vehicles, from three on) at random; ``censored-likelihood``
        where after values are inequalities; ``separate-groups`` where each vehicle had one arm. Degrees of freedom are
        those left within blocks.

    Raises
    ------
    OutOfRange
        If nothing is left to tell a spread from, or too few values are measured.

    Source
    ------
    Vickers & Altman 2001, BMJ 323:1123 for adjusting; restricted likelihood as in
    :func:`tersum.evidence.mixed_model.mixed_fit`; degrees of freedom by containment (Pinheiro & Bates 2000, section
    2.4.2, known from memory). Censored variances are scaled from values to degrees of freedom. Coverage is measured in
    ``tests/evidence/test_trial_calibration.py``.

    Examples
    --------
    >>> from tersum.evidence.trial import TrialReading, units_of
    >>> rows = [TrialReading("van", f"seat {n}", arm, arm, 1, (rlu, rlu))
    ...         for n, pair in enumerate([(90, 210), (120, 200), (60, 150)]) for arm, rlu in zip("ab", pair)]
    >>> model = arm_model(units_of(rows))
    >>> round(10 ** model.difference("a", "b")[0], 2), model.degrees_of_freedom
    (0.47, 2)
    """
    design, covariates = _design(units, adjust=adjust and units.has_before)
    freedom = _freedom(units, design)
    if freedom < 1:
        raise OutOfRange("panels", int(np.unique(units.block).size), N_("enough panels that a spread can be told: one "
                                                                        "more than there are now at least"))
    if units.censored.any():
        return _censored(units, design, covariates, freedom)
    if units.level == APART:
        fit = linear_fit(design, units.after_low)
        return _model(SEPARATE, units, fit.coefficients, fit.covariance, freedom, covariates,
                      (float("nan"), fit.residual_sd))
    mixed = mixed_fit(design, units.after_low, _parts(units))
    return _model(MIXED, units, mixed.coefficients, mixed.covariance, freedom, covariates,
                  (float(np.sqrt(mixed.parts[0][0, 0])), float(np.sqrt(mixed.residual_variance))))


def _design(units: Units, *, adjust: bool) -> tuple[Array, int]:
    """Return one column an arm, and the before value about its mean where it is used."""
    columns = [units.marks(arm).astype(np.float64) for arm in units.arms]
    if adjust:
        # Where each arm started on a level of its own, nothing tells what is due to the start and what to the arm.
        adjusted = np.column_stack([*columns, units.before - units.before.mean()])
        if np.linalg.matrix_rank(adjusted, tol=1e-6) == len(columns) + 1:
            return adjusted, 1
    return np.column_stack(columns), 0


def _freedom(units: Units, design: Array) -> int:
    blocks = (units.block[:, None] == np.unique(units.block)).astype(np.float64)
    return int(units.block.size - np.linalg.matrix_rank(np.column_stack([blocks, design])))


def _parts(units: Units) -> Sequence[RandomPart]:
    parts = [RandomPart.level(units.block)]
    vehicles = len(set(units.vehicle))
    if units.level == PANEL and _FEWEST_VEHICLES <= vehicles < np.unique(units.block).size:
        parts.append(RandomPart.level(np.array(units.vehicle)))
    return parts


def _censored(units: Units, design: Array, covariates: int, freedom: int) -> ArmModel:
    fit = censored_fit(design, units.after_low, units.after_high, np.unique(units.block, return_inverse=True)[1])
    blocks = int(np.unique(units.block).size)
    # Largest likelihood divides by all values within blocks; the spread is told by those that are left.
    scale = (units.block.size - blocks) / freedom if units.level != APART else units.block.size / freedom
    return _model(LIKELIHOOD, units, fit.coefficients, fit.covariance * scale, freedom, covariates,
                  (fit.panel_sd, fit.residual_sd * float(np.sqrt(scale))))


def _model(method: str, units: Units, coefficients: Array, covariance: Array, freedom: int, covariates: int,
           spreads: tuple[float, float]) -> ArmModel:
    many = len(units.arms)
    return ArmModel(method, units.arms, coefficients[:many], covariance[:many, :many], freedom,
                    float(coefficients[many]) if covariates else None, *spreads)
