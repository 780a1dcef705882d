"""Review of frozen limits: the readings since, by the limit's own method, and whether they leave it out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from tersum.evidence import baseline
from tersum.evidence.baseline import Lack, OwnLimit
from tersum.records.baseline import BaselinePoint
from tersum.records.learning import Method, learnt
from tersum.records.limits_file import Frozen, Limits, Meter
from tersum.visit.plan import Limit


@dataclass(frozen=True)
class Review:
    """A frozen limit beside the readings since; visits it has judged stay as they were judged."""

    surface: str
    rlu: float
    frozen_on: str
    anchor_rlu: float
    verdict: str
    points_since: int
    days_since: int
    same_equipment: bool
    fresh: OwnLimit | None
    lacks: tuple[Lack, ...]


def reviews(limits: Limits, points: Sequence[BaselinePoint], meter: Meter, *, today: date,
            only_passed: bool = False) -> tuple[Review, ...]:
    """Return the review of every limit of a file that was learnt from readings.

    Parameters
    ----------
    limits : Limits
        With what each was learnt from; those without are passed over.
    points : sequence of BaselinePoint
        All of one instrument type; those of the day a limit was frozen, or before, or of no day, do not count for it.
    meter : Meter
        Instrument type, swab type and area of these points.
    today : date
        The day of the review.
    only_passed : bool
        True where the readings are those of visits that had passed, from which nothing can be learnt.
    """
    return tuple(_review(limit, frozen, points, meter, today, only_passed)
                 for limit, frozen in zip(limits.limits, limits.frozen, strict=True) if frozen is not None)


def _review(limit: Limit, frozen: Frozen, points: Sequence[BaselinePoint], meter: Meter, today: date,
            only_passed: bool) -> Review:
    since = [one for one in points if one.surface.casefold() == limit.surface.casefold()
             and one.day is not None and one.day > frozen.on]
    same = (limit.instrument, limit.swab, limit.area_cm2) == (meter.instrument, meter.swab, meter.area_cm2)
    days = max((today - date.fromisoformat(frozen.on)).days, 0)
    method = Method(frozen.method, frozen.share_pct / 100.0, frozen.confidence_pct / 100.0, frozen.seed)
    fresh, lacks = learnt(since, method, only_passed=only_passed) if same else (None, ())
    verdict = baseline.review(limit.rlu, fresh, points_since=len(since), days_since=days, changed_equipment=not same)
    return Review(limit.surface, limit.rlu, frozen.on, frozen.anchor_rlu, verdict, len(since), days, same, fresh, lacks)
