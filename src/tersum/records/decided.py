"""The decisions at every point of a table of readings, however many: each kept as JSON, in bounded memory."""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import lru_cache
from types import TracebackType
from typing import Self

from tersum.records.export import decision_fields, decision_from, json_text
from tersum.records.readings_table import PointReadings, ReadingsTable
from tersum.records.spool import Spool
from tersum.visit.decision import DONE, NOT_READ, Decision, LimitInForce, Reason, Terms
from tersum.visit.outcome import ORDER
from tersum.visit.rules import decide_point

SHOWN_MOST = 1000  # points that a person is shown, worst first; files and JSON have all
ROWS_LEFT_OUT = "rows-left-out"  # code of the remark on a point some of whose rows had a fault
_REMEMBERED = 20_000  # distinct decisions held in memory; a table with more writes them out with each point
_ROWS_PER_PARTITION = 1 << 15
_REPORT_EVERY = 1 << 14

LimitOf = Callable[[str | None, str | None], LimitInForce | None]  # of an instrument type and a surface


class DecidedTable:
    """Decisions of one table under one rule.

    Parameters
    ----------
    terms : Terms
        What was agreed; checked before.
    limit_of : callable
        Returns the limit for an instrument type and a surface, each None where not recorded.

    Attributes
    ----------
    verdicts : Counter
        How many points have each verdict.
    swabbed : int
        Points with at least one counted swab at the deciding stage.
    """

    def __init__(self, terms: Terms, limit_of: LimitOf):
        self.terms = terms
        self.verdicts: Counter[str] = Counter()
        self.swabbed = 0
        self._limit_of = limit_of
        self._spool = Spool()
        self._number_of: dict[tuple[object, ...], int] = {}
        self._bodies: list[str] = []
        self._standing: list[tuple[str, int, float, bool]] = []  # verdict, rank, -how bad, swabbed; of each body
        self._worst: list[tuple[int, float, int, str, int | str]] = []
        self._cut: tuple[int, float, int] | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None,
                 trace: TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """Drop the decisions."""
        self._spool.close()

    def __len__(self) -> int:
        return self.verdicts.total()

    def fill(self, table: ReadingsTable, progress: Callable[[int], None] | None = None) -> None:
        """Decide every point of a table; ``progress`` is called now and then with the number of points so far."""
        for count, point in enumerate(table.points(), start=1):
            self._add(point)
            if progress is not None and not count % _REPORT_EVERY:
                progress(count)

    def texts(self) -> Iterator[str]:
        """Yield every decision as a JSON object, points in the order in which the file names them first."""
        for point, body in self._in_order():
            yield f'{{"point": {json_text(point)}, {body}'

    def decisions(self) -> Iterator[Decision]:
        """Yield every decision, points in the order in which the file names them first."""
        remembered = lru_cache(maxsize=4096)(_decision)
        for point, body in self._in_order():
            yield replace(remembered(body), point=point)

    def worst(self) -> list[Decision]:
        """Return the decisions to be seen first, worst first, at most a thousand."""
        chosen = sorted(self._worst, key=_place)[:SHOWN_MOST]
        return [replace(_decision(self._body(body)), point=point) for _, _, _, point, body in chosen]

    def _in_order(self) -> Iterator[tuple[str, str]]:
        for partition in self._spool.partitions():
            for _, point, body in sorted(self._spool.partition(partition)):
                yield point, self._body(body)

    def _body(self, body: int | str) -> str:
        return body if isinstance(body, str) else self._bodies[body]

    def _add(self, point: PointReadings) -> None:
        key = (point.signature, point.left_out)
        number = self._number_of.get(key)
        if number is not None:
            self._note(point, number, self._standing[number])
            return
        decision = self._decided(point)
        body, standing = _body_of(decision), _standing(decision)
        if len(self._bodies) >= _REMEMBERED:
            self._note(point, body, standing)
            return
        self._number_of[key] = number = len(self._bodies)
        self._bodies.append(body)
        self._standing.append(standing)
        self._note(point, number, standing)

    def _note(self, point: PointReadings, body: int | str, standing: tuple[str, int, float, bool]) -> None:
        verdict, rank, badness, swabbed = standing
        self.verdicts[verdict] += 1
        self.swabbed += swabbed
        self._spool.add(point.first_row // _ROWS_PER_PARTITION, (point.first_row, point.point, body))
        place = (rank, badness, point.first_row)
        if self._cut is None or place < self._cut:
            self._worst.append((*place, point.point, body))
            if len(self._worst) >= 2 * SHOWN_MOST:
                self._worst.sort(key=_place)
                del self._worst[SHOWN_MOST:]
                self._cut = _place(self._worst[-1])

    def _decided(self, point: PointReadings) -> Decision:
        limit = self._limit_of(point.named("instrument"), point.named("surface"))
        # A table has no plan that leaves out a reading as found: under a rule that asks for it, each point needs one.
        decision = decide_point(point.point, point.readings, terms=self.terms, limit=limit,
                                as_found_planned=self.terms.rule == "limit and reduction")
        if not point.left_out:
            return decision
        left_out = Reason(ROWS_LEFT_OUT, {"rows": point.left_out})
        if decision.verdict == DONE:
            # The row that was refused may be the reading that keeps the point from being done.
            decision = replace(decision, verdict=NOT_READ, reason=left_out)
        return replace(decision, remarks=(*decision.remarks, left_out))


def _body_of(decision: Decision) -> str:
    """Return a decision as JSON from behind its point's name, which is what differs between equal decisions."""
    fields = decision_fields(decision)
    del fields["point"]
    return json_text(fields)[1:]



def _decision(body: str) -> Decision:
    return decision_from(json.loads('{"point": "", ' + body))


def _standing(decision: Decision) -> tuple[str, int, float, bool]:
    """Return what sorts a decision: verdict, then how far its mean lies above the limit (or above nothing)."""
    mean, limit = decision.geometric_mean_rlu, decision.limit_rlu or 1.0
    if mean is None:
        badness = -math.inf if decision.n else 0.0
    else:
        badness = -mean / limit
    return decision.verdict, ORDER.index(decision.verdict), badness, decision.n > 0


def _place(one: tuple[int, float, int, str, int | str]) -> tuple[int, float, int]:
    return one[:3]
