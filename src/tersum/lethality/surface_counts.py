"""Colonies per cm2 from swabs and contact plates: as recovered, corrected for recovery, with the detection limit."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import real, row, wholes
from tersum.errors import N_, OutOfRange
from tersum.lethality.count_scatter import poisson_interval, zero_upper

TOO_CROWDED = "plate-too-crowded"
NO_RECOVERY = "recovery-not-known"
# A contact plate with more cannot be read reliably, and its colonies have merged.
MOST_ON_A_CONTACT_PLATE = 200.0


@dataclass(frozen=True)
class SurfaceCount:
    """CFU per cm2 of a surface.

    ``operator`` is ``=``, ``<`` (none grew: below one colony on all that was plated) or ``>`` (too crowded).
    ``recovered`` is what came off; ``corrected`` divides by the recovery, NaN where that is not known. ``low`` and
    ``high`` are the Poisson interval of ``recovered`` at 95 %; where none grew ``high`` is the one-sided 95 % limit.
    A swab is never compared with a limit for contact plates.
    """

    operator: str
    recovered: float
    corrected: float
    low: float
    high: float
    detection_limit: float
    method: str
    flags: tuple[str, ...]


def swab_count(counts: ArrayLike, *, plated_ml: float, eluate_ml: float, area_cm2: float, dilution: float = 1.0,
               recovery_frac: float | None = None) -> SurfaceCount:
    """Return CFU per cm2 from plates of a swab's or sponge's eluate.

    Parameters
    ----------
    counts : array_like, shape (n,)
        Colonies on each plate, 0 or more.
    plated_ml : float
        On each plate, mL, above 0.
    eluate_ml : float
        The swab was washed out in, mL, at least what was plated.
    area_cm2 : float
        Swabbed, cm2, above 0.
    dilution : float
        Of the eluate on the plates, above 0 and up to 1.
    recovery_frac : float, optional
        What the swab picks up and gives back of what is there, above 0 and up to 1, from one's own trials; None: not
        known.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Unit arithmetic, mean count / volume / dilution * eluate / area (ISO 18593: memory). Recovery is low and varies.
    After a disinfection the eluate needs a neutraliser, or the count reads low.

    Examples
    --------
    >>> found = swab_count([35, 41], plated_ml=1.0, eluate_ml=10.0, area_cm2=100.0, recovery_frac=0.5)
    >>> round(found.recovered, 6), round(found.corrected, 6)
    (3.8, 7.6)
    >>> none = swab_count([0, 0], plated_ml=1.0, eluate_ml=10.0, area_cm2=100.0)
    >>> none.operator, none.recovered, round(none.high, 3)
    ('<', 0.05, 0.15)
    """
    seen = row("counts", wholes("counts", counts))
    plated = real("plated_ml", plated_ml, above=0.0)
    eluate = real("eluate_ml", eluate_ml, above=0.0)
    if plated * seen.size > eluate * (1.0 + 1e-9):
        raise OutOfRange("eluate_ml", eluate, N_("at least what was plated, {plated:g} mL"), plated=plated * seen.size)
    diluted = real("dilution", dilution, above=0.0, at_most=1.0)
    per_colony = eluate / (plated * seen.size * diluted * real("area_cm2", area_cm2, above=0.0))
    return _surface(float(seen.sum()), per_colony, "swab", recovery_frac, ())


def contact_plate_count(counts: ArrayLike, *, plate_cm2: float, recovery_frac: float | None = None) -> SurfaceCount:
    """Return CFU per cm2 from contact plates.

    Parameters
    ----------
    counts : array_like, shape (n,)
        Colonies on each plate, 0 or more.
    plate_cm2 : float
        Area of one plate, cm2 (20 to 25 are usual), above 0.
    recovery_frac : float, optional
        As for :func:`swab_count`.

    Examples
    --------
    >>> contact_plate_count([12, 8], plate_cm2=25.0).recovered
    0.4
    """
    seen = row("counts", wholes("counts", counts))
    area = real("plate_cm2", plate_cm2, above=0.0)
    crowded = float(seen.max()) > MOST_ON_A_CONTACT_PLATE
    found = _surface(float(seen.sum()), 1.0 / (area * seen.size), "contact-plate", recovery_frac,
                     (TOO_CROWDED,) if crowded else ())
    if not crowded:
        return found
    # What could be read on the crowded plates is the least that is there.
    least = float(np.minimum(seen, MOST_ON_A_CONTACT_PLATE).sum()) / (area * seen.size)
    share = math.nan if recovery_frac is None else recovery_frac
    return SurfaceCount(">", least, least / share, math.nan, math.nan, found.detection_limit, found.method, found.flags)


def _surface(colonies: float, per_colony: float, method: str, recovery_frac: float | None,
             flags: tuple[str, ...]) -> SurfaceCount:
    share = math.nan
    if recovery_frac is None:
        flags = (*flags, NO_RECOVERY)
    else:
        share = real("recovery_frac", recovery_frac, above=0.0, at_most=1.0)
    if colonies == 0.0:
        return SurfaceCount("<", per_colony, per_colony / share, 0.0, zero_upper() * per_colony, per_colony, method,
                            flags)
    low, high = (float(end) * per_colony for end in poisson_interval(colonies))
    number = colonies * per_colony
    return SurfaceCount("=", number, number / share, low, high, per_colony, method, flags)
