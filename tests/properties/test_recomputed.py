"""Every verdict on record comes out of the stored facts again, to the last digit, for visit after random visit."""

import copy
import os

import numpy as np

from tersum.records import visits
from tersum.records.store import open_store
from tersum.visit.plan import plan_from
from tersum.visit.readings import Reading

# 10,000 by `make soak`; fewer here, with the same seed and the same test.
VISITS = 10_000 if os.environ.get("TERSUM_TEST_PROFILE") == "soak" else 150
TABLE = {
    "schema": "tersum/visit/1", "visit": "", "organisation": "random-visits", "zone": "UTC", "invented": True,
    "place": {"name": "any", "kind": "room"}, "instrument": {"type": "M", "swab": "S"},
    "draw": {"points": 1}, "rule": {}, "limit": [], "point": []}


def random_plan(random, name):
    table = copy.deepcopy(TABLE)
    table["visit"] = name
    rule = random.choice(["limit", "plain limit", "limit and reduction"])
    table["rule"] = {"name": str(rule), "looks": int(random.integers(1, 4))}
    if rule == "limit and reduction":
        table["rule"]["reduction_pct"] = float(random.choice([50.0, 80.0, 90.0]))
    if random.random() < 0.5:
        table["instrument"]["duplicates"] = [[float(x) for x in 10 ** random.normal(2, 0.2, 2)] for _ in range(8)]
    table["limit"] = [{"instrument": "M", "swab": "S", "surface": surface, "rlu": float(random.integers(50, 600)),
                       "basis": "invented", "known": "memory"} for surface in ("smooth", "rough")
                      if random.random() < 0.9]
    for place in range(int(random.integers(2, 6))):
        fixed = place == 0 or bool(random.random() < 0.5)
        table["point"].append({"id": f"p{place}", "surface": str(random.choice(["smooth", "rough"])), "touch": "high",
                               "fixed": fixed,
                               # A rule that asks for a reduction takes a reading as found at one point or more.
                               "also_as_found": fixed and (bool(random.random() < 0.5)
                                                           or (place == 0 and rule == "limit and reduction")),
                               "fresh_areas": int(random.integers(0, 4))})
    table["point"].append({"id": "drawn", "surface": "smooth", "touch": "low"})
    return plan_from(table, book_spread_log10=0.205)


def random_readings(random, plan):
    made = []
    for point in plan.points:
        for stage, rounds in (("as_found", 1), ("cleaned", int(random.integers(0, 4)))):
            for round_ in range(1, rounds + 1):
                for swab in range(1, int(random.integers(1, 4))):
                    rlu = float(np.round(10 ** random.normal(2.2, 0.5), 1))
                    low, high = [(rlu, rlu), (0.0, rlu), (rlu, np.inf)][random.choice([0, 0, 0, 1, 2])]
                    made.append(Reading(point.id, stage, low, high, str(rlu), round=round_, swab=swab,
                                        blank_rlu=[None, 2.5][random.integers(0, 2)],
                                        dry=[None, True, False][random.integers(0, 3)]))
    return made


def test_every_stored_verdict_is_computed_again_from_stored_facts(tmp_path):
    """Plan, readings and draw as stored give the verdicts as stored, whatever the visit."""
    random = np.random.default_rng(20261125)
    verdicts = set()
    with open_store(tmp_path / "home", "random-visits", create=True, zone="UTC") as store:
        for number in range(VISITS):
            plan = random_plan(random, f"visit {number}")
            sealed = visits.seal_plan(store, plan, seed=random.bytes(32), needs={})
            visits.reveal(store, sealed)
            visits.take_readings(store, sealed, random_readings(random, plan), file_sha256="0" * 64)
            visit = visits.kept(store, sealed)
            decision = visits.seal_decision(store, visit, visits.decided(visit))
            facts = store.effective(visit_id=sealed.visit_id)
            assert visits.recomputed(facts[decision.fact_id], facts) == decision.data["verdicts"], number
            verdicts |= {row["verdict"] for row in decision.data["verdicts"]}
    assert len(verdicts) >= 6, verdicts
