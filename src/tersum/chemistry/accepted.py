"""Whether a value lies in what is accepted: the one check that every argument of chemistry goes through."""

from __future__ import annotations

import math

from tersum.errors import Faults, OutOfRange, TersumError


def number(field: str, value: object, accepted: str, *, low: float = -math.inf, high: float = math.inf,
           above: float = -math.inf) -> float:
    """Return a finite number from ``low`` to ``high`` and above ``above``; a truth value is none.

    Examples
    --------
    >>> number("temp_c", 20, "0 to 60 °C", low=0.0, high=60.0)
    20.0
    >>> number("temp_c", float("nan"), "0 to 60 °C", low=0.0, high=60.0)
    Traceback (most recent call last):
    tersum.errors.OutOfRange: temp_c is out of range: got nan; accepted: 0 to 60 °C.
    """
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise OutOfRange(field, value, accepted)
    if not (low <= value <= high and value > above):
        raise OutOfRange(field, value, accepted)
    return float(value)


class Checks:
    """Several checks whose faults are told together: a person mends all of them in one go."""

    def __init__(self) -> None:
        self.faults: list[TersumError] = []

    def number(self, field: str, value: object, accepted: str, *, low: float = -math.inf, high: float = math.inf,
               above: float = -math.inf) -> float:
        """Check a number and return it; a fault is kept for :meth:`done`, and NaN returned."""
        try:
            return number(field, value, accepted, low=low, high=high, above=above)
        except TersumError as fault:
            self.faults.append(fault)
            return math.nan

    def add(self, fault: TersumError) -> None:
        """Keep a fault found elsewhere."""
        self.faults.extend(fault.faults if isinstance(fault, Faults) else [fault])

    def done(self) -> None:
        """Raise what was found: a single fault as itself, several as Faults."""
        if self.faults:
            raise self.faults[0] if len(self.faults) == 1 else Faults(self.faults)
