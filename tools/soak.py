"""Runs the long tests in parts: full counts, and laws on examples that differ from run to run.

    python tools/soak.py                        all parts, one after the other
    python tools/soak.py calibration            one part (or several)
    python tools/soak.py --list                 what there is

Each part writes a dated file into ``soak-results/``: when, which commit, how long, each test with its outcome and the
numbers it recorded. A part that was not run is printed as not run. Exit 1 if a test failed.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
RESULTS = ROOT / "soak-results"
NOTHING_TO_RUN = 5  # pytest's exit code when it has collected no test


@dataclass(frozen=True)
class Part:
    """A part of the soak: what it is for, about how long it takes, and what pytest is given."""

    what: str
    minutes: int
    tests: tuple[str, ...]


PARTS = {
    "calibration": Part("release level against a simulated truth, 2,000,000 surfaces a case", 3,
                        ("tests/evidence/test_calibration.py",)),
    "trials": Part("intervals, errors and limits of trials and baselines, 2,000 trials a design", 40,
                   ("tests/evidence/test_trial_calibration.py", "tests/evidence/test_baseline.py",
                    "tests/evidence/test_culture_cut.py")),
    "rule": Part("the rule of the visits swab by swab, 100,000 points a case", 2,
                 ("tests/simulator/test_rule_calibration.py",)),
    "charts": Part("run lengths, coverage of agreement and of upper predictions, 2,000 trials a design", 25,
                   ("tests/evidence/test_watching.py", "tests/evidence/test_two_instruments.py",
                    "tests/evidence/test_resoiling.py")),
    "properties": Part("every law on 2,000 examples, new ones each time", 20, ("tests/properties",)),
    "recomputed": Part("10,000 random visits, every stored verdict computed again from stored facts", 10,
                       ("tests/properties/test_recomputed.py",)),
    "every-byte": Part("every byte of a signed record flipped in three ways, each refused", 5,
                       ("tests/documents/test_verifying.py",)),
    "mpn": Part("coverage of each interval of a most probable number, every pattern, 20,001 densities", 1,
                ("tests/lethality/test_mpn_coverage.py",)),
    "survivors": Part("coverage of each interval of a fitted survivor curve, 2,000 data sets a model", 5,
                      ("tests/lethality/test_survivor_coverage.py",)),
    "bundles": Part("1,000 good and 1,000 damaged evidence bundles, the outsider's verifier against ours", 1,
                    ("tests/records/test_bundle_outside.py",)),
    "slow": Part("every other test marked slow", 20, ("-m", "slow", "tests")),
}


def main() -> int:
    parser = argparse.ArgumentParser(description="Run the long tests in parts.")
    parser.add_argument("part", nargs="*", choices=[[], *PARTS], help="which to run; all if none is named")
    parser.add_argument("--list", action="store_true", help="say what there is and stop")
    given = parser.parse_args()
    if given.list:
        for name, part in PARTS.items():
            print(f"{name}: {part.what}; about {part.minutes} min")
        return 0
    chosen = given.part or list(PARTS)
    failed = [name for name in chosen if not soaked(name)]
    for name in PARTS:
        if name not in chosen:
            print(f"not run: {name} ({PARTS[name].what})")
    for name in failed:
        print(f"failed: {name}")
    return int(bool(failed))


def soaked(name: str) -> bool:
    """Run one part, keep its results and return whether nothing failed."""
    part = PARTS[name]
    print(f"{name}: {part.what}; about {part.minutes} min", flush=True)
    started, clock = datetime.now(UTC), time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.xml"
        command = [sys.executable, "-m", "pytest", "-q", *part.tests, f"--junitxml={report}",
                   "-o", "junit_family=xunit1", "-p", "no:cacheprovider"]
        code = subprocess.run(command, cwd=ROOT, env={**os.environ, "TERSUM_TEST_PROFILE": "soak"}).returncode
        tests = outcomes(report) if report.exists() else []
    body = {"schema": "tersum/soak/1", "part": name, "what": part.what, "at": started.isoformat(timespec="seconds"),
            "seconds": round(time.monotonic() - clock, 1), "commit": commit(), "exit": code,
            "tests": tests or "nothing to run"}
    RESULTS.mkdir(exist_ok=True)
    path = RESULTS / f"{started:%Y-%m-%dT%H%M%SZ}-{name}.json"
    path.write_text(json.dumps(body, indent=2) + "\n", encoding="utf-8")
    print(f"{name}: {len(tests)} tests, exit {code}, kept in {path.relative_to(ROOT)}", flush=True)
    return code in (0, NOTHING_TO_RUN)


def outcomes(report: Path) -> list[dict[str, Any]]:
    """Return each test of a JUnit report with its outcome and the numbers it recorded."""
    found = []
    for case in ElementTree.parse(report).getroot().iter("testcase"):
        bad = [kind for kind in ("failure", "error", "skipped") if case.find(kind) is not None]
        numbers = {one.get("name"): one.get("value") for one in case.iter("property")}
        found.append({"test": f"{case.get('classname')}::{case.get('name')}", "outcome": bad[0] if bad else "passed",
                      "seconds": float(case.get("time", 0)), **({"recorded": numbers} if numbers else {})})
    return found


def commit() -> str:
    """Return the commit that was run, marked where files have changed since."""
    def git(*words: str) -> str:
        return subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True).stdout.strip()

    return (git("rev-parse", "HEAD") or "unknown") + ("+changes" if git("status", "--porcelain", "-uno") else "")


if __name__ == "__main__":
    sys.exit(main())
