"""Which part of which panel gets which treatment: a random assignment that anyone can repeat from its seed."""

from __future__ import annotations

import hashlib
import hmac
import math
from collections.abc import Sequence
from dataclasses import dataclass

from tersum.arguments import probability, real
from tersum.errors import N_, Faults, OutOfRange, TersumError
from tersum.evidence.sample_size import pairs_for_difference, power_of_pairs

_SEED_BYTES = 16
SIDES = ("left", "right")


@dataclass(frozen=True)
class Panel:
    """One panel of one vehicle (or room), large enough for a part for each treatment."""

    vehicle: str
    name: str


@dataclass(frozen=True)
class Part:
    """One part of a panel, its treatment, and its place in the order of treating within the panel, from 1."""

    vehicle: str
    panel: str
    part: str
    arm: str
    turn: int


@dataclass(frozen=True)
class PowerCurves:
    """By factor and number of panels: the chance of finding the factor; ``wanted`` is the chance asked for."""

    factors: tuple[float, ...]
    pairs: tuple[int, ...]
    chances: tuple[tuple[float, ...], ...]
    wanted: float


@dataclass(frozen=True)
class PairsNeeded:
    """Pairs for each factor to be found, at the spread of paired differences assumed."""

    spread_log10: float
    power: float
    factors: tuple[float, ...]
    pairs: tuple[int, ...]


def assigned(panels: Sequence[Panel], arms: Sequence[str], seed: bytes) -> tuple[Part, ...]:
    """Return every part of every panel with its treatment and turn.

    Parameters
    ----------
    panels : sequence of Panel
        One or more, each once; chosen before any of them was read.
    arms : sequence of str
        Two or more, each once; each panel is divided into as many parts.
    seed : bytes
        16 or more, from a source of chance, kept with the plan.

    Returns
    -------
    tuple of Part
        In the order of ``panels``. Two parts are called left and right, more are numbered.

    Raises
    ------
    Faults
        Everything that is wrong with the arguments, at once.

    Source
    ------
    Randomised complete blocks: Fisher 1935, chapter IV (known from memory). The order is that of HMAC-SHA-256 under the
    seed, as for the draw of points, so that it outlives every library of random numbers.

    Examples
    --------
    >>> plan = assigned([Panel("van 1", "seat 1"), Panel("van 1", "seat 2")], ["cloth A", "cloth B"], bytes(range(16)))
    >>> [(one.panel, one.part, one.arm, one.turn) for one in plan][:2]
    [('seat 1', 'left', 'cloth A', 1), ('seat 1', 'right', 'cloth B', 2)]
    """
    _check(panels, arms, seed)
    names = SIDES if len(arms) == len(SIDES) else tuple(str(place) for place in range(1, len(arms) + 1))
    found = []
    for panel in panels:
        placed = _in_order(seed, "place", panel, arms)
        turns = _in_order(seed, "turn", panel, arms)
        found += [Part(panel.vehicle, panel.name, part, arm, turns.index(arm) + 1)
                  for part, arm in zip(names, placed, strict=True)]
    return tuple(found)


def pairs_needed(factors: Sequence[float], *, spread_log10: float, power: float = 0.8,
                 risk: float = 0.05) -> PairsNeeded:
    """Return how many panels, each holding both treatments, find each factor between them.

    Parameters
    ----------
    factors : sequence of float
        How many times as much one leaves as the other, above 0 and not 1.
    spread_log10 : float
        Standard deviation of paired log10 differences, above 0: ``sqrt(2)`` times that of one swab where halves of a
        panel are alike, more where they are not.
    power, risk : float
        As for :func:`tersum.evidence.sample_size.pairs_for_difference`.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Noncentral t, as there.

    Examples
    --------
    >>> pairs_needed([1.5, 2, 3], spread_log10=0.35).pairs
    (33, 13, 7)
    """
    spread = real("spread_log10", spread_log10, above=0.0)
    wanted = tuple(real("factors", factor, above=0.0) for factor in factors)
    if not wanted or 1.0 in wanted:
        raise OutOfRange("factors", 1.0, N_("factors other than 1: no number of pairs shows that there is no "
                                            "difference"))
    pairs = tuple(pairs_for_difference(math.log10(factor) / spread, risk=probability("risk", risk), power=power)
                  for factor in wanted)
    return PairsNeeded(spread, power, wanted, pairs)


def power_curves(factors: Sequence[float], *, spread_log10: float, power: float = 0.8,
                 risk: float = 0.05) -> PowerCurves:
    """Return how likely each number of panels is to find each factor, up to where the smallest factor is found.

    Parameters
    ----------
    factors, spread_log10, power, risk
        As for :func:`pairs_needed`.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    As for :func:`tersum.evidence.sample_size.power_of_pairs`.

    Examples
    --------
    >>> found = power_curves([2, 3], spread_log10=0.35)
    >>> found.pairs[0], found.pairs[-1], [round(one[found.pairs.index(13)], 2) for one in found.chances]
    (2, 26, [0.81, 0.99])
    """
    needed = pairs_needed(factors, spread_log10=spread_log10, power=power, risk=risk)
    most = max(2 * max(needed.pairs), 12)
    pairs = tuple(sorted({round(2.0 * (most / 2.0) ** (step / 120)) for step in range(121)}
                         | {n for n in needed.pairs if n <= most}))
    chances = tuple(tuple(power_of_pairs(n, math.log10(factor) / needed.spread_log10, risk=risk) for n in pairs)
                    for factor in needed.factors)
    return PowerCurves(needed.factors, pairs, chances, power)


def _in_order(seed: bytes, purpose: str, panel: Panel, arms: Sequence[str]) -> list[str]:
    def key(arm: str) -> bytes:
        words = "\x1f".join((purpose, panel.vehicle, panel.name, arm))
        return hmac.new(seed, words.encode(), hashlib.sha256).digest()

    return sorted(arms, key=key)


def _check(panels: Sequence[Panel], arms: Sequence[str], seed: bytes) -> None:
    faults: list[TersumError] = []
    if len(arms) < 2 or len(set(arms)) < len(arms):
        faults.append(OutOfRange("arms", ", ".join(arms), N_("two treatments or more, each once")))
    if not panels or len(set(panels)) < len(panels):
        faults.append(OutOfRange("panels", len(panels), N_("one panel or more, each once")))
    if len(seed) < _SEED_BYTES:
        faults.append(OutOfRange("seed", len(seed), N_("{least} bytes or more"), least=_SEED_BYTES))
    if faults:
        raise Faults(faults)
