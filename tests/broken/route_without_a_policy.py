"""Adds a route that nobody has said who may open."""

from starlette.responses import PlainTextResponse
from starlette.routing import Route

from tersum.web import app

WHAT = "a route is added beside the table of policies"
BREAKS = ["tests/web/test_policies.py::test_every_route_has_a_policy_and_every_policy_a_route"]


def apply(monkeypatch):
    routes = app.routes
    forgotten = Route("/forgotten", lambda request: PlainTextResponse("everything"), name="forgotten")
    monkeypatch.setattr(app, "routes", lambda: [*routes(), forgotten])
