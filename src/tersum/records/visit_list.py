"""The visits of one organisation, newest first: those that are open, and those that have ended."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import RowMapping, Select, exists, func, select

from tersum.records.facts import moment_of
from tersum.records.store import Store
from tersum.records.tables import ENDINGS, FACTS, VISITS

_HAS_ENDED = exists().where(ENDINGS.c.organisation_id == VISITS.c.organisation_id,
                            ENDINGS.c.visit_id == VISITS.c.visit_id)


@dataclass(frozen=True)
class ListedVisit:
    """One visit as a list shows it; ``last_utc`` is when something was last put on record of it."""

    organisation: str
    visit_id: str
    visit: str
    place: str
    place_kind: str
    planned_utc: str
    last_utc: str
    ending: str | None = None


def open_visits(store: Store, organisation: str, *, most: int) -> tuple[ListedVisit, ...]:
    """Return the visits that have no ending, the one last worked on first, at most so many."""
    return _listed(store, organisation, _visits(store).where(~_HAS_ENDED), most)


def ended_visits(store: Store, organisation: str, *, most: int) -> tuple[ListedVisit, ...]:
    """Return the visits that have ended, the last one first, at most so many."""
    return _listed(store, organisation, _visits(store).where(_HAS_ENDED), most)


def _visits(store: Store) -> Select[Any]:
    last = (select(func.max(FACTS.c.sequence)).where(FACTS.c.organisation_id == VISITS.c.organisation_id,
                                                     FACTS.c.visit_id == VISITS.c.visit_id)
            .correlate(VISITS).scalar_subquery())
    ending = (select(ENDINGS.c.ending).where(ENDINGS.c.organisation_id == VISITS.c.organisation_id,
                                             ENDINGS.c.visit_id == VISITS.c.visit_id)
              .order_by(ENDINGS.c.at_utc.desc()).limit(1).correlate(VISITS).scalar_subquery())
    return (select(VISITS.c.visit_id, VISITS.c.visit, VISITS.c.place, VISITS.c.place_kind, VISITS.c.at_utc,
                   last.label("last"), ending.label("ending"))
            .where(VISITS.c.organisation_id == store.organisation_id))


def _listed(store: Store, organisation: str, query: Select[Any], most: int) -> tuple[ListedVisit, ...]:
    with store.database.reading() as connection:
        rows = connection.execute(query.order_by(query.selected_columns.last.desc()).limit(most)).mappings().all()
        bodies = {sequence: bytes(body) for sequence, body in connection.execute(
            select(FACTS.c.sequence, FACTS.c.body).where(FACTS.c.organisation_id == store.organisation_id,
                                                         FACTS.c.sequence.in_([row["last"] for row in rows])))}
    return tuple(_one(organisation, row, moment_of(bodies[row["last"]])) for row in rows)


def _one(organisation: str, row: RowMapping, last_utc: str) -> ListedVisit:
    return ListedVisit(organisation, row["visit_id"], row["visit"], row["place"] or "", row["place_kind"],
                       row["at_utc"], last_utc, row["ending"])
