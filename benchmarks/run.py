"""Runs the benchmarks: ours against a named reference, in turns on the same machine, and whether each goal is kept.

    python benchmarks/run.py                    all of them
    python benchmarks/run.py decide_million     some of them, by module
    python benchmarks/run.py --list             what there is

A benchmark is a module of this folder with

- ``NAME``, what is measured, in a few words;
- ``GOAL``, what is aimed at, in words;
- ``measure() -> list[Result]``, which times ours and the reference (see ``measuring.py``: ``compare`` does it in turns
  and keeps medians) and returns one ``Result`` per measurement. What cannot be measured yet is returned with
  ``missing`` set, never left out.

Each module runs in a process of its own, so that its peak memory is its own. The table goes to stdout, the numbers with
machine, versions and commit to ``benchmarks/results/<date>.json``. Exit 1 if a goal is missed.
"""

from __future__ import annotations

import argparse
import importlib
import json
import os
import platform
import subprocess
import sys
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
NOT_BENCHMARKS = {"run", "measuring"}
MODULES = sorted(path.stem for path in HERE.glob("*.py") if path.stem not in NOT_BENCHMARKS)


def main() -> int:
    parser = argparse.ArgumentParser(description="Run the benchmarks and keep their numbers.")
    parser.add_argument("module", nargs="*", choices=[[], *MODULES], help="which to run; all if none is named")
    parser.add_argument("--list", action="store_true", help="say what there is and stop")
    parser.add_argument("--one", choices=MODULES, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.one:
        print(json.dumps([result.as_json() for result in importlib.import_module(given.one).measure()]))
        return 0
    if given.list:
        for name in MODULES:
            module = importlib.import_module(name)
            print(f"{name}: {module.NAME}; {module.GOAL}")
        return 0
    chosen = given.module or MODULES
    results = {name: in_its_own_process(name) for name in chosen}
    show(results)
    print(f"kept in {keep(results).relative_to(HERE.parent)}")
    for name in sorted(set(MODULES) - set(chosen)):
        print(f"not run: {name}")
    return int(any(one["kept"] is False for many in results.values() for one in many))


def in_its_own_process(name: str) -> list[dict[str, Any]]:
    """Return the measurements of one module."""
    print(f"measuring: {name} ...", file=sys.stderr)
    done = subprocess.run([sys.executable, str(HERE / "run.py"), "--one", name], stdout=subprocess.PIPE, text=True)
    if done.returncode:
        sys.exit(f"{name} failed with exit code {done.returncode}")
    results: list[dict[str, Any]] = json.loads(done.stdout.splitlines()[-1])
    return results


def show(results: dict[str, list[dict[str, Any]]]) -> None:
    """Print one line per measurement."""
    print(f"{'measured':<62} {'ours':>9} {'reference':>10} {'ratio':>6} {'goal':>6}  kept")
    for one in (one for many in results.values() for one in many):
        if one["missing"]:
            print(f"{one['name']:<62} not measured: {one['missing']}")
            continue
        memory = f", peak {one['peak_mb']:.0f} of {one['peak_goal_mb']:.0f} MB" if one["peak_goal_mb"] else ""
        goal = "-" if one["goal_ratio"] is None else f"{one['goal_ratio']:.2f}"
        kept = {True: "yes", False: "NO", None: "reported only"}[one["kept"]]
        print(f"{one['name']:<62} {1e3 * one['seconds']:>6.1f} ms {1e3 * one['reference_seconds']:>7.1f} ms "
              f"{one['ratio']:>6.2f} {goal:>6}  {kept}"
              f" (against {one['reference']}{memory})")


def keep(results: dict[str, list[dict[str, Any]]]) -> Path:
    """Write the numbers beside what they depend on, and return the file."""
    now = datetime.now(UTC)
    path = HERE / "results" / f"{now:%Y-%m-%dT%H%M%SZ}.json"
    path.parent.mkdir(exist_ok=True)
    body = {"schema": "tersum/benchmarks/1", "at": now.isoformat(timespec="seconds"), "commit": commit(),
            "machine": machine(), "results": results}
    path.write_text(json.dumps(body, indent=2) + "\n", encoding="utf-8")
    return path


def commit() -> str:
    """Return the commit measured, marked where files have changed since."""
    def git(*words: str) -> str:
        return subprocess.run(["git", *words], cwd=HERE, capture_output=True, text=True).stdout.strip()

    return (git("rev-parse", "HEAD") or "unknown") + ("+changes" if git("status", "--porcelain", "-uno") else "")


def machine() -> dict[str, Any]:
    """Return what the numbers depend on."""
    info = Path("/proc/cpuinfo")
    models = [line.split(":", 1)[1].strip() for line in info.read_text().splitlines() if line.startswith("model name")
              ] if info.exists() else []
    return {"processor": models[0] if models else platform.processor(), "cores": os.cpu_count(),
            "load": list(os.getloadavg()), "system": platform.system(), "python": platform.python_version(),
            "numpy": version("numpy"), "scipy": version("scipy")}


if __name__ == "__main__":
    sys.exit(main())
