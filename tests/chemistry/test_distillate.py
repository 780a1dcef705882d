"""Forward model of a condensate."""

import pytest

from tersum.chemistry.distillate import converted, distilled
from tersum.chemistry.ph import solution
from tersum.chemistry.recipe import Water
from tersum.errors import Faults

TAP = Water(0.003, pco2_atm=0.00042)


@pytest.mark.parametrize(("water", "alpha", "solution_ph", "condensate_ph", "ratio"), [
    (Water(), 0.7, 3.387, 3.476, 0.81), (Water(), 0.5, 3.387, 3.551, 0.68), (TAP, 0.7, 4.371, 3.548, 6.4)])
def test_hundredth_molal_acid_in_soft_and_in_alkaline_water(water, alpha, solution_ph, condensate_ph, ratio):
    found = distilled(0.01, water=water, alpha=alpha)
    assert found.solution.ph == pytest.approx(solution_ph, abs=0.002)
    assert found.condensate.ph == pytest.approx(condensate_ph, abs=0.002)
    assert found.hydronium_ratio == pytest.approx(ratio, rel=0.02)


def test_distillation_raises_the_ph_in_soft_water_and_lowers_it_in_alkaline_water():
    assert distilled(0.01, alpha=0.7).condensate.ph > distilled(0.01, alpha=0.7).solution.ph
    assert distilled(0.01, water=TAP, alpha=0.7).condensate.ph < distilled(0.01, water=TAP, alpha=0.7).solution.ph


def test_condensate_of_droplets_alone_is_the_solution():
    found = distilled(0.01, water=TAP, alpha=0.7, entrained_frac=1.0, air_pco2_atm=0.00042)
    assert found.condensate.ph == pytest.approx(found.solution.ph, abs=1e-9)


def test_acid_held_as_acetate_stays_behind():
    found = distilled(0.003, water=TAP, alpha=0.7)
    assert found.undissociated_mol_kg < 0.1 * 0.003


def test_full_conversion_of_half_as_much_peracid_changes_hydronium_by_a_quarter():
    found = converted(0.01, 0.005, converted_frac=1.0)
    assert found.hydronium_ratio == pytest.approx(1.232, abs=0.003)
    assert converted(0.01, 0.005, converted_frac=0.0).hydronium_ratio == 1.0


def test_loss_of_peroxide_changes_no_hydrogen_ion():
    """2 H2O2 -> 2 H2O + O2: all of the oxygen gone, and the pH stays."""
    with_peroxide = solution({"acetic acid": 0.01, "hydrogen peroxide": 0.1}).ph
    assert with_peroxide == pytest.approx(solution({"acetic acid": 0.01}).ph, abs=1e-3)


def test_all_faults_are_told_at_once():
    with pytest.raises(Faults) as told:
        distilled(-1.0, alpha=99.0, entrained_frac=2.0, air_pco2_atm=1.0)
    assert len(told.value.faults) == 4
    with pytest.raises(Faults):
        converted(0.01, -1.0, converted_frac=1.5)
