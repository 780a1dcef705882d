"""A small plan that the tests of the visit room share."""

import copy

import pytest

from tersum.visit.plan import plan_from

TABLE = {
    "schema": "tersum/visit/1", "visit": "test-1", "organisation": "example", "zone": "Europe/Rome", "invented": True,
    "place": {"name": "Test bus", "kind": "vehicle"},
    "instrument": {"type": "Demo Meter", "swab": "Demo Swab"},
    "rule": {"looks": 2},
    "draw": {"points": 2},
    "limit": [{"instrument": "Demo Meter", "swab": "Demo Swab", "surface": "smooth", "rlu": 200, "basis": "invented",
               "known": "memory"}],
    "point": [
        {"id": "wheel", "surface": "smooth", "touch": "high", "fixed": True, "also_as_found": True, "duplicate": True},
        {"id": "grip", "surface": "smooth", "touch": "high", "fixed": True},
        {"id": "seat", "surface": "textile", "touch": "low"},
        {"id": "window", "surface": "smooth", "touch": "low"},
        {"id": "roof", "surface": "textile", "touch": "low"}],
    "step": [{"id": "clean", "kind": "clean", "what": "wash", "work_min": 10},
             {"id": "disinfect", "kind": "disinfect", "what": "wet all touch points", "product": "Demo Concentrate A",
              "ratio": "1+20", "volume_ml": 1000, "contact_min": 10, "surfaces": ["smooth"], "targets": ["bacteria"]}],
}


@pytest.fixture
def table():
    return copy.deepcopy(TABLE)


@pytest.fixture
def plan(table):
    return plan_from(table, book_spread_log10=0.205)
