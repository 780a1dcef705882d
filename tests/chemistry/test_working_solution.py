"""A product's working solution against its label and against what was asked."""

import dataclasses

import pytest

from tersum.catalogue.load import product
from tersum.catalogue.product import Ingredient, Product
from tersum.chemistry.measure import measure
from tersum.chemistry.ratio import Ratio, parse_ratio
from tersum.chemistry.targets import Bounds, NoFraction
from tersum.chemistry.working_solution import powder_working_solution, working_solution
from tersum.errors import OutOfRange

DEMO = product("Demo Concentrate A")
POWDER = Product("Powder", "powder", "test", "label", "read", (Ingredient("active", 50.0, "% w/w", min_mg_l=1000.0),))


def codes(made):
    return [(one.code, one.name, one.origin) for one in made.findings]


def test_label_ratio_lies_within_the_label_strength():
    made = working_solution(5000.0, DEMO, ratio=parse_ratio(DEMO.label_ratio))
    assert made.findings == () and made.interval is None
    assert made.mixture.strengths[0].strength_mg_l == pytest.approx(43600.0 / 21.0, rel=1e-12)


def test_mixture_outside_the_label_is_found():
    assert codes(working_solution(5000.0, DEMO, ratio=Ratio(1 / 201))) == [
        ("below-the-least", "peracetic acid", "label")]
    strong = working_solution(5000.0, DEMO, ratio=Ratio(0.2))
    assert codes(strong) == [("above-the-greatest", "peracetic acid", "label"),
                             ("above-the-greatest", "hydrogen peroxide", "label")]
    assert all(one.certain for one in strong.findings)


def test_strength_that_may_be_outside_within_its_uncertainty_is_found_but_not_certain():
    made = working_solution(5000.0, DEMO, bounds=[Bounds("peracetic acid", 1100.0, 1100.0)])
    assert codes(made) == [("may-be-below-the-least", "peracetic acid", "label")] and not made.findings[0].certain
    exact = dataclasses.replace(DEMO, ingredients=(dataclasses.replace(DEMO.ingredients[0], tolerance_frac=None),))
    fine = working_solution(5000.0, exact, bounds=[Bounds("peracetic acid", 1100.0, 1100.0)],
                            concentrate_measure=measure("1 %"), volume_measure=measure("1 %"))
    assert fine.findings == ()


def test_what_was_asked_is_held_against_a_given_ratio():
    made = working_solution(5000.0, DEMO, ratio=Ratio(0.05), bounds=[Bounds("acetic acid", None, 4000.0)])
    assert [one for one in codes(made) if one[2] == "asked"] == [("above-the-greatest", "acetic acid", "asked")]


@pytest.mark.parametrize(("bounds", "end", "side"), [
    (Bounds("peracetic acid", 1500.0), 1500.0, -1.0), (Bounds("acetic acid", None, 3500.0), 3500.0, 1.0)])
def test_single_bound_is_aimed_inside_by_the_uncertainty(bounds, end, side):
    made = working_solution(5000.0, DEMO, bounds=[bounds])
    one = next(one for one in made.mixture.strengths if one.name == bounds.name)
    assert one.strength_mg_l + side * one.expanded_mg_l == pytest.approx(end, rel=1e-9)
    assert not [found for found in codes(made) if found[2] == "asked"]


def test_single_bound_that_cannot_be_kept_is_aimed_at_itself_and_said():
    neat = working_solution(5000.0, DEMO, bounds=[Bounds("peracetic acid", 43600.0)])
    assert neat.mixture.ratio.concentrate_frac == 1.0
    assert ("may-be-below-the-least", "peracetic acid", "asked") in codes(neat)


@pytest.mark.parametrize("mixed", [
    lambda: working_solution(5000.0, DEMO, bounds=[Bounds("peracetic acid", None, 50_000.0)]),
    lambda: powder_working_solution(2000.0, POWDER, bounds=[Bounds("active", None, 2e6)])])
def test_greatest_strength_above_the_concentrate_sets_no_ratio(mixed):
    with pytest.raises(OutOfRange, match="neat concentrate is no working solution"):
        mixed()


def test_powder_is_aimed_above_a_least_strength():
    made = powder_working_solution(2000.0, POWDER, bounds=[Bounds("active", 1500.0)])
    one = made.powder.strengths[0]
    assert one.strength_mg_l - one.expanded_mg_l == pytest.approx(1500.0, rel=1e-9)


def test_clashing_bounds_are_refused_with_both_names():
    with pytest.raises(NoFraction, match="peracetic acid.*acetic acid"):
        working_solution(5000.0, DEMO, bounds=[Bounds("peracetic acid", 2000.0), Bounds("acetic acid", None, 1000.0)])


def test_kitchen_jug_is_taken_unless_stated():
    made = working_solution(5000.0, DEMO, ratio=Ratio(0.05))
    assert made.concentrate_measure.known == made.volume_measure.known == "practice"
    better = working_solution(5000.0, DEMO, ratio=Ratio(0.05), concentrate_measure=measure("cylinder A"))
    assert better.mixture.strengths[0].standard_uncertainty_mg_l < made.mixture.strengths[0].standard_uncertainty_mg_l


def test_powder_reaches_its_target_by_weight():
    made = powder_working_solution(2000.0, POWDER, bounds=[Bounds("active", 1500.0, 1500.0)])
    assert made.powder.powder_g == pytest.approx(6.0)
    assert made.powder.strengths[0].strength_mg_l == pytest.approx(1500.0)
    assert codes(powder_working_solution(2000.0, POWDER, dose_g_l=1.0)) == [("below-the-least", "active", "label")]


def test_product_is_not_needed_for_volumes():
    made = working_solution(5000.0, None, ratio=Ratio(0.05))
    assert made.mixture.concentrate_ml == 250.0 and made.mixture.strengths == ()
