"""Visit records to draw in tests: finished, ending honestly, small and large; all invented."""

import math
import tomllib
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tersum.catalogue.load import product
from tersum.documents.visit_record import VisitRecord
from tersum.records.facts import Head
from tersum.visit.carried_out import carried_out, work_from
from tersum.visit.mixing import mixing_cards, solution_needs
from tersum.visit.outcome import Ending, ended
from tersum.visit.plan import SamplingPoint, commitment, drawn, plan_from
from tersum.visit.readings import Reading
from tersum.visit.verdicts import verdicts

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
ISSUED = datetime(2026, 3, 2, 10, 5, tzinfo=UTC)
KEY = "0123456789abcdef0123456789abcdef"
FIRST = datetime(2026, 3, 2, 8, 50, tzinfo=UTC)


def reading(point, rlu, *, stage="cleaned", place=0, **more):
    """One swab; ``rlu`` is a number, or the two bounds of one."""
    low, high = rlu if isinstance(rlu, tuple) else (rlu, rlu)
    raw = f"<{high:g}" if low == 0 else f">{low:g}" if math.isinf(high) else f"{low:g}"
    at = (FIRST + timedelta(minutes=2 * place)).strftime("%Y-%m-%dT%H:%M:%SZ")
    return Reading(point, stage, low, high, raw, at=at, person="P-014", swab_lot="S-0001", **more)


def record_of(plan, seed, readings, work, *, ending=None, **more):
    """Return the record of a visit decided by its own rule."""
    made = verdicts(plan, seed, readings)
    cards = mixing_cards(plan, product)
    needs = solution_needs(cards)
    return replace(VisitRecord(
        number="example-2026-0001", issued_at=ISSUED, key_id=KEY, plan=plan, readings=tuple(readings),
        decisions=made.decisions, statement=made.statement, ending=ended(made.decisions, ending),
        carried_out=carried_out(plan, work, needs), work=tuple(work), head=Head(42, "ab" * 32, "2026-03-02T10:00:00Z"),
        needs=needs, cards=cards, drawn=drawn(plan, seed), draw_commitment=commitment(seed), people=("P-014",)), **more)


def example(name="minibus-1"):
    """Return plan, seed and work of an example."""
    table = tomllib.loads((EXAMPLES / name / "visit.toml").read_text(encoding="utf-8"))
    return plan_from(table, book_spread_log10=0.205), bytes.fromhex(table["draw"]["seed_hex"]), work_from(table)


def finished(**more):
    """A cabin where every point is done."""
    plan, seed, work = example()
    names = [point.id for point in plan.points if point.fixed] + list(drawn(plan, seed))
    readings = [reading("steering wheel", 1450.0, stage="as_found"), reading("entry handrail", 880.0, stage="as_found",
                                                                            place=1)]
    readings += [reading(name, 30.0 + 7.0 * place, place=35 + place) for place, name in enumerate(names)]
    readings.append(reading("steering wheel", 46.0, place=44, swab=2))
    readings[3] = reading(names[1], (0.0, 5.0), place=36)
    return record_of(plan, seed, readings, work, **more)


def unfinished(**more):
    """A cabin handed over with open points: one over range, one spoiled, one never read; disinfection fell short."""
    plan, seed, work = example()
    names = [point.id for point in plan.points if point.fixed] + list(drawn(plan, seed))
    readings = [
        reading(names[0], 1450.0, stage="as_found"), reading(names[1], 880.0, stage="as_found", place=1),
        reading(names[0], 30.0, place=35), reading(names[0], 41.0, place=36, swab=2),
        reading(names[1], 196.0, place=37), reading(names[2], (9999.0, math.inf), place=38),
        reading(names[2], 700.0, place=46, round=2, note="soil in the seam of the handle"),
        reading(names[3], 212.0, place=40, dry=False, note="still wet"), reading(names[4], 61.0, place=41),
    ]
    work = [replace(one, wet=(one.wet[0], replace(one.wet[-1], at=one.wet[0].at + timedelta(minutes=3))))
            if one.wet else one for one in work if one.step != "rinse after washing"]
    return record_of(plan, seed, readings, work, ending=Ending(
        "handed-over-with-open-points", "the vehicle was needed for the afternoon tour"), **more)


def not_measured(**more):
    """A visit that ended before anything was measured."""
    plan, seed, _work = example()
    return record_of(plan, seed, [], [], ending=Ending("not-measured", "the meter failed its check"), **more)


def large(points=40, **more):
    """A room with many points, most of them done."""
    plan, seed, work = example()
    many = tuple(SamplingPoint(f"row {place // 4 + 1}, seat {'ABCD'[place % 4]}, armrest", "smooth", "high", True,
                               "plastic", also_as_found=place % 3 == 0) for place in range(points))
    plan = replace(plan, points=many, drawn_points=0)
    readings = []
    for place, point in enumerate(many):
        if point.also_as_found:
            readings.append(reading(point.id, 300.0 + 37.0 * (place % 19), stage="as_found", place=place % 30))
        if place % 17 != 16:
            rlu = (0.0, 5.0) if place % 13 == 5 else 330.0 if place % 19 == 18 else 18.0 + 3.0 * (place % 23)
            readings.append(reading(point.id, rlu, place=30 + place % 20))
    left = any(one.verdict != "done" for one in verdicts(plan, seed, readings).decisions)
    return record_of(plan, seed, readings, work, ending=Ending("stopped", "end of shift") if left else None, **more)
