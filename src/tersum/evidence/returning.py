"""Points that come back dirty, and visits at which dirt was carried along the order of wiping."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tersum.arguments import probability, whole
from tersum.errors import N_, OutOfRange
from tersum.evidence.control_charts import comes_back_dirty
from tersum.evidence.multiplicity import holm
from tersum.evidence.streams import AS_FOUND, PastReading, wiping_residuals
from tersum.evidence.trend import carried_along

LEAST_POINTS = 4


@dataclass(frozen=True)
class ReturningPoint:
    """One point: at how many of its visits it was above its limit as found, and the usual share of its class.

    The usual share leaves the point itself out.
    """

    place: str
    point: str
    surface: str
    dirty: int
    visits: int
    usual_frac: float
    returns: bool


@dataclass(frozen=True)
class CarriedVisit:
    """One visit: rank correlation of what is left, less what is usual there, with the order of wiping.

    ``can_tell`` is False where so few points, with so many visits tested, could not name it in any order.
    """

    visit: str
    points: int
    rank_correlation: float
    p: float
    carried: bool
    can_tell: bool


def returning(rows: Sequence[PastReading], *, risk: float = 0.01) -> tuple[ReturningPoint, ...]:
    """Return each point with whether it was dirty as found more often than the rest of its class.

    Parameters
    ----------
    rows : sequence of PastReading
        With limits; only those read as found count, one a visit and point.
    risk : float
        Of naming any point wrongly, above 0 and below 1.

    Raises
    ------
    OutOfRange
        If no reading as found has a limit, or there are fewer than two points.
    """
    seen: dict[tuple[str, str, str], dict[str, bool]] = {}
    for row in rows:
        above = row.above_limit()
        if row.stage == AS_FOUND and above is not None:
            visits = seen.setdefault((row.place, row.point, row.surface), {})
            visits[row.visit] = visits.get(row.visit, False) or above
    if len(seen) < 2:
        raise OutOfRange("points", len(seen), N_("two points or more, read as_found and with a limit: one alone has "
                                                 "nothing beside it"))
    found, doubt = [], probability("risk", risk)
    for (place, point, surface), visits in seen.items():
        others = [one for key, values in seen.items() if key != (place, point, surface) and key[2] == surface
                  for one in values.values()]
        dirty, usual = sum(visits.values()), (sum(others) + 0.5) / (len(others) + 1.0)
        named = bool(comes_back_dirty([dirty], [len(visits)], usual_frac=usual, risk=doubt / len(seen))[0])
        found.append(ReturningPoint(place, point, surface, dirty, len(visits), usual, named and bool(others)))
    return tuple(found)


def carried_visits(rows: Sequence[PastReading], stage: str, *, last: int = 1, risk: float = 0.05,
                   rng: np.random.Generator) -> tuple[CarriedVisit, ...]:
    """Return the last visits with whether what is left grows along the order of wiping.

    Parameters
    ----------
    rows : sequence of PastReading
        With turns; the other visits say what is usual at a point.
    stage : str
        Which readings.
    last : int
        How many of the latest visits are tested, 1 or more: each one more makes it harder to name any.
    risk : float
        Of naming any of them wrongly, above 0 and below 1.
    rng : numpy Generator
        Draws other orders.

    Raises
    ------
    OutOfRange
        If no visit has four points with a turn that were also read at another visit.

    Notes
    -----
    Dirt that is carried along at every visit looks like the habit of the points wiped last, and is not seen.
    """
    days = {row.visit: row.day for row in rows}
    by_visit = {visit: left for visit, left in wiping_residuals(rows, stage).items() if len(left) >= LEAST_POINTS}
    latest = sorted(by_visit, key=lambda visit: days[visit])[-whole("last", last, at_least=1):]
    by_visit = {visit: by_visit[visit] for visit in latest}
    if not by_visit:
        raise OutOfRange("turn", 0, N_("a visit with four points or more that name their turn, each read at another "
                                       "visit too"))
    found = [(visit, carried_along(left, rng=rng)) for visit, left in by_visit.items()]
    adjusted = holm([one.p for _visit, one in found])
    doubt = probability("risk", risk)
    return tuple(CarriedVisit(visit, one.points, one.rank_correlation, one.p, bool(p <= doubt),
                              1.0 / math.factorial(min(one.points, 20)) <= doubt / len(found))
                 for (visit, one), p in zip(found, adjusted, strict=True))
