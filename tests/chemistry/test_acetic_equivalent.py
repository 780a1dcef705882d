"""From a pH back to an acidity."""

import math

import pytest

from tersum.chemistry.acetic_equivalent import acetic_equivalent
from tersum.chemistry.ph import solution
from tersum.chemistry.recipe import Water
from tersum.errors import Faults, OutOfRange

TAP = Water(0.003, carbonate_mol_kg=0.0033)


@pytest.mark.parametrize("amount", [1e-5, 1e-3, 0.05, 0.5])
@pytest.mark.parametrize("water", [Water(), TAP, Water(0.003, pco2_atm=0.00042)])
def test_acid_put_in_is_found_again_from_its_ph(amount, water):
    ph = solution({"acetic acid": amount}, water=water).ph
    assert acetic_equivalent(ph, water=water).mol_kg == pytest.approx(amount, rel=1e-5)


def test_published_inverse_values():
    assert acetic_equivalent(3.0).mol_kg == pytest.approx(0.0581, abs=1.2e-4)
    assert acetic_equivalent(3.5).mol_kg == pytest.approx(0.00602, abs=1.2e-5)


def test_a_twentieth_of_a_ph_is_a_quarter_of_the_acid():
    found = acetic_equivalent(3.0, u_ph=0.05)
    assert found.relative_per_ph * 0.05 == pytest.approx(0.23, abs=0.005)
    assert math.log(found.high_mol_kg / found.mol_kg) == pytest.approx(0.46, abs=0.02)


def test_interval_reaches_down_to_nothing_near_the_ph_of_the_water():
    found = acetic_equivalent(5.4, u_ph=0.3, water=Water(pco2_atm=0.00042))
    assert found.low_mol_kg == 0.0 < found.mol_kg < found.high_mol_kg


def test_ph_above_that_of_the_water_has_no_acid():
    with pytest.raises(OutOfRange, match="pH of the water"):
        acetic_equivalent(8.5, water=TAP)


def test_ph_too_low_for_weak_acid_is_refused():
    with pytest.raises(OutOfRange):
        acetic_equivalent(1.0)


def test_bad_ph_and_uncertainty_are_told_together():
    with pytest.raises(Faults) as told:
        acetic_equivalent(0.5, u_ph=math.nan)
    assert [fault.field for fault in told.value.faults] == ["ph", "u_ph"]
