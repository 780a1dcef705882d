"""Today's visits: those that are open with what to do next, and those that ended today."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from tersum.documents.text import _
from tersum.errors import TersumError
from tersum.records.store import Store
from tersum.records.visit_list import ListedVisit, ended_visits, open_visits
from tersum.visit.plan import Plan
from tersum.visit.walk import Walk
from tersum.web import words
from tersum.web.desk import Desk
from tersum.web.places import desk_of
from tersum.web.rendering import page

MOST_OPEN = 30  # of each organisation; what to do next is worked out for each
MOST_ENDED = 100


@dataclass(frozen=True)
class OpenVisit:
    """An open visit and what to do next at it."""

    listed: ListedVisit
    plan: Plan
    walk: Walk
    task: Markup


def shown(request: Request) -> Response:
    """Show the visits of every organisation in the data folder, the one last worked on first."""
    desk = desk_of(request)
    stores, refused = desk.stores()
    opened = sorted((one for name, store in stores.items() for one in _open(desk, name, store)),
                    key=lambda one: one.listed.last_utc, reverse=True)
    today = [one for one in _ended(stores) if _is_today(desk, one.last_utc)]
    return page(request, "today/today.html", opened=opened, ended=today, zone=desk.zone,
                refused=[fault.sentence(_) for fault in refused.values()], organisations=len(stores))


def ended_shown(request: Request) -> Response:
    """Show the visits that have ended, the last one first."""
    desk = desk_of(request)
    stores, _refused = desk.stores()
    return page(request, "today/ended.html", ended=_ended(stores), zone=desk.zone, most=MOST_ENDED)


def _open(desk: Desk, organisation: str, store: Store) -> list[OpenVisit]:
    found = []
    for listed in open_visits(store, organisation, most=MOST_OPEN):
        try:
            reader = desk.visit(organisation, listed.visit_id)
            reader.refresh()
            walk = reader.walk()
        except TersumError:
            continue  # a visit that cannot be read says so on its own page and in the ledger check
        plan = reader.sealed.plan
        found.append(OpenVisit(listed, plan, walk, words.task(plan, walk, walk.task)))
    return found


def _ended(stores: dict[str, Store] | object) -> list[ListedVisit]:
    assert isinstance(stores, dict)
    ended = [one for name, store in stores.items() for one in ended_visits(store, name, most=MOST_ENDED)]
    return sorted(ended, key=lambda one: one.last_utc, reverse=True)[:MOST_ENDED]


def _is_today(desk: Desk, utc: str) -> bool:
    zone = ZoneInfo(desk.zone)
    return datetime.fromisoformat(utc).astimezone(zone).date() == desk.clock().astimezone(zone).date()
