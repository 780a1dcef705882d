"""Released rules give today what they gave when they were released, and their code has not been edited."""

import hashlib
import json
import math
import tomllib
from pathlib import Path

import cattrs
import pytest

import tersum.visit
from tersum.records.canonical import plain
from tersum.visit.decision import VERDICTS, LimitInForce, Terms
from tersum.visit.readings import Reading
from tersum.visit.rules import decide_point

HERE = Path(__file__).resolve().parent
RELEASED = tomllib.loads((HERE / "released_rules.toml").read_text(encoding="utf-8"))["rule"]
READER = cattrs.Converter()
READER.register_structure_hook(float, lambda value, _: math.inf if value is None else float(value))
READER.register_structure_hook(float | None, lambda value, _: None if value is None else float(value))


def golden(version):
    return json.loads((HERE / f"golden_verdicts_v{version}.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("version", [rule["version"] for rule in RELEASED])
def test_golden_verdicts_come_out_the_same(version):
    different = []
    for place, row in enumerate(golden(version)):
        decision = decide_point(
            "point", [READER.structure(one, Reading) for one in row["readings"]],
            terms=READER.structure(row["terms"], Terms),
            limit=READER.structure(row["limit"], LimitInForce) if row["limit"] else None, **row["more"])
        if plain(decision) != row["decision"]:
            different.append((place, row["decision"]["verdict"], decision))
    assert not different, different[:3]


@pytest.mark.parametrize("version", [rule["version"] for rule in RELEASED])
def test_golden_verdicts_reach_every_verdict(version):
    assert {row["decision"]["verdict"] for row in golden(version)} == set(VERDICTS)


@pytest.mark.parametrize("rule", RELEASED, ids=lambda rule: f"v{rule['version']}")
def test_released_code_is_not_edited(rule):
    code = (Path(tersum.visit.__file__).parent / rule["file"]).read_bytes()
    assert hashlib.sha256(code).hexdigest() == rule["sha256"], (
        f"{rule['file']} was edited after its release: make a new version beside it instead")


def test_every_rule_file_is_listed():
    files = {path.name for path in Path(tersum.visit.__file__).parent.glob("rule_v*.py")}
    assert files == {rule["file"] for rule in RELEASED}
