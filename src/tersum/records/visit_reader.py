"""One visit read from its store: what was read before is kept, since facts never change, and only new ones are read."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial

from sqlalchemy import Connection, bindparam, func, select

from tersum.records.effective import Effective, as_sealed, corrected
from tersum.records.facts import Fact
from tersum.records.prepared import Prepared
from tersum.records.store import Store
from tersum.records.tables import DECISIONS, FACTS, VISITS
from tersum.records.visit_facts import plan_of, reading_of
from tersum.records.visits import Kept, SealedPlan, kept_from
from tersum.visit.next_swab import cleaning_is_over
from tersum.visit.outcome import Ending
from tersum.visit.plan import planned_points
from tersum.visit.readings import Reading
from tersum.visit.walk import Standing, Walk, standing_at, walk

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
    """How a visit ended, with the fact that says so and the fact of the decision it rests on."""

    ending: Ending
    fact: Fact
    decision: Fact


class VisitReader:
    """One visit of one organisation, as it was when :meth:`refresh` last looked. May be used from several threads."""

    def __init__(self, store: Store, sealed: SealedPlan):
        self.store = store
        self.sealed = sealed
        self.sequence = 0  # the newest fact of the visit that is known here
        self._facts: dict[str, Effective] = {}
        self._taken: dict[str, tuple[Taken, ...]] = {}
        self._operations: set[str] = set()
        self._kept: Kept | None = None
        self._by_point: dict[str, tuple[Reading, ...]] = {}
        self._lock = threading.RLock()
        self._places = {point.id: place for place, point in enumerate(sealed.plan.points, start=1)}
        self._standing = lru_cache(_REMEMBERED)(partial(standing_at, sealed.plan))
        self._earlier = lru_cache(_REMEMBERED)(self._earlier_mean)

    def refresh(self) -> None:
        """Read the facts that are new; a correction changes what an earlier one counts as."""
        with self._lock:
            with self.store.database.reading() as connection:
                newest = self.newest(connection)
            if newest == self.sequence:
                return
            for fact in self.store.facts(visit_id=self.sealed.visit_id, after=self.sequence):
                self._add(fact)

    def newest(self, connection: Connection) -> int:
        """Return the number of the visit's newest fact, as a connection sees it."""
        values = {"organisation": self.store.organisation_id, "visit": self.sealed.visit_id}
        [(sequence,)] = _NEWEST.rows(connection, values)
        return int(sequence)

    def add(self, fact: Fact, *, after: int) -> None:
        """Take in a fact that was put on record just now, if it follows on what is known here."""
        with self._lock:
            if self.sequence == after:
                self._add(fact)

    def facts(self) -> tuple[Effective, ...]:
        """Return the facts of the visit as they count now, in their order, those taken back among them."""
        with self._lock:
            return tuple(self._facts.values())

    def kept(self) -> Kept:
        """Return all that is on record of the visit, what was taken back left out."""
        with self._lock:
            if self._kept is None:
                counted = [one for one in self._facts.values() if not one.withdrawn]
                self._kept = kept_from(counted, self.sealed, readings_of=self._readings_of)
                by_point: dict[str, list[Reading]] = {}
                for reading in self._kept.readings:
                    by_point.setdefault(reading.point, []).append(reading)
                self._by_point = {point: tuple(readings) for point, readings in by_point.items()}
            return self._kept

    def walk(self) -> Walk:
        """Return where the visit stands."""
        visit = self.kept()
        return walk(self.sealed.plan, visit.seed, visit.readings, visit.work, standing=self._standing)

    def standing(self, place: int) -> Standing | None:
        """Return where one point stands; None where there is no such point, or it is not to be read."""
        with self._lock:
            visit = self.kept()
            point = next((one for one in planned_points(self.sealed.plan, visit.seed)
                          if self._places[one.id] == place), None)
            if point is None:
                return None
            over = cleaning_is_over(self.sealed.plan, visit.seed, visit.readings, visit.work)
            return self._standing(place, self._by_point.get(point.id, ()), over)

    def seen_at(self, place: int) -> tuple[int, Standing | None]:
        """Return the newest fact that is known here, and where one point stands by it."""
        with self._lock:
            return self.sequence, self.standing(place)

    def taken(self, point: str | None = None) -> tuple[Taken, ...]:
        """Return the readings on record, of one point or of all, in the order in which they were recorded."""
        with self._lock:
            return tuple(taken for one in self._facts.values() if one.fact.type == "readings-taken"
                         for taken in self._taken_of(one) if point is None or taken.reading.point == point)

    def ended(self) -> Ended | None:
        """Return how the visit ended; None while it is open."""
        for one in reversed(self.facts()):
            if one.fact.type == "visit-ended" and not one.withdrawn:
                reason = self.words(one.data["note"]["subject_id"], "reason") if "note" in one.data else ""
                return Ended(Ending(one.data["ending"], reason, tuple(one.data["open_points"])), one.fact,
                             self._facts[one.data["decision"]].fact)
        return None

    def knows(self, operation_id: str) -> bool:
        """Tell whether an operation is on record of this visit."""
        with self._lock:
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

    def _add(self, fact: Fact) -> None:
        named = fact.corrects
        self._operations.add(fact.envelope["operation_id"])
        if named is None:
            self._facts[fact.fact_id] = as_sealed(fact)
        elif named.fact_id in self._facts:
            self._facts[named.fact_id] = corrected(self._facts[named.fact_id], fact.data)
            self._taken.pop(named.fact_id, None)
        self.sequence = fact.sequence
        self._kept = self._kept_with(self._facts[fact.fact_id]) if fact.type == "readings-taken" else None

    def _kept_with(self, one: Effective) -> Kept | None:
        """Return what is on record with one more batch of readings, which is what comes most often."""
        if self._kept is None:
            return None
        readings = self._readings_of(one)
        for reading in readings:
            self._by_point[reading.point] = (*self._by_point.get(reading.point, ()), reading)
        return replace(self._kept, readings=(*self._kept.readings, *readings),
                       reading_facts=(*self._kept.reading_facts, one.fact.fact_id))

    def _taken_of(self, one: Effective) -> tuple[Taken, ...]:
        if one.fact.fact_id not in self._taken:
            self._taken[one.fact.fact_id] = _taken(one)
        return self._taken[one.fact.fact_id]

    def _readings_of(self, one: Effective) -> list[Reading]:
        return [taken.reading for taken in self._taken_of(one)]

    def _earlier_mean(self, point: str) -> float | None:
        plan = self.sealed.plan
        values = {"organisation": self.store.organisation_id, "visit": self.sealed.visit_id, "point": point,
                  "stage": plan.terms.stage, "place": plan.place}
        with self.store.database.reading() as connection:
            return next((float(mean) for (mean,) in _EARLIER.rows(connection, values)), None)


def open_visit(store: Store, visit_id: str, organisation: str) -> VisitReader | None:
    """Return the visit with this id as it is now, or None if the organisation has none."""
    for row in store.table("visits", visit_id=visit_id):
        fact = store.fact(row["fact_id"])
        reader = VisitReader(store, SealedPlan(fact, plan_of(fact.data, organisation), visit_id, False))
        reader.refresh()
        return reader
    return None


def last_by_hand(taken: Sequence[Taken]) -> Taken | None:
    """Return the last reading of a point if it may be taken back: the newest, and sealed by itself."""
    counted = [one for one in taken if not one.withdrawn]
    return counted[-1] if counted and counted[-1].alone else None


def _taken(one: Effective) -> tuple[Taken, ...]:
    alone = len(one.rows) == 1 and one.data.get("origin") == "form"
    return tuple(
        Taken(one.fact.fact_id, reading_of(row), one.fact.when.utc, alone, one.withdrawn,
              row.get("details", {}).get("typed"), row["note"]["subject_id"] if "note" in row else None)
        for row in one.rows)
