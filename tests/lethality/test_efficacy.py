"""Answers of efficacy tests: invalid is neither passed nor failed, memory is said, scraping past is shown."""

import pytest

from tersum.errors import UnknownName
from tersum.lethality.efficacy import (
    Failing,
    between_laboratories,
    evaluated,
    requirement,
    requirements,
    rules_of,
)
from tersum.lethality.log_reduction import exactly, less_than, more_than

WANTED = requirement("EN 13697 bactericidal")


@pytest.mark.parametrize(("reduction", "answer"), [(exactly(4.7), "met"), (exactly(3.9), "not-met"),
                                                   (more_than(5.0), "met"), (more_than(3.0), "cannot-tell"),
                                                   (less_than(4.0), "not-met")])
def test_answer_follows_the_operator(reduction, answer):
    assert evaluated(WANTED, reduction).answer == answer


@pytest.mark.parametrize("reduction", [exactly(7.0), exactly(1.0), more_than(3.0)])
def test_failing_validity_makes_it_invalid_whatever_the_reduction(reduction):
    found = evaluated(WANTED, reduction, failing=[Failing("control-b", 47.0, 48.0, 1e9)])
    assert found.answer == "invalid" and found.failing[0].code == "control-b"


def test_result_that_scrapes_past_shows_the_spread_between_laboratories():
    assert "within-the-spread-between-laboratories" in evaluated(WANTED, exactly(4.2)).flags
    assert evaluated(WANTED, exactly(4.2)).between_laboratories_log10 == (0.31, 1.54) == between_laboratories()
    assert not evaluated(WANTED, exactly(6.0)).flags and not evaluated(WANTED, exactly(3.0)).flags


def test_rules_from_memory_are_named_in_the_result():
    memory = evaluated(requirement("EN 13727 bactericidal surface"), exactly(6.8))
    assert memory.from_memory == ("EN 13727 bactericidal surface",)
    assert evaluated(requirement("EN 1276 bactericidal"), exactly(6.8)).from_memory == ()


def test_every_requirement_has_a_step_and_a_target():
    for name in requirements():
        one = requirement(name)
        assert one.step in ("2/1", "2/2", "room", "carrier") and one.target and 3.0 <= one.required_log10 <= 6.0


def test_unknown_test_is_offered_near_names():
    with pytest.raises(UnknownName, match="EN 13697 bactericidal"):
        requirement("EN 13697 bactericide")
    with pytest.raises(UnknownName, match="method"):
        rules_of("EN 1")
