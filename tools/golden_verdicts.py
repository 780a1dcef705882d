"""Writes the golden verdicts of the released rules: run once for a new version, never for an old one."""

import json
import math
import sys
from dataclasses import asdict, replace
from pathlib import Path

import numpy as np

from tersum.records.canonical import plain
from tersum.visit.decision import LimitInForce, Terms
from tersum.visit.readings import Reading
from tersum.visit.rules import decide_point

HERE = Path(__file__).resolve().parent.parent / "tests" / "regression"


def cases(version: int, count: int = 250):
    """Yield random points that reach every verdict of every rule."""
    random = np.random.default_rng(20261125)
    for _ in range(count):
        rule = random.choice(["limit", "limit and reduction", "plain limit"])
        terms = Terms(
            rule=str(rule), version=version, looks=int(random.integers(1, 4)),
            spread_log10=float(random.choice([0.1, 0.17, 0.205])),
            degrees_of_freedom=float(random.choice([8.0, 20.0, math.inf])),
            reduction_target_log10=float(random.choice([0.7, 1.0])) if rule == "limit and reduction" else None)
        readings = []
        if random.random() < 0.7:
            readings.append(reading(random, "as_found", 1, 1, 3.2))
        for round_ in range(1, int(random.integers(1, 4)) + 1):
            for swab in range(1, int(random.integers(0, 4)) + 1):
                readings.append(reading(random, "cleaned", round_, swab, 2.2))
        limit = LimitInForce(float(random.choice([100.0, 300.0, 500.0])), "option") if random.random() < 0.95 else None
        more = {"fresh_area_left": [None, True, False][random.integers(0, 3)],
                "planned_duplicate": bool(random.random() < 0.2), "as_found_planned": bool(random.random() < 0.3)}
        yield readings, terms, limit, more


def reading(random, stage, round_, swab, centre):
    """Make one reading, now and then an inequality, faulted or voided."""
    rlu = float(round(10 ** random.normal(centre, 0.45), 1))
    low, high = [(rlu, rlu), (0.0, rlu), (rlu, math.inf)][random.choice([0, 0, 0, 0, 0, 0, 1, 2])]
    made = Reading("point", stage, low, high, f"{rlu:g}", round=round_, swab=swab,
                   blank_rlu=[None, 3.0][random.integers(0, 2)],
                   dry=[True, True, None, None, False][random.integers(0, 5)])
    if random.random() < 0.05:
        made = replace(made, void_reason="lot-fault", void_approved_by="lead")
    return made


def main() -> None:
    version = int(sys.argv[1])
    path = HERE / f"golden_verdicts_v{version}.json"
    if path.exists() and "--unreleased" not in sys.argv:
        sys.exit(f"{path.name} is there: verdicts of a released rule are not made again.")
    rows = []
    for readings, terms, limit, more in cases(version):
        decision = decide_point("point", readings, terms=terms, limit=limit, **more)
        rows.append({"readings": [plain(asdict(one)) for one in readings], "terms": plain(terms),
                     "limit": plain(limit) if limit else None, "more": more, "decision": plain(decision)})
    path.write_text(json.dumps(rows, ensure_ascii=False, separators=(",", ":")).replace("},{\"readings\"",
                    "},\n{\"readings\"") + "\n", encoding="utf-8")
    print(f"{len(rows)} verdicts in {path.name}")


if __name__ == "__main__":
    main()
