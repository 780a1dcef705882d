"""What must not meet is refused wherever it meets, and a rinse that was planned but left out is found."""

import pytest

from tersum.catalogue.load import product
from tersum.visit.kept_apart import SETTINGS, kept_apart, must_not_meet, unrinsed
from tersum.visit.steps import Step

PRODUCTS = {"A": product("Demo Concentrate A"), "B": product("Demo Cleaner B")}
ALL = {"surfaces": ("smooth",), "vessels": ("one",), "cloths": ("blue",)}
FIRST = Step("wash", "clean", "wash", "B", **ALL)
RINSE = Step("rinse", "rinse", "rinse", **ALL)
SECOND = Step("disinfect", "disinfect", "wet", "A", **ALL)


def always(_one, _other, _setting):
    return "It gives off gas."


def refused(*steps, forbids=always):
    return [one.sentence() for one in must_not_meet(steps, PRODUCTS, forbids)]


@pytest.mark.parametrize("steps", [(FIRST, SECOND), (SECOND, FIRST)], ids=["one order", "the other"])
def test_forbidden_products_are_refused_in_every_setting_and_both_orders(steps):
    found = refused(*steps)
    assert len(found) == len(SETTINGS) == 3
    assert all("It gives off gas." in one and "nothing overrides" in one for one in found)
    for setting, word in (("surface", "surfaces"), ("vessel", "one"), ("cloth", "blue")):
        [one] = refused(*steps, forbids=lambda a, b, where: "No." if where == setting else None)  # noqa: B023
        assert word in one


def test_rinse_and_drain_that_names_all_places_is_the_only_way_through():
    assert refused(FIRST, RINSE, SECOND) == []
    assert len(refused(FIRST, Step("rinse", "rinse", "rinse", surfaces=("smooth",)), SECOND)) == 2


def test_products_that_may_meet_are_not_refused():
    assert refused(FIRST, SECOND, forbids=lambda a, b, where: None) == []


def test_rinse_left_out_is_found_in_what_was_carried_out():
    apart = kept_apart((FIRST, RINSE, SECOND), PRODUCTS, always)
    assert apart == (("wash", "disinfect"),)
    assert unrinsed((FIRST, RINSE, SECOND), apart) == ()
    assert {one.setting for one in unrinsed((FIRST, SECOND), apart)} == set(SETTINGS)
    assert {one.setting for one in unrinsed((RINSE, FIRST, SECOND), apart)} == set(SETTINGS)
    assert unrinsed((FIRST, SECOND), ()) == ()
