"""What to do with what is left in a tank: discard it, unless everything that speaks for topping up is known."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.chemistry.accepted import Checks
from tersum.errors import N_

DISCARD, MAY_TOP_UP = "discard", "may-top-up"


@dataclass(frozen=True)
class Remainder:
    """Advice for a remainder: ``discard`` or ``may-top-up``, why, and the use-by time of the mix, h from now.

    The mix is used by the earliest of its parts. ``reasons`` are codes: ``oxidiser``, ``strength-not-measured``,
    ``may-be-dirty``, ``past-its-use-by``.
    """

    advice: str
    reasons: tuple[str, ...]
    use_by_h: float


def remainder(*, oxidiser: bool | None, strength_measured: bool, clean: bool, left_use_by_h: float,
              fresh_use_by_h: float) -> Remainder:
    """Return what to do with what is left in a tank.

    Parameters
    ----------
    oxidiser : bool or None
        Whether it is an oxidiser (peracid, peroxide, hypochlorite); None where that is not known, and counts as yes.
    strength_measured : bool
        Whether the strength left was titrated, not assumed.
    clean : bool
        Whether nothing went back into the tank: no cloth, no brush, no soil, no metal.
    left_use_by_h, fresh_use_by_h : float
        Hours left of the remainder (0 or below: past), and of a fresh mix.

    Source
    ------
    Common practice (no source): dirt and metals decompose oxidisers, and the age of a remainder is rarely known.

    Examples
    --------
    >>> remainder(oxidiser=True, strength_measured=True, clean=True, left_use_by_h=4.0, fresh_use_by_h=24.0)
    Remainder(advice='discard', reasons=('oxidiser',), use_by_h=24.0)
    >>> remainder(oxidiser=False, strength_measured=True, clean=True, left_use_by_h=4.0, fresh_use_by_h=24.0).use_by_h
    4.0
    """
    checks = Checks()
    checks.number("left_use_by_h", left_use_by_h, N_("a number of hours"), low=-1e5, high=1e5)
    checks.number("fresh_use_by_h", fresh_use_by_h, N_("above 0 h"), above=0.0, high=1e5)
    checks.done()
    said = ((oxidiser is not False, "oxidiser"), (not strength_measured, "strength-not-measured"),
            (not clean, "may-be-dirty"), (left_use_by_h <= 0.0, "past-its-use-by"))
    reasons = tuple(code for holds, code in said if holds)
    if reasons:
        return Remainder(DISCARD, reasons, fresh_use_by_h)
    return Remainder(MAY_TOP_UP, (), min(left_use_by_h, fresh_use_by_h))
