"""A working solution in words: nothing is lost between the numbers and the sentences."""

import pytest

from tersum.catalogue.load import product
from tersum.catalogue.product import Ingredient
from tersum.chemistry.ratio import Ratio
from tersum.chemistry.targets import Bounds
from tersum.chemistry.working_solution import working_solution
from tersum.documents import solution_text

DEMO = product("Demo Concentrate A")


def told(name, solution):
    return dict(solution_text.amounts(solution))[name]


@pytest.mark.parametrize(("value", "spread", "shown"), [
    (2076.19, 415.2, ("2080", "420")), (100.04, 0.0312, ("100.040", "0.031")), (9862.0, 1704.0, ("9900", "1700")),
    (5.0, 0.0, ("5", "")), (1.0, 99.7, ("1", "100")),
])
def test_value_and_uncertainty_end_at_the_same_digit(value, spread, shown):
    assert solution_text.with_spread(value, spread) == shown


def test_what_is_poured_first_stands_first():
    rows = solution_text.amounts(working_solution(5000.0, DEMO, ratio=Ratio(0.05)))
    assert [name for name, _ in rows[:3]] == ["water", "concentrate", "makes"]
    assert {"parts + parts", "percent", "part of the whole"} <= {name for name, _ in rows}


def test_interval_of_several_bounds_is_shown_with_who_sets_it():
    solution = working_solution(5000.0, DEMO, bounds=[Bounds("peracetic acid", 1000.0),
                                                      Bounds("acetic acid", None, 4000.0)])
    assert told("allowed", solution) == "2.29 to 4.59 % v/v (peracetic acid to acetic acid)"


@pytest.mark.parametrize(("least", "most", "shown"), [(1000.0, 2500.0, "1000 to 2500"), (1000.0, None, "1000 or more"),
                                                      (None, 2500.0, "up to 2500"), (None, None, "")])
def test_label_bounds_are_words(least, most, shown):
    assert solution_text.label_bounds(Ingredient("a", 1.0, "g/L", None, least, most)) == shown


def test_plan_may_ask_for_more_contact_than_the_label():
    solution = working_solution(5000.0, DEMO, ratio=Ratio(0.05))
    assert any("wet for 5 min" in line for line in solution_text.instructions(solution, DEMO))
    assert any("wet for 15 min" in line for line in solution_text.instructions(solution, DEMO, contact_min=15.0))


def test_every_sentence_reaches_the_translator(monkeypatch):
    monkeypatch.setenv("TERSUM_LANG", "en-XA")
    solution = working_solution(5000.0, DEMO, ratio=Ratio(1 / 201))
    lines = [*(name for name, _ in solution_text.amounts(solution)), *solution_text.basis(solution, DEMO),
             *(solution_text.finding_text(one) for one in solution.findings),
             *(line for line in solution_text.instructions(solution, DEMO) if line not in DEMO.cautions)]
    assert len(lines) > 10 and all(line.startswith("⟦") for line in lines)
