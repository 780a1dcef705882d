"""Writes the readings of the invented example visits from the seeded simulator, with the truth beside them."""

import csv
import io
import sys
import tomllib
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
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


@dataclass(frozen=True)
class Story:
    """One example: its seed, how dirty and how well cleaned it is, and how far the people go on."""

    seed: int
    as_found_at: datetime
    cleaned_at: datetime
    soil_log10: float = 3.0
    cleaning_log10: float = 1.45
    rounds: int = 3
    goes_on: bool = True
    faults: tuple[tuple[str, int, str], ...] = ()  # point, swab, column that is answered "no" before the number


def at(day: int, hour: int, minute: int) -> datetime:
    """Return a moment of the invented week."""
    return datetime(2026, 3, day, hour, minute, tzinfo=timezone(timedelta(hours=1)))


STORIES = {
    "minibus-1": Story(26, at(2, 8, 40), at(2, 9, 52)),
    "minibus-2": Story(31, at(3, 8, 40), at(3, 9, 52), soil_log10=3.05, cleaning_log10=1.25, goes_on=False,
                       faults=(("wheelchair ramp grip", 1, "rinsed"),)),
    "minibus-3": Story(19, at(4, 8, 40), at(4, 9, 52), soil_log10=3.1, cleaning_log10=1.2, rounds=2, goes_on=False),
    "day-room": Story(23, at(5, 13, 40), at(5, 15, 5), soil_log10=2.4, cleaning_log10=1.0, rounds=1),
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
        [SimulatedPoint(point.id, point.surface, cleaning_log10=story.cleaning_log10,
                        soil_log10=story.soil_log10 + (0.25 if point.surface == "rough" else 0)) for point in points],
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
    next_at = {"as_found": story.as_found_at, "cleaned": story.cleaned_at}
    for place, (point, stage, round_, swab) in enumerate(taken):
        one = simulated.taken(point.id, stage, round_, swab)
        answers = {"dry": "yes", "rinsed": "yes", "fresh_area": "yes"}
        answers |= {column: "no" for name, number, column in story.faults
                    if stage == "cleaned" and (name, number) == (point.id, swab)}
        key = {"point": point.id, "stage": stage, "round": round_, "swab": swab}
        rows.append({**key, "rlu": one.shown, "surface": point.surface, "instrument": plan.instrument.type,
                     "swab_lot": "S-0001 (invented)", "blank": 3, "at": next_at[stage].isoformat(),
                     **answers, "note": "invented" if place == 0 else ""})
        next_at[stage] += timedelta(minutes=2)
        truth.append({**key, "shown": one.shown, "true_rlu": f"{one.true_rlu:.4g}"})
    return rows, truth


def text_of(rows) -> str:
    """Return rows as CSV text."""
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def main() -> None:
    for name in sys.argv[1:] or STORIES:
        rows, truth = rows_of(name)
        for file, made in (("readings.csv", rows), ("truth.csv", truth)):
            (ROOT / "examples" / name / file).write_text(text_of(made), encoding="utf-8")
        print(f"{name}: {len(rows)} readings")


if __name__ == "__main__":
    main()
