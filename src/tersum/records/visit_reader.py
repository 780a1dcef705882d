"""One visit read from its store: what was read before is kept, since facts never change, and only new ones are read."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache, partial

from sqlalchemy import bindparam, func, select

from tersum.records.effective import Effective, as_sealed, corrected
from tersum.records.facts import Fact
from tersum.records.prepared import Prepared
from tersum.records.store import Store
from tersum.records.tables import DECISIONS, FACTS, VISITS
from tersum.records.visit_facts import plan_of, reading_of
from tersum.records.visits import Kept, SealedPlan, kept_from
from tersum.visit.outcome import Ending
from tersum.visit.readings import Reading
from tersum.visit.walk import Walk, standing_at, walk

_REMEMBERED = 2000  # standings of points; a visit has a few for each of its points
_NEWEST = Prepared(select(func.max(FACTS.c.sequence)).where(
    FACTS.c.organisation_id == bindparam("organisation"), FACTS.c.visit_id == bindparam("visit")))
# The mean that an earlier visit of the same place came to at the same point and stage, newest first.
_EARLIER = Prepared(select(DECISIONS.c.geometric_mean_rlu).where(
    DECISIONS.c.organisation_id == bindparam("organisation"), DECISIONS.c.point == bindparam("point"),
    DECISIONS.c.stage == bindparam("stage"), DECISIONS.c.visit_id != bindparam("visit"),
    DECISIONS.c.geometric_mean_rlu.is_not(None), DECISIONS.c.visit_id.in_(select(VISITS.c.visit_id).where(
        VISITS.c.organisation_id == bindparam("organisation"), VISITS.c.place == bindparam("place"))),
).order_by(DECISIONS.c.at_utc.desc()))


@dataclass(frozen=True)
class Taken:
    """One reading on record, also one that was taken back.

    ``alone`` tells that its fact holds nothing else, so that it can be taken back by itself. ``typed`` is what was
    typed where the number was asked about; ``note`` is the subject that keeps its note.
    """

    fact_id: str
    reading: Reading
    utc: str
    alone: bool
    withdrawn: bool
    typed: str | None = None
    note: str | None = None


@dataclass(frozen=True)
class Ended:
    """How a visit ended, and when that was put on record."""

    ending: Ending
    utc: str


class VisitReader:
    """One visit of one organisation. May be used from several threads."""

    def __init__(self, store: Store, sealed: SealedPlan):
        self.store = store
        self.sealed = sealed
        self._facts: dict[str, Effective] = {}
        self._operations: set[str] = set()
        self._sequence = 0
        self._kept: Kept | None = None
        self._lock = threading.Lock()
        self._standing = lru_cache(_REMEMBERED)(partial(standing_at, sealed.plan))
        self._earlier = lru_cache(_REMEMBERED)(self._earlier_mean)

    def facts(self) -> tuple[Effective, ...]:
        """Return the facts of the visit as they count now, in their order, those taken back among them."""
        with self._lock:
            self._catch_up()
            return tuple(self._facts.values())

    def kept(self) -> Kept:
        """Return all that is on record of the visit, what was taken back left out."""
        with self._lock:
            self._catch_up()
            if self._kept is None:
                self._kept = kept_from([one for one in self._facts.values() if not one.withdrawn], self.sealed)
            return self._kept

    def walk(self) -> Walk:
        """Return where the visit stands."""
        visit = self.kept()
        return walk(self.sealed.plan, visit.seed, visit.readings, visit.work, standing=self._standing)

    def taken(self, point: str | None = None) -> tuple[Taken, ...]:
        """Return the readings on record, of one point or of all, in the order in which they were recorded."""
        return tuple(taken for one in self.facts() if one.fact.type == "readings-taken" for taken in _taken(one)
                     if point is None or taken.reading.point == point)

    def ended(self) -> Ended | None:
        """Return how the visit ended; None while it is open."""
        for one in reversed(self.facts()):
            if one.fact.type == "visit-ended" and not one.withdrawn:
                reason = self.words(one.data["note"]["subject_id"], "reason") if "note" in one.data else ""
                return Ended(Ending(one.data["ending"], reason, tuple(one.data["open_points"])), one.fact.when.utc)
        return None

    def knows(self, operation_id: str) -> bool:
        """Tell whether an operation is on record of this visit."""
        with self._lock:
            self._catch_up()
            return operation_id in self._operations

    def last_decision(self) -> Fact | None:
        """Return the last decision that was put on record, or None."""
        return next((one.fact for one in reversed(self.facts()) if one.fact.type == "visit-decided"), None)

    def earlier_mean_rlu(self, point: str) -> float | None:
        """Return what an earlier visit of this place came to at the point, RLU; None where there was none."""
        return self._earlier(point)

    def words(self, subject_id: str, field: str) -> str:
        """Return the words kept outside the facts under a subject; nothing once they are erased."""
        return self.store.personal_value(subject_id, field) or ""

    def _catch_up(self) -> None:
        """Read the facts that are new; a correction changes what an earlier one counts as."""
        if self._newest() == self._sequence:
            return
        for fact in self.store.facts(visit_id=self.sealed.visit_id, after=self._sequence):
            named = fact.corrects
            self._operations.add(fact.envelope["operation_id"])
            if named is None:
                self._facts[fact.fact_id] = as_sealed(fact)
            elif named.fact_id in self._facts:
                self._facts[named.fact_id] = corrected(self._facts[named.fact_id], fact.data)
            self._sequence = fact.sequence
        self._kept = None

    def _newest(self) -> int:
        values = {"organisation": self.store.organisation_id, "visit": self.sealed.visit_id}
        with self.store.database.reading() as connection:
            [(sequence,)] = _NEWEST.rows(connection, values)
            return int(sequence)

    def _earlier_mean(self, point: str) -> float | None:
        plan = self.sealed.plan
        values = {"organisation": self.store.organisation_id, "visit": self.sealed.visit_id, "point": point,
                  "stage": plan.terms.stage, "place": plan.place}
        with self.store.database.reading() as connection:
            return next((float(mean) for (mean,) in _EARLIER.rows(connection, values)), None)


def open_visit(store: Store, visit_id: str, organisation: str) -> VisitReader | None:
    """Return the visit with this id, or None if the organisation has none."""
    for row in store.table("visits", visit_id=visit_id):
        fact = store.fact(row["fact_id"])
        return VisitReader(store, SealedPlan(fact, plan_of(fact.data, organisation), visit_id, False))
    return None


def last_by_hand(taken: Sequence[Taken]) -> Taken | None:
    """Return the last reading of a point if it may be taken back: the newest, and sealed by itself."""
    counted = [one for one in taken if not one.withdrawn]
    return counted[-1] if counted and counted[-1].alone else None




def _taken(one: Effective) -> list[Taken]:
    alone = len(one.rows) == 1 and one.data.get("origin") == "form"
    return [Taken(one.fact.fact_id, reading_of(row), one.fact.when.utc, alone, one.withdrawn,
                  row.get("details", {}).get("typed"), row["note"]["subject_id"] if "note" in row else None)
            for row in one.rows]
