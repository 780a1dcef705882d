"""The pages over a data folder of their own, and helpers that fill in forms as a browser would."""

import csv
import hashlib
import re
import sqlite3
import tomllib
import warnings
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from html import unescape
from pathlib import Path

from tersum.catalogue import load
from tersum.records import visits
from tersum.records.store import open_store
from tersum.records.visit_entries import take_reading
from tersum.records.visit_reader import open_visit
from tersum.units import parse_reading
from tersum.visit.mixing import mixing_cards, solution_needs
from tersum.visit.plan import plan_from
from tersum.visit.readings import Reading
from tersum.web.app import create_app

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it asks for a newer client library
    from starlette.testclient import TestClient

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
ADDRESS = "http://127.0.0.1:8000"
YES = {"dry": "yes", "rinsed": "yes", "fresh_area": "yes"}


class Clock:
    """A clock that goes on a minute at every look."""

    def __init__(self):
        self.now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def __call__(self):
        self.now += timedelta(minutes=1)
        return self.now


def plan_of(name, **change):
    """Return the plan of an example and its seed."""
    table = tomllib.loads((EXAMPLES / name / "visit.toml").read_text(encoding="utf-8"))
    return plan_from({**table, **change}, book_spread_log10=0.205), bytes.fromhex(table["draw"]["seed_hex"])


def seal(home, plan, seed, clock=None):
    """Put a plan on record; return its visit id."""
    with open_store(home, plan.organisation, create=True, zone=plan.zone, clock=clock or Clock()) as store:
        needs = solution_needs(mixing_cards(plan, load.product))
        return visits.seal_plan(store, plan, seed=seed, needs=needs).visit_id


def example_rows(name):
    """Return the readings of an example as they are typed."""
    return list(csv.DictReader((EXAMPLES / name / "readings.csv").open(encoding="utf-8")))


@dataclass
class Site:
    """The pages over one data folder, with one visit in the middle of things."""

    home: Path
    visit_id: str
    plan: object
    client: object
    organisation: str = "example-minibuses"
    places: dict = field(default_factory=dict)

    @property
    def visit(self):
        return f"/visits/{self.organisation}/{self.visit_id}"

    def point(self, name, page=""):
        return f"{self.visit}/points/{self.places[name]}{page}"

    def get(self, path, **more):
        return self.client.get(path, follow_redirects=False, **more)

    def post(self, path, fields, **headers):
        return self.client.post(path, data=fields, follow_redirects=False,
                                headers={"sec-fetch-site": "same-origin", **headers})

    def reader(self):
        reader = self.client.app.state.desk.visit(self.organisation, self.visit_id)
        reader.refresh()
        return reader

    def ask(self, name, query=""):
        """Open the questions of a point; return the hidden fields of its form."""
        return hidden(self.get(self.point(name, "/questions") + query).text)

    def form(self, name, query=""):
        """Answer the questions with yes and open the form of the reading; return its hidden fields."""
        answered = self.post(self.point(name, "/questions"), {**self.ask(name, query), **YES})
        assert answered.status_code == 303, answered.text
        return hidden(self.get(answered.headers["location"]).text)

    def read(self, name, number, query="", **more):
        """Record one reading through the forms."""
        return self.post(self.point(name, "/reading"), {**self.form(name, query), "number": number, **more})

    def show_draw(self):
        return self.post(f"{self.visit}/draw", {"operation_id": self.reader().store.new_id()})


def hidden(html):
    """Return the hidden fields of a page."""
    return {unescape(name): unescape(value) for name, value in re.findall(
        r'<input type="hidden" name="([^"]*)" value="([^"]*)"', html)}


def kept(home):
    """Return a hash of everything that a data folder holds, as it can be read."""
    digest = hashlib.sha256()
    for path in sorted(Path(home).rglob("*.sqlite")):
        with sqlite3.connect(path) as database:
            for line in database.iterdump():
                digest.update(line.encode())
        database.close()
    return digest.hexdigest()


def client_of(home, **more):
    return TestClient(create_app(home, clock=Clock(), zone="Europe/Rome"), base_url=ADDRESS,
                      client=("127.0.0.1", 50000), **more)


def put_reading(site, name, rlu, swab="cleaned.1.1", **more):
    """Put a reading on record without the forms."""
    stage, round_, number = swab.split(".")
    low, high = parse_reading(rlu)
    with open_store(site.home, site.organisation) as store:
        visit = open_visit(store, site.visit_id, site.organisation)
        return take_reading(visit, Reading(name, stage, low, high, rlu, int(round_), int(number), **more),
                            operation_id=store.new_id())
