"""Hardness: one amount in every country's unit."""

import pytest

from tersum.chemistry.hardness import hardness, mmol_l_per
from tersum.errors import OutOfRange, UnknownName

UNITS = ["mmol/L", "mg/L CaCO3", "dH", "fH", "Clark", "gr/US gal"]


def test_one_millimole_reads_as_every_unit_says():
    one = hardness(1.0, "mmol/L")
    read = {unit: one.in_unit(unit) for unit in UNITS}
    assert read == pytest.approx({"mmol/L": 1.0, "mg/L CaCO3": 100.087, "dH": 5.608, "fH": 10.009, "Clark": 7.022,
                                  "gr/US gal": 5.847}, abs=5e-4)


@pytest.mark.parametrize("unit", UNITS)
def test_hardness_is_the_same_there_and_back(unit):
    assert hardness(12.5, unit).in_unit(unit) == pytest.approx(12.5, rel=1e-12)


@pytest.mark.parametrize(("name", "unit"), [("°dH", "dH"), ("GPG", "gr/US gal"), ("french degree", "fH"),
                                            ("°e", "Clark")])
def test_other_names_of_a_unit_are_taken(name, unit):
    assert mmol_l_per(name) == mmol_l_per(unit)


def test_soft_water_has_none():
    assert hardness(0.0, "dH").mmol_l == 0.0


def test_unknown_unit_and_impossible_hardness_are_refused():
    with pytest.raises(UnknownName, match="dH"):
        hardness(1.0, "degrees")
    for value in (-1.0, float("nan"), float("inf"), True):
        with pytest.raises(OutOfRange):
            hardness(value, "dH")
