"""Alkalinity as water works print it."""

import pytest

from tersum.chemistry.alkalinity import carbonate_mol_kg, parse_alkalinity
from tersum.chemistry.ph import solution
from tersum.chemistry.recipe import Water
from tersum.errors import OutOfRange, TersumError


@pytest.mark.parametrize(("text", "mmol_l"), [
    ("2.5 mmol/L", 2.5), ("2,5 meq/l", 2.5), ("0 mmol/L", 0.0), ("100 mg/L CaCO3", 1.998), ("61 mg/L HCO3-", 1.0),
    ("7 °dKH", 2.496), ("5 fH", 1.0), ("200 mg/L as CaCO3", 3.997), ("180 ppm CaCO3", 3.597),
])
def test_units_of_water_works_come_to_one(text, mmol_l):
    assert parse_alkalinity(text) == pytest.approx(mmol_l, abs=0.002)


@pytest.mark.parametrize("text", ["150", "150 mg/L", "8 dH", "150 ppm", "3 mol/L"])
def test_unit_that_does_not_say_what_is_counted_is_asked_about(text):
    with pytest.raises(TersumError) as told:
        parse_alkalinity(text)
    assert told.value.code == "unnamed-unit" and "mg/L CaCO3" in str(told.value)


@pytest.mark.parametrize("text", ["-1 mmol/L", "60 mmol/L"])
def test_alkalinity_that_no_tap_gives_is_refused(text):
    with pytest.raises(OutOfRange, match="0 to 50 mmol/L"):
        parse_alkalinity(text)


@pytest.mark.parametrize("text", ["", "mmol/L", "1e3 mmol/L", "three mmol/L"])
def test_what_is_no_number_is_refused(text):
    with pytest.raises(TersumError):
        parse_alkalinity(text)


@pytest.mark.parametrize("ph", [6.5, 7.3, 8.3, 9.0])
@pytest.mark.parametrize("temp_c", [5.0, 25.0, 45.0])
def test_carbonate_from_a_ph_gives_that_ph_back(ph, temp_c):
    total = carbonate_mol_kg(0.004, ph, temp_c=temp_c)
    assert solution({}, temp_c=temp_c, water=Water(0.004, carbonate_mol_kg=total)).ph == pytest.approx(ph, abs=1e-4)


def test_carbonate_that_would_be_negative_is_refused():
    with pytest.raises(OutOfRange, match="carbonate alone"):
        carbonate_mol_kg(0.00001, 9.8)
