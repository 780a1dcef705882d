"""What an address names: a visit, or one of its points; where there is none, the same answer for every reason."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request

from tersum.records.visit_reader import VisitReader
from tersum.visit.plan import Plan
from tersum.visit.walk import Standing, Walk
from tersum.web.desk import Desk, NoSuchVisit


@dataclass(frozen=True)
class AtVisit:
    """A visit that was asked for, and where it stands."""

    organisation: str
    visit_id: str
    reader: VisitReader
    walk: Walk

    @property
    def plan(self) -> Plan:
        return self.reader.sealed.plan

    @property
    def address(self) -> dict[str, str]:
        """What names the visit in an address."""
        return {"organisation": self.organisation, "visit": self.visit_id}


@dataclass(frozen=True)
class AtPoint(AtVisit):
    """A point that was asked for."""

    standing: Standing

    @property
    def point_address(self) -> dict[str, Any]:
        """What names the point in an address."""
        return {**self.address, "place": self.standing.place}


def desk_of(request: Request) -> Desk:
    """Return the desk that the pages work at."""
    desk: Desk = request.app.state.desk
    return desk


def at_visit(request: Request) -> AtVisit:
    """Return the visit that an address names, or answer that there is no such page."""
    organisation, visit_id = request.path_params["organisation"], request.path_params["visit"]
    try:
        reader = desk_of(request).visit(organisation, visit_id)
    except NoSuchVisit:
        raise HTTPException(404) from None
    return AtVisit(organisation, visit_id, reader, reader.walk())


def at_point(request: Request) -> AtPoint:
    """Return the point that an address names; one that is not to be read, or not yet, is none."""
    here = at_visit(request)
    standing = here.walk.at(request.path_params["place"])
    if standing is None:
        raise HTTPException(404)
    return AtPoint(here.organisation, here.visit_id, here.reader, here.walk, standing)
