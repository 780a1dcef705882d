"""The units of a trial: parts of panels that were treated, each with what was read on it, however many swabs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tersum.arguments import Array
from tersum.errors import N_, Faults, OutOfRange, TersumError

PANEL, VEHICLE, APART = "panel", "vehicle", "apart"


@dataclass(frozen=True)
class TrialReading:
    """One swab pair of one part: bounds before (None: not read) and after, RLU, as they come from the meter."""

    vehicle: str
    panel: str
    part: str
    arm: str
    swab: int
    after_rlu: tuple[float, float]
    before_rlu: tuple[float, float] | None = None


@dataclass(frozen=True)
class Units:
    """What was assigned, one row each, swabs averaged; logs, ``-inf`` and ``inf`` where a bound has none.

    ``before`` is NaN where it was not read or is an inequality. ``level`` is where treatments meet: in the ``panel``,
    in the ``vehicle`` only, or ``apart`` (each vehicle has one). ``block`` numbers the panels, vehicles or nothing.
    """

    vehicle: tuple[str, ...]
    panel: tuple[str, ...]
    arm: tuple[str, ...]
    before: Array
    after_low: Array
    after_high: Array
    level: str
    block: npt.NDArray[np.intp]
    swabs: int

    @property
    def arms(self) -> tuple[str, ...]:
        """The arms in the order in which they were met."""
        return tuple(dict.fromkeys(self.arm))

    @property
    def censored(self) -> npt.NDArray[np.bool_]:
        return np.asarray(self.after_low != self.after_high)

    @property
    def has_before(self) -> bool:
        return not bool(np.isnan(self.before).any())

    def marks(self, arm: str) -> npt.NDArray[np.bool_]:
        """Return which units got an arm."""
        return np.array([one == arm for one in self.arm])

    def blocks_with(self, *arms: str) -> npt.NDArray[np.intp]:
        """Return the blocks in which all of these arms were given."""
        inside = [set(self.block[self.marks(arm)].tolist()) for arm in arms]
        return np.array(sorted(set.intersection(*inside)), dtype=np.intp)


def units_of(readings: Iterable[TrialReading]) -> Units:
    """Return the units of a trial: swabs of one part are averaged, since the part was treated and not the swab.

    Parameters
    ----------
    readings : iterable of TrialReading
        Two arms or more between them; each part of a panel has one arm, each swab of a part stands once.

    Raises
    ------
    Faults
        Everything that does not fit together, at once.

    Source
    ------
    Hurlbert 1984, Ecol. Monogr. 54:187, on what counts as one (known from memory). Averaged on logs; a bound that is an
    inequality makes the average one.

    Examples
    --------
    >>> rows = [TrialReading("van 1", "seat", side, arm, swab, (rlu, rlu))
    ...         for side, arm, swab, rlu in [("left", "a", 1, 100.0), ("left", "a", 2, 400.0), ("right", "b", 1, 50.0)]]
    >>> found = units_of(rows)
    >>> found.arm, (10 ** found.after_low).round(6).tolist(), found.level
    (('a', 'b'), [200.0, 50.0], 'panel')
    """
    parts: dict[tuple[str, str, str], list[TrialReading]] = {}
    for one in readings:
        parts.setdefault((one.vehicle, one.panel, one.part), []).append(one)
    _check(parts)
    rows = list(parts.values())
    units = [[_log(one.after_rlu) for one in row] for row in rows]
    low, high = ([float(np.mean([pair[end] for pair in unit])) for unit in units] for end in (0, 1))
    before = [float(np.mean([_known_log(one.before_rlu) for one in row])) for row in rows]
    names = [(row[0].vehicle, row[0].panel, row[0].arm) for row in rows]
    level, block = _level(names)
    return Units(tuple(one[0] for one in names), tuple(one[1] for one in names), tuple(one[2] for one in names),
                 np.array(before), np.array(low), np.array(high), level, block, sum(map(len, rows)))


def vehicles_alone(units: Units) -> Units:
    """Return one unit a vehicle, for treatments that met in no vehicle: there the vehicle was assigned.

    Inequalities stay what they are; the average of one with others is one.
    """
    names = list(dict.fromkeys(zip(units.vehicle, units.arm, strict=True)))
    inside = [np.array([pair == name for pair in zip(units.vehicle, units.arm, strict=True)]) for name in names]
    low, high, before = ([float(np.mean(values[one])) for one in inside]
                         for values in (units.after_low, units.after_high, units.before))
    return Units(tuple(name[0] for name in names), ("",) * len(names), tuple(name[1] for name in names),
                 np.array(before), np.array(low), np.array(high), APART, np.zeros(len(names), dtype=np.intp),
                 units.swabs)


def _log(bounds: tuple[float, float]) -> tuple[float, float]:
    low, high = (math.log10(end) if end > 0.0 else -math.inf for end in bounds)
    return low, high


def _known_log(bounds: tuple[float, float] | None) -> float:
    return math.log10(bounds[0]) if bounds is not None and bounds[0] == bounds[1] else math.nan


def _level(names: Sequence[tuple[str, str, str]]) -> tuple[str, npt.NDArray[np.intp]]:
    """Return where treatments meet, and the number of the block of each unit."""
    for level, width in ((PANEL, 2), (VEHICLE, 1)):
        keys = [name[:width] for name in names]
        arms: dict[tuple[str, ...], set[str]] = {}
        for key, name in zip(keys, names, strict=True):
            arms.setdefault(key, set()).add(name[2])
        if any(len(met) > 1 for met in arms.values()):
            order = {key: place for place, key in enumerate(arms)}
            return level, np.array([order[key] for key in keys], dtype=np.intp)
    return APART, np.zeros(len(names), dtype=np.intp)


def _check(parts: dict[tuple[str, str, str], list[TrialReading]]) -> None:
    faults: list[TersumError] = []
    for (vehicle, panel, part), row in parts.items():
        place = " / ".join(word for word in (vehicle, panel, part) if word)
        if len({one.arm for one in row}) > 1:
            faults.append(OutOfRange("arm", ", ".join(dict.fromkeys(one.arm for one in row)),
                                     N_("one treatment at {place}; name the parts of a panel in the column part"),
                                     place=place))
        swabs = [one.swab for one in row]
        twice = sorted({swab for swab in swabs if swabs.count(swab) > 1})
        if twice:
            faults.append(OutOfRange("swab", ", ".join(str(swab) for swab in twice), N_(
                "each swab once at {place}, numbered in the column swab"), place=place))
    arms = sorted({one.arm for row in parts.values() for one in row})
    if len(arms) < 2:
        faults.append(OutOfRange("arm", ", ".join(arms), N_("two treatments or more in the table")))
    if faults:
        raise Faults(faults)
