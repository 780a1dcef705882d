"""Which ratios reach the strengths asked for: one fraction for all actives, or why there is none."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tersum.chemistry.accepted import number
from tersum.chemistry.strength import Active
from tersum.errors import N_, OutOfRange, TersumError, UnknownName

# Two bounds closer than this are one bound that was rounded in another order.
_SAME = 1e-9


@dataclass(frozen=True)
class Bounds:
    """What is asked of one active in the working solution, mg/L; equal bounds are a target."""

    name: str
    min_mg_l: float | None = None
    max_mg_l: float | None = None


@dataclass(frozen=True)
class FractionInterval:
    """The fractions of concentrate that meet every bound, and the active that sets each end (None: nothing does)."""

    low_frac: float
    high_frac: float
    low_set_by: str | None
    high_set_by: str | None

    @property
    def chosen_frac(self) -> float:
        """The fraction to mix: as far, in relative terms, from both ends; at the only end if there is one.

        >>> FractionInterval(0.01, 0.04, "a", "b").chosen_frac
        0.02
        """
        if self.low_set_by is None or self.low_frac == self.high_frac:
            return self.high_frac
        return self.low_frac if self.high_set_by is None else math.sqrt(self.low_frac * self.high_frac)


class NoFraction(TersumError):
    """No single ratio meets all that is asked: the two bounds that clash are named."""

    code = "no-fraction-fits"
    exit_code = 1


def ratio_for_targets(actives: Sequence[Active], bounds: Sequence[Bounds]) -> FractionInterval:
    """Return the fractions of concentrate at which every active lies within its bounds.

    Parameters
    ----------
    actives : sequence of Active
        What is in the concentrate.
    bounds : sequence of Bounds
        At least one bound, above 0; each for an active of the concentrate.

    Raises
    ------
    OutOfRange
        If the concentrate is weaker than what is asked.
    NoFraction
        If one bound needs more concentrate than another allows.

    Source
    ------
    Mass balance: one fraction f for all, f = C_target / C_stock for each.

    Examples
    --------
    >>> stock = [Active("peracetic acid", 43600.0), Active("hydrogen peroxide", 207100.0)]
    >>> found = ratio_for_targets(stock, [Bounds("peracetic acid", 1000.0), Bounds("hydrogen peroxide", None, 8000.0)])
    >>> round(found.low_frac, 5), round(found.high_frac, 5), found.high_set_by
    (0.02294, 0.03863, 'hydrogen peroxide')
    """
    if not any(one.min_mg_l is not None or one.max_mg_l is not None for one in bounds):
        raise OutOfRange("bounds", "", N_("a least or a greatest strength of one active or more"))
    stock = {one.name.casefold(): one for one in actives}
    low, high, low_by, high_by = 0.0, 1.0, None, None
    for one in bounds:
        found = stock.get(one.name.casefold())
        if found is None:
            raise UnknownName("active", one.name, tuple(named.name for named in actives))
        needed, allowed = _fractions(one, found)
        if needed is not None and needed > low:
            low, low_by = needed, found.name
        if allowed is not None and allowed < high:
            high, high_by = allowed, found.name
    if low > high * (1.0 + _SAME):
        raise NoFraction(
            N_("No one ratio fits: {first} needs at least {low:.4g} % concentrate, {second} allows at most "
               "{high:.4g} %; accepted: {accepted}."),
            field="target", value="", accepted=N_("a lower least strength, a higher greatest one, or another product"),
            first=low_by, second=high_by, low=100.0 * low, high=100.0 * high)
    return FractionInterval(min(low, high), high, low_by, high_by)


def _fractions(asked: Bounds, found: Active) -> tuple[float | None, float | None]:
    for name, value in (("min_mg_l", asked.min_mg_l), ("max_mg_l", asked.max_mg_l)):
        if value is not None:
            number(f"{asked.name}: {name}", value, N_("above 0 mg/L"), above=0.0)
    least, most = asked.min_mg_l, asked.max_mg_l
    if least is not None and least > found.strength_mg_l * (1.0 + _SAME):
        raise OutOfRange(asked.name, least, N_("up to {most:.6g} mg/L, the strength of the concentrate"),
                         most=found.strength_mg_l)
    if least is not None and most is not None and least > most:
        raise OutOfRange(asked.name, most, N_("a greatest strength of {least:.6g} mg/L or more"), least=least)
    return (None if least is None else min(least / found.strength_mg_l, 1.0),
            None if most is None else most / found.strength_mg_l)
