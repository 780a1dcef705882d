"""Writes the readings of the invented example visits from the seeded simulator, with the truth beside them."""

import csv
import sys
import tomllib
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tersum.catalogue.load import book_repeatability
from tersum.simulator.meter import Meter
from tersum.simulator.small_visit import SimulatedPoint, small_visit
from tersum.units import parse_reading
from tersum.visit.plan import plan_from, planned_points
from tersum.visit.readings import Reading
from tersum.visit.verdicts import verdicts

ROOT = Path(__file__).resolve().parent.parent
METER = Meter(spread_log10=0.19, detection_rlu=5, over_range_rlu=9999)
COLUMNS = ("point", "stage", "round", "swab", "rlu", "surface", "instrument", "swab_lot", "blank", "at", "dry", "rinsed",
           "fresh_area", "note")


@dataclass(frozen=True)
class Story:
    """One example: its seed, how dirty and how well cleaned it is, and how far the people go on."""

    seed: int
    day: str
    offset: str = "+01:00"
    soil_log10: float = 3.0
    cleaning_log10: float = 1.45
    rounds: int = 3
    goes_on: bool = True
    faults: tuple[tuple[str, int, str], ...] = ()  # point, swab, column that is answered "no" before the number


STORIES = {
    "minibus-1": Story(26, "2026-03-02T09:"),
    "minibus-2": Story(31, "2026-03-03T09:", soil_log10=3.05, cleaning_log10=1.25, goes_on=False,
                       faults=(("wheelchair ramp grip", 1, "rinsed"),)),
    "minibus-3": Story(19, "2026-03-04T09:", soil_log10=3.1, cleaning_log10=1.2, rounds=2, goes_on=False),
    "day-room": Story(23, "2026-03-05T15:", soil_log10=2.4, cleaning_log10=1.0, rounds=1),
}


def rows_of(name: str) -> tuple[list[dict[str, object]], list[dict[str, object]]]:
    """Return the rows of readings.csv and of truth.csv of one example."""
    story = STORIES[name]
    table = tomllib.loads((ROOT / "examples" / name / "visit.toml").read_text(encoding="utf-8"))
    plan = plan_from(table, book_spread_log10=book_repeatability().number)
    seed = bytes.fromhex(table["draw"]["seed_hex"])
    points = planned_points(plan, seed)
    simulated = small_visit(
        np.random.default_rng(story.seed),
        [SimulatedPoint(point.id, point.surface, soil_log10=story.soil_log10 + (0.25 if point.surface == "rough" else 0),
                        cleaning_log10=story.cleaning_log10) for point in points],
        rounds=story.rounds, swabs_each=3, meter=METER)
    taken = [(point, "as_found", 1, 1) for point in points if point.also_as_found]
    taken += [(point, "cleaned", 1, swab) for point in points for swab in range(1, 3 if point.duplicate else 2)]
    while True:
        readings = [reading(story, simulated, *one) for one in taken]
        more = [(point, decision) for point, decision in
                zip(points, verdicts(plan, seed, readings).decisions, strict=True) if story.goes_on]
        extra = [following(taken, point, decision) for point, decision in more
                 if decision.verdict in ("swab-again", "clean-again")]
        extra = [one for one in extra if one[2] <= story.rounds and one[3] <= 3]
        if not extra:
            return written(story, plan, simulated, taken)
        taken += extra


def following(taken, point, decision):
    """Return the next swab that a verdict asks for."""
    if decision.verdict == "swab-again":
        count = sum(one[0].id == point.id and one[1] == "cleaned" and one[2] == decision.round for one in taken)
        return point, "cleaned", decision.round, count + 1
    return point, "cleaned", decision.round + 1, 1


def reading(story, simulated, point, stage, round_, swab):
    """Return one simulated swab as the decision sees it."""
    one = simulated.taken(point.id, stage, round_, swab)
    low, high = parse_reading(one.shown)
    answers = {column: False for name, number, column in story.faults
               if stage == "cleaned" and (name, number) == (point.id, swab)}
    return Reading(point.id, stage, low, high, one.shown, round=round_, swab=swab, blank_rlu=3.0, **answers)


def written(story, plan, simulated, taken):
    """Return the rows for both files, in the order in which the swabs were taken."""
    rows, truth = [], []
    for place, (point, stage, round_, swab) in enumerate(taken):
        one = simulated.taken(point.id, stage, round_, swab)
        answers = {"dry": "yes", "rinsed": "yes", "fresh_area": "yes"}
        answers |= {column: "no" for name, number, column in story.faults
                    if stage == "cleaned" and (name, number) == (point.id, swab)}
        key = {"point": point.id, "stage": stage, "round": round_, "swab": swab}
        rows.append({**key, "rlu": one.shown, "surface": point.surface, "instrument": plan.instrument.type,
                     "swab_lot": "S-0001 (invented)", "blank": 3, "at": f"{story.day}{place:02d}:00{story.offset}",
                     **answers, "note": "invented" if place == 0 else ""})
        truth.append({**key, "shown": one.shown, "true_rlu": f"{one.true_rlu:.4g}"})
    return rows, truth


def text_of(rows) -> str:
    """Return rows as CSV text."""
    lines: list[str] = []
    writer = csv.DictWriter(type("Lines", (), {"write": staticmethod(lines.append)})(), list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return "".join(lines)


def main() -> None:
    for name in sys.argv[1:] or STORIES:
        rows, truth = rows_of(name)
        for file, made in (("readings.csv", rows), ("truth.csv", truth)):
            (ROOT / "examples" / name / file).write_text(text_of(made), encoding="utf-8")
        print(f"{name}: {len(rows)} readings")


if __name__ == "__main__":
    main()
