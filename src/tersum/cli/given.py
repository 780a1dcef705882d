"""What the options of a command say: numbers as people type them, and all that is wrong with them at once."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from tersum.chemistry.accepted import Checks
from tersum.errors import N_, Faults, TersumError
from tersum.units import coded, parse_decimal

T = TypeVar("T")


class Given:
    """The options of one call: each question notes a fault and goes on; :meth:`done` tells them together."""

    def __init__(self, options: Mapping[str, Any]):
        self.options = options
        self.checks = Checks()

    def take(self, read: Callable[[], T]) -> T | None:
        """Return what an option says, or keep its fault."""
        try:
            return read()
        except TersumError as fault:
            self.checks.add(fault)
            return None

    def number(self, name: str, *, most: float = math.inf) -> float:
        """Return an option's number; NaN, which nothing accepts, where it is none. ``most`` as in :func:`number_of`."""
        found = self.take(lambda: number_of(str(self.options[name]), option(name), most=most))
        return math.nan if found is None else found

    def maybe(self, name: str, *, most: float = math.inf) -> float | None:
        """Return an option's number; None where it was not given."""
        return None if self.options[name] is None else self.number(name, most=most)

    def numbers(self, name: str, *, most: float = math.inf) -> list[float]:
        """Return the numbers of an option that may be given again; those that are none are left out, and told."""
        found: list[float] = []
        for text in self.options[name]:
            try:
                found.append(number_of(text, option(name), most=most))
            except TersumError as fault:
                self.checks.add(fault)
        return found

    def pairs(self, name: str) -> list[tuple[str, str]]:
        """Return NAME=VALUE options as pairs."""
        found = []
        for text in self.options[name]:
            left, mark, right = text.partition("=")
            if mark and left.strip() and right.strip():
                found.append((left.strip(), right.strip()))
            else:
                self.checks.add(coded("not-a-pair", N_("{field} is no pair: got {value}; accepted: {accepted}."),
                                      option(name), text, N_("a name, = and a value")))
        return found

    def done(self) -> None:
        """Raise what was found wrong so far."""
        self.checks.done()

    def run(self, compute: Callable[[], T]) -> T:
        """Return what a function of the sciences computes; what it refuses is told with the faults found before.

        Its faults name the options they are about; one option is told of once.
        """
        found: list[T] = []
        try:
            found.append(compute())
        except TersumError as fault:
            told = {one.field for one in self.checks.faults}
            for one in fault.faults if isinstance(fault, Faults) else (fault,):
                if one.field in self.options:
                    one.field = option(one.field)
                if one.field not in told:
                    self.checks.add(one)
        self.done()
        return found[0]


def number_of(text: str, field: str, *, most: float = math.inf) -> float:
    """Return the number in a text; ``most`` is what no value of its kind exceeds.

    "6.865" is asked about, for it may mean a thousand: not where a thousand is out of the question.

    >>> number_of("6.865", "--ph", most=15.0)
    6.865
    """
    try:
        return float(parse_decimal(text, field=field))
    except TersumError as fault:
        if fault.code == "ambiguous-number" and abs(float(fault.places["whole"])) > most:
            return float(fault.places["fraction"])
        raise


def option(name: str) -> str:
    """Return the option of a parameter.

    >>> option("temp_c")
    '--temp-c'
    """
    return "--" + name.replace("_", "-")
