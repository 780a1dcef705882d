"""What a material takes: the worst of all agents, nothing known above the table's strengths, makers' parts alone."""

from dataclasses import replace

import pytest

from tersum.catalogue.load import product, table
from tersum.chemistry.materials import (
    AGENTS,
    makers_only,
    material_heated,
    material_under,
    material_under_product,
    materials,
)
from tersum.errors import OutOfRange

A, B = product("Demo Concentrate A"), product("Demo Cleaner B")
USED = 1.0 / 21.0
TABLED = [name for name in materials() if name not in makers_only()]


@pytest.mark.parametrize("name", TABLED)
def test_every_material_has_a_verdict_for_each_agent_and_a_grade(name):
    entry = table("materials")[name]
    assert len(entry["verdicts"].value) == len(AGENTS) and entry.labels["evidence"] in ("1", "2", "3")
    assert {material_under(name, agent).verdict for agent in AGENTS} <= {"fine", "care", "avoid"}
    assert material_heated(name, 20.0).verdict == "fine"


@pytest.mark.parametrize("name", makers_only())
def test_part_for_its_maker_alone_takes_no_chemical_and_no_steam(name):
    found = [material_under(name, agent) for agent in (*AGENTS, "none")]
    found += [material_heated(name, 100.0), material_under_product(name, A, concentrate_frac=USED),
              material_under_product(name, B)]
    assert {one.verdict for one in found} == {"makers-method"}


def test_worst_agent_of_a_product_decides():
    assert material_under_product("natural rubber", A, concentrate_frac=USED).verdict == "avoid"
    found = material_under_product("aluminium", A, concentrate_frac=USED)
    assert (found.verdict, found.evidence) == ("care", "1")
    assert material_under_product("aluminium", B).verdict == "avoid"


def test_stronger_than_the_table_speaks_of_is_not_known():
    assert material_under_product("polypropylene", A, concentrate_frac=USED).verdict == "fine"
    assert material_under_product("polypropylene", A).verdict == "unknown"


def test_ingredient_that_nobody_knows_makes_the_verdict_unknown():
    strange = replace(A, ingredients=(*A.ingredients, replace(A.ingredients[0], name="an oil")))
    assert material_under_product("polypropylene", strange, concentrate_frac=USED).verdict == "unknown"
    assert material_under_product("moon rock", A, concentrate_frac=USED).verdict == "unknown"
    assert material_under("ABS", "aldehyde").verdict == "unknown"


def test_heat_is_judged_by_the_surface():
    assert [material_heated("leather", temp).verdict for temp in (45.0, 55.0, 65.0)] == ["fine", "care", "avoid"]
    assert material_heated("moon rock", 20.0).verdict == "unknown"
    with pytest.raises(OutOfRange):
        material_heated("leather", 500.0)


def test_grade_speaks_only_of_the_columns_that_were_read():
    assert [material_under("aluminium", agent).evidence for agent in ("peracid", "peroxide", "quat")] == ["1", "1", "3"]
    assert material_under("polypropylene", "peracid").evidence == "3"


@pytest.mark.parametrize(("name", "strength"), [
    ("calcium hypochlorite", 60.0), ("benzalkonium chloride", 50.0), ("sodium hydroxide", 30.0), ("ethanol", 99.0)])
def test_concentrate_as_supplied_is_stronger_than_the_table_whatever_it_is(name, strength):
    strong = replace(B, ingredients=(replace(B.ingredients[0], name=name, strength=strength),), ph=None,
                     chemical_classes=())
    assert material_under_product("polypropylene", strong).verdict == "unknown"
    powder = replace(strong, kind="powder", label_ratio=None)
    assert material_under_product("polypropylene", powder).verdict == "unknown"


def test_strengths_of_one_agent_are_added_whatever_the_salt():
    two = tuple(replace(B.ingredients[0], name=name, strength=0.4)
                for name in ("sodium hypochlorite", "calcium hypochlorite"))
    weak = replace(B, ingredients=two[:1], ph=None, label_ratio=None)
    assert material_under_product("polypropylene", weak).verdict == "fine"
    assert material_under_product("polypropylene", replace(weak, ingredients=two)).verdict == "unknown"
