"""Sentences of efficacy tests: every code that a result can carry has one, and none claims too much."""

import math
import re
from pathlib import Path

import pytest

from tersum.documents import efficacy_text as texts
from tersum.lethality.efficacy import ANSWERS, Failing, evaluated, requirement, rules_of
from tersum.lethality.label_claims import CAUTIONS, claim
from tersum.lethality.log_reduction import UNKNOWN, exactly

SCIENCE = Path(texts.__file__).resolve().parents[1] / "lethality"
FILES = ("efficacy", "efficacy_run", "suspension", "surface_efficacy", "carriers", "neutraliser", "titre",
         "virus_reduction")
SOURCE = "".join((SCIENCE / f"{name}.py").read_text(encoding="utf-8") for name in FILES)
# Codes of these files that are answers or names, no flags.
NO_FLAGS = {*ANSWERS, "accepted", "not-accepted", "reed-muench", "spearman-kaerber", "n-minus-1"}


def test_every_code_of_the_sciences_has_its_sentence():
    codes = set(re.findall(r'"([a-z0-9]+(?:-[a-z0-9]+)+|spread)"', SOURCE))
    neutraliser = {f"neutraliser-{one}" for one in ("effectiveness", "toxicity", "replicates")}
    known = {*texts.FLAGS, *texts.FAILINGS}
    assert codes - NO_FLAGS <= known, codes - NO_FLAGS - known
    assert neutraliser <= set(texts.FAILINGS)
    assert known - codes - neutraliser <= {"carriers"}


def test_every_answer_and_caution_has_its_words():
    assert set(texts.ANSWERS) == set(ANSWERS) and set(texts.CLAIM_CAUTIONS) == set(CAUTIONS)


def test_every_number_of_a_method_has_a_name():
    for method in ("EN suspension, bacteria", "EN 16615", "germicidal spray", "neutraliser"):
        assert set(rules_of(method)) <= {*texts.RULES, "lowest_density", "highest_density"}


@pytest.mark.parametrize(("failing", "told"), [
    (Failing("test-suspension", 6e8, 1.5e8, 5e8), "6.00e+08 CFU/mL; accepted: 1.50e+08 to 5.00e+08"),
    (Failing("carriers", 30.0, 60.0, 60.0), "30 carriers were tested; accepted: 60."),
    (Failing("controls-missing", math.nan, math.nan, math.nan), "no validation controls"),
])
def test_failing_condition_names_value_and_range(failing, told):
    assert told in texts.failing_text(failing)


def test_lower_limit_is_never_rounded_up_to_the_requirement():
    found = evaluated(requirement("EN 13697 bactericidal"), exactly(4.5), details={"lower_log10": 3.9999})
    assert "lower 95 % limit: 3.99" in texts.reduction_line(found)


def test_unknown_reduction_is_called_unknown():
    assert "unknown" in texts.reduction_line(evaluated(requirement("EN 13697 bactericidal"), UNKNOWN))


def test_secondary_requirement_says_so():
    assert "text about the standard" in texts.reduction_line(evaluated(requirement("EN 14476 virucidal"), exactly(5.0)))


def test_claim_from_memory_says_so():
    assert any("memory" in line for line in texts.claim_lines(claim("virucidal")))
