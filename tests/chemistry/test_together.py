"""What must never meet: either order, every setting, and an unknown class meets nothing."""

from dataclasses import replace
from itertools import product as every

import pytest

from tersum.catalogue.load import product
from tersum.catalogue.product import CHEMICAL_CLASSES
from tersum.chemistry import together
from tersum.chemistry.together import NONE, SETTINGS, UNKNOWN, classes, classes_of, classes_of_ingredient, pairs
from tersum.errors import UnknownName

A, B = product("Demo Concentrate A"), product("Demo Cleaner B")


@pytest.mark.parametrize("pair", pairs(), ids=lambda pair: f"{pair.first}+{pair.second}")
@pytest.mark.parametrize("setting", SETTINGS)
def test_every_pair_is_blocked_in_every_setting_in_either_order(pair, setting):
    for one, other in ((pair.first, pair.second), (pair.second, pair.first)):
        found = together.meeting([one], [other], setting=setting)
        assert not found.may and pair in found.pairs


@pytest.mark.parametrize("setting", SETTINGS)
@pytest.mark.parametrize("known", [*classes(), NONE])
def test_unknown_class_meets_nothing(setting, known):
    assert not together.meeting([known], [UNKNOWN], setting=setting).may
    assert not together.meeting([], [known], setting=setting).may


def test_pairs_that_are_not_in_the_table_may_meet():
    listed = {frozenset((pair.first, pair.second)) for pair in pairs()}
    free = [(one, other) for one, other in every(classes(), classes()) if frozenset((one, other)) not in listed]
    assert free and all(together.meeting([one], [other]).may for one, other in free)


def test_class_nobody_knows_is_refused_with_those_that_are_known():
    with pytest.raises(UnknownName, match="peracid"):
        together.meeting(["oxidizer"], ["acid"])
    with pytest.raises(UnknownName):
        together.meeting(["acid"], ["quat"], setting="air")


def test_products_of_the_demo_must_not_meet():
    found = together.products_meeting(A, B, setting="cloth")
    assert {(pair.first, pair.second) for pair in found.pairs} >= {("peracid", "alkali"), ("peroxide", "alkali")}
    assert classes_of(B) == ("alkali",)


def test_product_whose_rest_nobody_states_is_unknown():
    assert UNKNOWN in classes_of(replace(B, rest=None)) and classes_of_ingredient("an oil") == (UNKNOWN,)


def test_extreme_ph_makes_a_class_of_its_own():
    mild = replace(B, ingredients=(replace(B.ingredients[0], name="propan-2-ol"),), ph=None,
                   chemical_classes=())
    assert classes_of(mild) == ("alcohol",)
    assert "acid" in classes_of(replace(mild, ph=4.9)) and "alkali" in classes_of(replace(mild, ph=12.0))


def test_rest_that_is_only_unclassified_is_unknown_until_the_product_states_its_classes():
    silent = replace(B, rest="unclassified", chemical_classes=())
    assert UNKNOWN in classes_of(silent)
    assert classes_of(replace(silent, chemical_classes=("anionic",))) == ("alkali", "anionic")
    with pytest.raises(UnknownName):
        classes_of(replace(silent, chemical_classes=("oxidizer",)))


def test_stated_classes_take_nothing_from_what_is_listed():
    assert set(classes_of(A)) <= set(classes_of(replace(A, chemical_classes=("none",))))
    strange = replace(A, ingredients=(*A.ingredients, replace(A.ingredients[0], name="an oil")))
    assert UNKNOWN in classes_of(strange)
    assert set(CHEMICAL_CLASSES) == {*classes(), NONE}
