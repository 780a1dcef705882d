"""Solution against condensate: what may be said, and when nothing may."""

import dataclasses
import math

import numpy as np
import pytest

from tersum.chemistry.condensate import REQUIRED, CondensateCase, condensate
from tersum.chemistry.distillate import distilled
from tersum.chemistry.ph import solution
from tersum.chemistry.recipe import Water
from tersum.errors import Faults, OutOfRange

# A boiler of 0.010 mol/kg acetic acid in water of 3 mmol/L alkalinity, and its condensate by distillation alone.
ALKALINE = CondensateCase(solution_ph=4.37, condensate_ph=3.55, solution_c=25.0, condensate_c=25.0,
                          alkalinity_mmol_l=3.0, u_ph=0.03, calibration="good", peracid_mg_l=380.0)
SOFT = dataclasses.replace(ALKALINE, solution_ph=3.387, condensate_ph=3.476, alkalinity_mmol_l=0.0)


def by_name(said):
    return {one.name: one for one in said.hypotheses}


def test_sixfold_hydronium_from_alkaline_water_needs_no_conversion():
    said = condensate(ALKALINE)
    assert by_name(said)["dilution-or-distillation"].answer == "consistent-with"
    assert said.ratio.ratio == pytest.approx(6.6, abs=0.05)
    assert said.answer == "cannot-tell" and "redox-titration-of-both" in said.would_settle


def test_same_readings_from_soft_water_are_not_consistent_with_distillation():
    """Without alkalinity nothing holds acid back: then a sixfold rise cannot come from distilling."""
    said = condensate(dataclasses.replace(ALKALINE, alkalinity_mmol_l=0.0))
    assert by_name(said)["dilution-or-distillation"].answer == "not-consistent-with"


def test_conversion_alone_is_left_where_the_condensate_is_too_acid_to_have_distilled():
    strong = dataclasses.replace(SOFT, condensate_ph=3.08, peracid_mg_l=3000.0)
    said = condensate(strong)
    assert said.answer == "consistent-with" and said.named == ("conversion-to-acid",)
    assert said.not_shown == "oxygen-released"


def test_condensate_beyond_every_explanation_is_consistent_with_none():
    said = condensate(dataclasses.replace(SOFT, condensate_ph=2.2))
    assert said.answer == "not-consistent-with" and said.named == ()


@pytest.mark.parametrize("name", REQUIRED)
def test_any_missing_input_gives_cannot_tell_and_is_named(name):
    said = condensate(dataclasses.replace(ALKALINE, **{name: None}))
    assert said.answer == "cannot-tell" and said.missing == (name,) and not said.hypotheses


def test_nothing_known_is_cannot_tell_with_everything_missing():
    assert condensate(CondensateCase()).missing == REQUIRED


@pytest.mark.parametrize("calibration", ["clean-and-repeat", "replace"])
def test_calibration_that_is_not_good_gives_cannot_tell(calibration):
    said = condensate(dataclasses.replace(ALKALINE, calibration=calibration))
    assert said.answer == "cannot-tell" and said.flags[0].code == "calibration-not-good"


def test_unknown_peracid_leaves_conversion_open():
    said = condensate(dataclasses.replace(SOFT, peracid_mg_l=None, condensate_ph=3.08))
    assert by_name(said)["conversion-to-acid"].answer == "cannot-tell" and said.answer == "cannot-tell"


def test_no_peracid_rules_conversion_out():
    assert by_name(condensate(dataclasses.replace(SOFT, peracid_mg_l=0.0)))["conversion-to-acid"].weight == 0.0


def test_condensate_without_salts_rules_entrainment_out():
    """Plenty of salts in the boiler and none in the condensate: its own acid carries all its current."""
    own = 390.7e3 * 10**-3.55
    said = condensate(dataclasses.replace(ALKALINE, solution_us_cm=2000.0, condensate_us_cm=own))
    assert by_name(said)["entrainment"].answer == "not-consistent-with"
    assert "conductivity-of-both" not in said.would_settle


def test_salty_condensate_rules_pure_distillation_out():
    said = condensate(dataclasses.replace(ALKALINE, condensate_ph=4.2, solution_us_cm=400.0, condensate_us_cm=300.0))
    assert by_name(said)["dilution-or-distillation"].answer == "not-consistent-with"
    assert by_name(said)["entrainment"].answer == "consistent-with"


def test_conductivity_of_soft_water_says_nothing():
    same = condensate(dataclasses.replace(SOFT, solution_us_cm=160.0, condensate_us_cm=130.0))
    assert by_name(same)["entrainment"].answer == "consistent-with"


def test_alkaline_solution_holds_no_acid_to_trace():
    said = condensate(dataclasses.replace(ALKALINE, solution_ph=11.0))
    assert said.answer == "cannot-tell" and said.flags[-1].code == "solution-no-weak-acid"


def test_different_temperatures_and_low_conductivity_are_flagged():
    said = condensate(dataclasses.replace(ALKALINE, condensate_c=40.0, solution_us_cm=400.0, condensate_us_cm=90.0))
    assert [flag.code for flag in said.flags] == ["temperatures-differ", "low-conductivity"]


def test_wider_readings_never_rule_more_out():
    narrow, wide = (condensate(dataclasses.replace(SOFT, condensate_ph=3.1, u_ph=u)) for u in (0.02, 0.15))
    assert set(narrow.named) <= set(wide.named)


def test_true_explanation_is_kept_in_simulated_distillations():
    """Condensates made by distilling alone, read with scatter, are called consistent with it 95 times in 100."""
    rng, kept, rounds = np.random.default_rng(9), 0, 100
    for _ in range(rounds):
        alkalinity, acid = rng.uniform(0.0, 5.0), 10 ** rng.uniform(-2.3, -1.3)
        water = Water(alkalinity / 1000.0, pco2_atm=0.00042)
        truth = distilled(acid, water=water, alpha=rng.uniform(0.5, 0.9), air_pco2_atm=0.00042)
        case = dataclasses.replace(
            ALKALINE, solution_ph=truth.solution.ph + 0.03 * rng.standard_normal(),
            condensate_ph=truth.condensate.ph + 0.03 * rng.standard_normal(), alkalinity_mmol_l=alkalinity)
        kept += "dilution-or-distillation" in condensate(case).named
    assert kept / rounds >= 0.95


def test_weights_of_all_explanations_come_to_one():
    assert math.fsum(one.weight for one in condensate(ALKALINE).hypotheses) == pytest.approx(1.0)


def test_acid_found_from_the_solution_is_the_acid_put_in():
    ph = solution({"acetic acid": 0.01}, water=Water(0.003, pco2_atm=0.00042)).ph
    said = condensate(dataclasses.replace(ALKALINE, solution_ph=ph))
    assert said.acetic_equivalent_mol_kg == pytest.approx(0.01, rel=1e-5)


def test_all_faults_are_told_at_once():
    with pytest.raises(Faults) as told:
        condensate(CondensateCase(solution_ph=20.0, condensate_c=-5.0, alkalinity_mmol_l=-1.0, u_ph=math.nan))
    assert {fault.field for fault in told.value.faults} == {"solution_ph", "condensate_c", "alkalinity_mmol_l", "u_ph"}
    with pytest.raises(OutOfRange):
        condensate(dataclasses.replace(ALKALINE, peracid_mg_l=-1.0))
