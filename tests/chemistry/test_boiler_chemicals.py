"""A chemical in a boiler is refused until both makers permit it in writing."""

import pytest

from tersum.chemistry.boiler_chemicals import WrittenPermission, chemical_in_boiler

MACHINE = WrittenPermission("Example Steam Works", "letter 12", "2026-01-31")
PRODUCT = WrittenPermission("Example Chemicals", "letter 7", "2026-02-01")


def codes(found):
    return [reason.code for reason in found.reasons]


@pytest.mark.parametrize("nothing", [[], ["water"]])
def test_plain_water_needs_no_permission(nothing):
    assert chemical_in_boiler(nothing).answer == "plain-water"


@pytest.mark.parametrize(("machine", "product", "missing"), [
    (None, None, 2), (MACHINE, None, 1), (None, PRODUCT, 1), (MACHINE, WrittenPermission(" ", "letter", ""), 1),
    (WrittenPermission("Example Steam Works", "", ""), PRODUCT, 1)])
def test_one_permission_or_an_empty_one_is_not_enough(machine, product, missing):
    found = chemical_in_boiler(["hydrogen peroxide"], machine=machine, product=product)
    assert found.answer == "refused" and len(found.reasons) == missing


def test_both_permissions_permit_and_the_cautions_come_along():
    found = chemical_in_boiler(["peracetic acid", "acetic acid"], machine=MACHINE, product=PRODUCT)
    assert found.answer == "permitted-in-writing"
    assert codes(found) == ["decomposes-and-builds-pressure", "corrodes-and-stays-behind"]


@pytest.mark.parametrize(("name", "why"), [
    ("sodium hypochlorite", "gives-off-chlorine"), ("chlorine", "gives-off-chlorine"), ("ethanol", "flammable-vapour"),
    ("propan-2-ol", "flammable-vapour")])
def test_hypochlorite_and_alcohol_never_go_in_whoever_permits(name, why):
    found = chemical_in_boiler(["water", name], machine=MACHINE, product=PRODUCT)
    assert found.answer == "refused" and why in codes(found)


def test_name_that_is_not_known_is_refused():
    found = chemical_in_boiler(["mystery booster"], machine=MACHINE, product=PRODUCT)
    assert found.answer == "refused" and codes(found) == ["not-in-the-catalogue"]
