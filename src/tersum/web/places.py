"""What an address names: a visit, or one of its points; where there is none, the same answer for every reason."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request

from tersum.records.visit_reader import VisitReader
from tersum.visit.plan import Plan
from tersum.visit.walk import Standing, Walk
from tersum.web.desk import Desk, NoSuchVisit


@dataclass(frozen=True)
class AtVisit:
    """A visit that was asked for."""

    organisation: str
    visit_id: str
    reader: VisitReader

    @property
    def plan(self) -> Plan:
        return self.reader.sealed.plan

    @cached_property
    def walk(self) -> Walk:
        """Where the visit stands."""
        return self.reader.walk()

    @property
    def address(self) -> dict[str, str]:
        """What names the visit in an address."""
        return {"organisation": self.organisation, "visit": self.visit_id}


@dataclass(frozen=True)
class AtPoint(AtVisit):
    """A point that was asked for; ``seen`` is the newest fact of the visit that was looked at for it."""

    standing: Standing
    seen: int

    @property
    def point_address(self) -> dict[str, Any]:
        """What names the point in an address."""
        return {**self.address, "place": self.standing.place}


def desk_of(request: Request) -> Desk:
    """Return the desk that the pages work at."""
    desk: Desk = request.app.state.desk
    return desk


def at_visit(request: Request, *, refreshed: bool = True) -> AtVisit:
    """Return the visit that an address names, as it is now, or answer that there is no such page."""
    organisation, visit_id = request.path_params["organisation"], request.path_params["visit"]
    try:
        reader = desk_of(request).visit(organisation, visit_id)
    except NoSuchVisit:
        raise HTTPException(404) from None
    if refreshed:
        reader.refresh()
    return AtVisit(organisation, visit_id, reader)


def at_point(request: Request, *, refreshed: bool = True) -> AtPoint:
    """Return the point that an address names; one that is not to be read, or not yet, is none.

    Not ``refreshed``, the visit may be older than what is on record: good only for what is checked again before it is
    put there.
    """
    here = at_visit(request, refreshed=refreshed)
    seen, standing = here.reader.seen_at(request.path_params["place"])
    if standing is None:
        raise HTTPException(404)
    return AtPoint(here.organisation, here.visit_id, here.reader, standing, seen)
