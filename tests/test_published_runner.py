"""The runner of published cases: it can fail, it never skips what is claimed, and ids and figures cannot steer it."""

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from published.comparison import agrees, differences

TESTS = Path(__file__).resolve().parent
CASES = sorted((TESTS / "published").glob("*.toml"))
OTHER_FILE = """
[[check]]
id = "renamed-with-other-numbers"
topic = "verdict"
source = "JCGM 106:2012 clause 7"
tolerance = { p_conform = 1e-4, acceptance_limit_95 = 0.05 }
inputs = { reading = 40, limit = 90, sd_log10 = 0.2, n = 2 }
expected = { p_conform = 0.99361, acceptance_limit_95 = 52.68 }

[[check]]
id = "figure-is-wrong"
topic = "reduction"
tolerance = { percent = 0.01 }
inputs = { log10_reduction = [1.0, 2.0] }
expected = { percent = [90.0, 99.9] }

[[check]]
id = "result-never-comes-back"
topic = "reduction"
inputs = { log10_reduction = [1.0] }
expected = { score = 3 }

[[check]]
id = "no-adapter-for-these-inputs"
topic = "reduction"
inputs = { moon = 1 }
expected = { percent = 3 }

[[check]]
id = "topic-of-nobody"
topic = "astrology"
inputs = { moon = 1 }
expected = { percent = 3 }
"""


def run(*arguments):
    command = [sys.executable, "-m", "pytest", "tests/published", "-rA", "-p", "no:cacheprovider", "-p", "no:xdist"]
    return subprocess.run([*command, *arguments], cwd=TESTS.parent, capture_output=True, text=True, timeout=120)


def test_another_file_runs_in_place_of_ours_case_by_case(tmp_path):
    (tmp_path / "other.toml").write_text(OTHER_FILE, encoding="utf-8")
    done = run("--cases", str(tmp_path / "other.toml"))
    outcome = dict(reversed(found) for found in re.findall(r"^(PASSED|FAILED) \S+\[([\w-]+)\]", done.stdout, re.M))
    assert outcome == {"renamed-with-other-numbers": "PASSED", "figure-is-wrong": "FAILED",
                       "result-never-comes-back": "FAILED", "no-adapter-for-these-inputs": "FAILED"}, done.stdout
    assert "SKIPPED [1]" in done.stdout and "topic 'astrology' is not claimed" in done.stdout
    assert done.returncode == 1


def test_several_files_run_together(tmp_path):
    for name in ("one", "two"):
        text = OTHER_FILE.split("[[check]]")[1].replace("renamed", name)
        (tmp_path / f"{name}.toml").write_text("[[check]]" + text, encoding="utf-8")
    done = run("--cases", str(tmp_path / "one.toml"), "--cases", str(tmp_path / "two.toml"))
    assert "2 passed" in done.stdout and done.returncode == 0, done.stdout


@pytest.mark.parametrize("text", ["", "check = 3", "[[check]]\nid = 'a'\ntopic = 'verdict'\n", "[[check]",
                                  2 * "[[check]]\nid = 'a'\ntopic = 'b'\ninputs = {}\nexpected = {}\n"],
                         ids=["empty", "no-list", "no-inputs", "no-toml", "id-twice"])
def test_a_file_that_is_no_check_file_stops_the_run(tmp_path, text):
    (tmp_path / "bad.toml").write_text(text, encoding="utf-8")
    done = run("--cases", str(tmp_path / "bad.toml"))
    assert done.returncode not in (0, 1, 5), done.stdout  # neither green, nor red for a case, nor "nothing to do"


def test_adapters_know_no_case_by_its_id():
    ids = [case["id"] for path in CASES for case in tomllib.loads(path.read_text(encoding="utf-8"))["check"]]
    assert len(ids) == len(set(ids)) > 40
    for path in (TESTS / "published" / "adapters").glob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert not [name for name in ids if name in text], path


def test_every_case_names_its_source():
    for path in CASES:
        for case in tomllib.loads(path.read_text(encoding="utf-8"))["check"]:
            assert case["source"], case["id"]
            assert case["kind"] in ("published", "derived", "practice"), case["id"]
            assert case["kind"] == "practice" or "from_memory" in case, case["id"]


@pytest.mark.parametrize(("found", "wanted", "tolerance", "agree"), [
    (1.0, 1, None, True), (1.0001, 1, None, False), (1.0001, 1, 1e-3, True), (float("nan"), 1, 1e9, False),
    (True, 1, None, False), (1, True, 0.5, False), ([1.0, 2.0], [1, 2], 1e-9, True), ([1.0], [1, 2], 1e-9, False),
    (1.0, [1], 1e-9, False), ("a", "a", 0.1, True), ("a", "b", 0.1, False), ({"x": 1.0}, {"x": 1.05}, 0.1, True),
    ({"x": 1.0}, {"y": 1.0}, 0.1, False), (None, 1, 0.1, False), (None, 0, None, False), (float("inf"), 1, 1.0, False),
])
def test_agreement_is_absolute_and_exact_without_a_tolerance(found, wanted, tolerance, agree):
    assert agrees(found, wanted, tolerance) is agree


def test_tolerance_belongs_to_its_own_result():
    assert differences({"a": 1.05, "b": 1.05}, {"a": 1.0, "b": 1.0}, {"a": 0.1})[0].startswith("b: got 1.05")
