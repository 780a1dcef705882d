"""``tersum air``: the answer, what is missing, and what it does not cover."""

import json

import pytest
from click.testing import CliRunner

from tersum.cli.air import air

TASK = ("Demo Concentrate A", "--ratio", "1+20", "--applied-ml", "1", "--work-min", "10", "--drying-min", "15",
        "--volume-m3", "30")


def run(*words, code=0):
    done = CliRunner().invoke(air, words)
    found = getattr(done.exception, "exit_code", done.exit_code) if done.exit_code else 0
    assert found == code, (found, done.output, done.exception)
    return done


def test_little_in_much_air_is_below_and_still_no_countdown():
    done = run(*TASK, "--changes-per-h", "30", "--mixing", "1", "--label-min", "30")
    assert "below the limits for workers" in done.stdout
    assert "only once the surfaces are seen dry or rinsed" in " ".join(done.stdout.split())
    assert "label and safety data sheet" in done.stderr and "asthma" in done.stderr and "animals" in done.stderr


def test_without_ventilation_nothing_can_be_told():
    done = run(*TASK, "--label-min", "30", "--json", code=1)
    found = json.loads(done.stdout)
    assert found["entering_again"]["answer"] == "cannot-tell" and not found["ventilation_known"]


@pytest.mark.parametrize("more", [("--way", "fogged"), ("--way", "ozone"), ("--way", "sprayed", "--somebody-inside")])
def test_what_is_not_covered_is_refused(more):
    run(*TASK, *more, code=5)


def test_all_faults_are_told_with_their_options():
    done = run("Demo Concentrate A", "--applied-ml", "x", "--work-min", "0", "--drying-min", "1", "--volume-m3", "-6",
               "--changes-per-h", "-1", code=3)
    for name in ("--applied-ml", "--work-min", "--volume-m3", "--changes-per-h"):
        assert name in str(done.exception)
