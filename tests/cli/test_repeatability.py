"""``tersum repeatability``: planned duplicates only, and what they cannot tell."""

import json
from pathlib import Path

import pytest

from cli.test_compare import tersum
from tersum.records.instrument_file import read_instrument

DEMO = Path(__file__).resolve().parents[2] / "examples" / "duplicates.csv"
HEAD = "point,rlu,planned,surface,person,day,instrument\n"


def table(tmp_path, text):
    (tmp_path / "d.csv").write_text(text)
    return tmp_path / "d.csv"


def pairs(count, planned="yes"):
    return "".join(f"p{n},{rlu},{planned},smooth,,,\n" for n in range(count) for rlu in (90 + n, 130 - 2 * n))


def test_the_demo_has_a_repeatability_and_what_comes_on_top():
    done = tersum("repeatability", DEMO, "--json")
    body = json.loads(done.stdout)
    assert done.returncode == 0 and body["schema"] == "tersum/repeatability/1"
    assert body["repeatability"]["degrees_of_freedom"] == 36 and body["left_aside"]["unplanned"] == 1
    assert {one["name"]: one["why"] for one in body["reproducibility"]["components"]} == {
        "person": "", "day": "", "instrument": "one-level"}
    assert tersum("repeatability", DEMO, "--json").stdout == done.stdout


def test_what_it_prints_goes_into_an_instrument_file(tmp_path):
    done = tersum("repeatability", DEMO)
    line = next(one for one in done.stdout.splitlines() if "For INSTRUMENT.toml" in one).split(": ")[1]
    text = 'schema = "tersum/instrument/1"\ntype = "M"\nswab = "S"\narea_cm2 = 100.0\n' + line.replace(", ", "\n")
    (tmp_path / "i.toml").write_text(text)
    assert read_instrument(str(tmp_path / "i.toml")).repeatability.degrees_of_freedom == 36


def test_swabs_that_were_not_planned_do_not_count(tmp_path):
    done = tersum("repeatability", table(tmp_path, HEAD + pairs(4) + "p9,10,no,smooth,,,\np9,900,no,smooth,,,\n"))
    assert done.returncode == 0 and "4 degrees of freedom" in done.stdout and "not planned: 2" in done.stderr


def test_swabs_that_do_not_say_whether_they_were_planned_do_not_count(tmp_path):
    path = table(tmp_path, "point,rlu\np,90\np,130\n")
    done = tersum("repeatability", path)
    assert done.returncode == 1 and "Cannot tell" in done.stdout and "--all-planned" in done.stderr
    assert tersum("repeatability", path, "--all-planned").returncode == 0


@pytest.mark.parametrize("rows", ["p,90,yes,s,,,\nq,100,yes,s,,,\n", "p,90,yes,s,,,\np,90,yes,s,,,\n",
                                  "p,<5,yes,s,,,\np,<5,yes,s,,,\n", "p,9,no,s,,,\np,10,no,s,,,\n"])
def test_too_little_cannot_tell_and_says_what_would_do(tmp_path, rows):
    done = tersum("repeatability", table(tmp_path, HEAD + rows))
    assert done.returncode == 1 and "20 of them" in done.stdout


def test_classes_shown_to_differ_are_kept_apart(tmp_path):
    rows = "".join(f"{kind}{n},{100 + place * step * (n + 1)},yes,{kind},,,\n" for kind, step in (("a", 0.1), ("b", 9))
                   for n in range(15) for place in (0, 1))
    done = tersum("repeatability", table(tmp_path, HEAD + rows))
    assert "do not take them together" in done.stdout and json.loads(
        tersum("repeatability", tmp_path / "d.csv", "--json").stdout)["classes_differ"] is True


@pytest.mark.parametrize(("text", "told"), [
    (HEAD + "p,1e3,yes,s,,,\n", "row 2, column rlu"), (HEAD + ",9,yes,s,,,\n", "row 2, column point"),
    (HEAD + "p,9,maybe,s,,,\n", "row 2, column planned"), ("point\np\n", "rlu is missing"), (HEAD, "no row"),
    (HEAD + "p,9,yes,s,,,\np,10,yes,t,,,\n", "more than one surface")])
def test_faults_are_told_with_their_place(tmp_path, text, told):
    done = tersum("repeatability", table(tmp_path, text))
    assert done.returncode == 3 and told in done.stderr and "Traceback" not in done.stderr
