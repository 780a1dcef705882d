"""Who may open what: one table by route; a route that is not in it keeps the pages from starting."""

from __future__ import annotations

import ipaddress
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

PUBLIC = "public"  # nothing of a visit is in it
LOCAL = "local"  # whoever sits at this machine: there are no accounts yet, and no other machine is listened to

# Route: its policy. Where accounts come, a policy names the roles that may, and `caller` says which ones somebody has.
POLICIES: Mapping[str, str] = {
    "today": LOCAL,
    "ended": LOCAL,
    "visit": LOCAL,
    "draw": LOCAL,
    "point": LOCAL,
    "questions": LOCAL,
    "reading": LOCAL,
    "withdrawal": LOCAL,
    "card": LOCAL,
    "ending": LOCAL,
    "record": LOCAL,
    "issue": LOCAL,
    "record_pdf": LOCAL,
    "cards_pdf": LOCAL,
    "ladder": LOCAL,
    "decisions": LOCAL,
    "readings": LOCAL,
    "patterns": PUBLIC,
    "static": PUBLIC,
}
_ROLES = {PUBLIC: frozenset[str](), LOCAL: frozenset({LOCAL})}
_LOCAL_NAMES = frozenset({"localhost", "127.0.0.1", "::1"})


@dataclass(frozen=True)
class Caller:
    """Who asks, as far as that is known."""

    roles: frozenset[str]


class NoPolicy(LookupError):
    """A route that nobody has said who may open."""


def policy_of(route: str) -> str:
    """Return the policy of a route, or refuse a route without one."""
    if POLICIES.get(route) not in _ROLES:
        raise NoPolicy(f"route {route!r} has no policy: say in policies.py who may open it")
    return POLICIES[route]


def caller(scope: Mapping[str, Any]) -> Caller:
    """Return who asks: somebody at this machine, if both the address and the name that was asked for say so.

    The name matters because a page of another host may point a name of its own at this machine.
    """
    client = scope.get("client") or ("", 0)
    host = dict(scope["headers"]).get(b"host", b"").decode("latin-1")
    return Caller(frozenset({LOCAL}) if _is_loopback(client[0]) and _name_of(host) in _LOCAL_NAMES else frozenset())


def may(who: Caller, policy: str) -> bool:
    """Tell whether somebody may open a route of this policy."""
    return not _ROLES[policy] or bool(_ROLES[policy] & who.roles)


def _is_loopback(address: str) -> bool:
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False


def _name_of(host: str) -> str:
    """Return the name in a Host header, without port and brackets."""
    if host.startswith("["):
        return host[1:].partition("]")[0]
    return host.partition(":")[0].casefold()
