"""A plan is held against the label, against what must not meet, and against its materials, all at once."""

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from tersum.catalogue.load import product
from tersum.visit.allowed import must_stay_apart, not_allowed, steam_on_vapour
from tersum.visit.plan import plan_from
from tersum.visit.steps import Override

FILE = Path(__file__).resolve().parents[2] / "examples/minibus-1/visit.toml"


@pytest.fixture(scope="module")
def plan():
    return plan_from(tomllib.loads(FILE.read_text(encoding="utf-8")), book_spread_log10=0.205)


def changed(plan, step_id, **changes):
    return replace(plan, steps=tuple(replace(step, **changes) if step.id == step_id else step for step in plan.steps))


def codes(plan):
    return [one.code for one in not_allowed(plan, product)]


def test_plan_of_the_demo_may_be_carried_out_and_keeps_its_products_apart(plan):
    assert codes(plan) == [] and must_stay_apart(plan, product) == (("wash", "disinfect"),)


@pytest.mark.parametrize("shared", [{"vessels": ("wash bucket",)}, {"cloths": ("blue",)}, {"vessels": ()}])
def test_no_override_lets_products_meet(plan, shared):
    lead = (Override("ABS", "lead 7", "no time"),)
    assert "must-not-meet" in codes(changed(plan, "disinfect", overrides=lead, **shared))


def test_rinse_between_is_the_only_way(plan):
    without = replace(plan, steps=tuple(step for step in plan.steps if step.kind != "rinse"))
    assert codes(without).count("must-not-meet") == 2  # smooth and rough


def test_steam_on_what_alcohol_was_put_on_is_refused_unless_rinsed(plan):
    spirit = replace(product("Demo Cleaner B"), name="Spirit", ph=None,
                     ingredients=(replace(product("Demo Cleaner B").ingredients[0], name="ethanol"),))
    wash, rinse = (next(step for step in plan.steps if step.id == name) for name in ("wash", "rinse after washing"))
    wiped = replace(wash, product="Spirit")
    steam = replace(wash, id="steam", kind="steam", product="", ratio="", volume_ml=None)
    known = {"Spirit": spirit}
    assert len(list(steam_on_vapour((wiped, steam), known))) == 2  # smooth and rough
    assert list(steam_on_vapour((wiped, rinse, steam), known)) == []
    assert list(steam_on_vapour((replace(wash, product="B"), steam), {"B": product("Demo Cleaner B")})) == []


def test_step_that_names_no_material_is_refused(plan):
    assert "material-refused" in codes(changed(plan, "disinfect", materials=()))


def test_all_that_is_wrong_is_told_at_once(plan):
    wrong = changed(plan, "disinfect", materials=("camera", "natural rubber"), vessels=("wash bucket",),
                    contact_min=1.0)
    found = codes(wrong)
    assert found.count("material-refused") == 2 and "must-not-meet" in found and "outside-the-label" in found
