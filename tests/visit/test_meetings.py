"""Where products meet: on surfaces, in vessels and cloths, unless a rinse that names the place lies between."""

import pytest

from tersum.visit.meetings import meetings
from tersum.visit.steps import Step

APART = {"vessels": ("one",), "cloths": ("blue",), "surfaces": ("smooth",)}
OTHER = {"vessels": ("two",), "cloths": ("white",), "surfaces": ("rough",)}


def use(name, product, **places):
    return Step(name, "clean", "do", product, **places)


def found(*steps):
    return [(one.first.id, one.second.id, one.setting, one.name) for one in meetings(steps)]


def test_products_that_share_nothing_never_meet():
    assert found(use("a", "A", **APART), use("b", "B", **OTHER)) == []


@pytest.mark.parametrize(("field", "setting"), [("surfaces", "surface"), ("vessels", "vessel"), ("cloths", "cloth")])
def test_products_meet_where_they_share_a_name_whatever_its_case(field, setting):
    name = APART[field][0]
    second = use("b", "B", **{**OTHER, field: (name.upper(),)})
    assert found(use("a", "A", **APART), second) == [("a", "b", setting, name)]


@pytest.mark.parametrize(("field", "setting"), [("surfaces", "surface"), ("vessels", "vessel"), ("cloths", "cloth")])
def test_rinse_parts_only_what_it_names(field, setting):
    name = APART[field][0]
    first, second = use("a", "A", **APART), use("b", "B", **{**OTHER, field: (name,)})
    assert found(first, Step("r", "rinse", "rinse", **{field: (name,)}), second) == []
    assert found(first, Step("r", "rinse", "rinse", **{field: ("else",)}), second) == [("a", "b", setting, name)]
    assert found(first, Step("r", "rinse", "rinse"), second) == [("a", "b", setting, name)]
    assert found(first, Step("r", "dry", "dry", **{field: (name,)}), second) == [("a", "b", setting, name)]
    assert found(Step("r", "rinse", "rinse", **{field: (name,)}), first, second) == [("a", "b", setting, name)]


def test_what_has_no_name_counts_as_shared_and_no_rinse_parts_it():
    first, second = use("a", "A", **APART), use("b", "B", **{**OTHER, "vessels": ()})
    rinse = Step("r", "rinse", "rinse", vessels=("one",))
    assert found(first, rinse, second) == [("a", "b", "vessel", "")]


def test_one_product_used_twice_does_not_meet_itself():
    assert found(use("a", "A", **APART), use("b", "A", **APART)) == []
