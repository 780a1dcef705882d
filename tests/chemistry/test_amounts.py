"""Amounts as people write them."""

import pytest

from tersum.chemistry.amounts import mol_kg, parse_amount
from tersum.errors import OutOfRange, TersumError, UnknownName


@pytest.mark.parametrize(("text", "found"), [
    ("0.01 mol/kg", 0.01), ("10 mmol/L", 0.01), ("0,01 mol/l", 0.01), ("600.52 mg/L", 0.01), ("0.60052 g/L", 0.01),
    ("0.060052 % w/v", 0.01), ("0 mmol/kg", 0.0)])
def test_units_come_to_mol_per_kilogram(text, found):
    assert parse_amount(text, "acetic acid") == pytest.approx(found)


def test_bare_number_is_asked_for_its_unit():
    with pytest.raises(TersumError, match="mmol/L") as told:
        parse_amount("5", "acetic acid")
    assert told.value.code == "no-unit"


def test_negative_amounts_and_unknown_substances_are_refused():
    with pytest.raises(OutOfRange):
        parse_amount("-1 mmol/L", "acetic acid")
    with pytest.raises(UnknownName):
        parse_amount("5 mg/L", "mystery")
    with pytest.raises(OutOfRange):
        mol_kg(-1.0, "acetic acid")
