"""A dilution made in steps: the fractions multiply, and so do the relative uncertainties in quadrature."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tersum.chemistry.accepted import Checks
from tersum.chemistry.uncertainty import Quantity, quotient
from tersum.errors import N_, OutOfRange


@dataclass(frozen=True)
class Serial:
    """What is left of the concentrate after every step: share by volume, and the strength where one was given."""

    concentrate_frac: Quantity
    strength_g_l: Quantity | None
    after_each: tuple[float, ...]


def serial(steps: Sequence[Quantity], *, stock_g_l: Quantity | None = None) -> Serial:
    """Return a dilution made in several steps.

    Parameters
    ----------
    steps : sequence of Quantity
        Share of what goes in at each step, above 0 to 1, with its standard uncertainty; one step or more.
    stock_g_l : Quantity, optional
        Strength of the concentrate, above 0.

    Source
    ------
    Mass balance; jcgm-100-2008, 5.1.6: relative variances add.

    Examples
    --------
    >>> made = serial([Quantity(0.1, 0.001), Quantity(0.02, 0.0004)], stock_g_l=Quantity(50.0, 0.5))
    >>> round(made.concentrate_frac.value, 6), round(made.strength_g_l.value, 3), round(made.strength_g_l.relative, 4)
    (0.002, 0.1, 0.0245)
    """
    checks = Checks()
    if not steps:
        checks.add(OutOfRange("steps", 0, N_("one step or more")))
    for place, step in enumerate(steps, start=1):
        checks.number(f"step {place}", step.value, N_("above 0, up to 1"), above=0.0, high=1.0)
        checks.number(f"u(step {place})", step.standard_uncertainty, N_("0 or more"), low=0.0)
    if stock_g_l is not None:
        checks.number("stock_g_l", stock_g_l.value, N_("above 0, up to 2000 g/L"), above=0.0, high=2000.0)
    checks.done()
    left, after = 1.0, []
    for step in steps:
        left *= step.value
        after.append(left)
    return Serial(quotient(steps), None if stock_g_l is None else quotient([stock_g_l, *steps]), tuple(after))
