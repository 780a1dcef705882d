"""The pH to expect of a product in one water: the interval, what it rests on, and what a reading says."""

import math

import pytest

from tersum.chemistry.equilibria import molar_mass_g_mol
from tersum.chemistry.ph import solution
from tersum.chemistry.product_ph import Concentrate, TapWater, compared, ph_against_dilution, predicted_ph
from tersum.chemistry.recipe import Water
from tersum.chemistry.uncertainty import Quantity
from tersum.errors import Faults, OutOfRange, UnknownName

DEMO = Concentrate({"peracetic acid": Quantity(43600.0, 2500.0), "hydrogen peroxide": Quantity(207100.0, 6000.0),
                    "acetic acid": Quantity(87200.0, 5000.0)})
TAP = TapWater(Quantity(3.0, 0.2), ph=7.5)
SHARE = Quantity(0.02, 0.0004)


def test_prediction_is_the_forward_calculation_between_closed_and_open():
    found = predicted_ph(DEMO, SHARE, TAP)
    amounts = {name: strength.value * 0.02 / 1000.0 / molar_mass_g_mol(name)
               for name, strength in DEMO.strengths_mg_l.items()}
    opened = solution(amounts, temp_c=20.0, water=Water(0.003 * 0.98, pco2_atm=0.00042)).ph
    assert found.open_ph == pytest.approx(opened, abs=1e-9)
    assert min(found.closed_ph, found.open_ph) <= found.ph <= max(found.closed_ph, found.open_ph)
    assert found.low < min(found.closed_ph, found.open_ph) and found.high > max(found.closed_ph, found.open_ph)


def test_ph_sees_dilution_and_water_and_hardly_the_oxidisers():
    shifts = predicted_ph(DEMO, SHARE, TAP).shifts
    assert shifts["half-the-concentrate"] > 0.3 and shifts["twice-the-alkalinity"] > 0.2
    assert abs(shifts["oxidisers-gone"]) < 0.01


def test_budget_adds_up_and_names_every_input():
    found = predicted_ph(DEMO, SHARE, TAP)
    assert math.hypot(*found.budget.values()) == pytest.approx(found.standard_uncertainty)
    assert {"acetic acid", "dilution", "alkalinity", "temperature", "constants", "activities"} <= set(found.budget)
    assert found.budget["acetic acid"] > 10 * found.budget["peracetic acid"]


def test_budget_agrees_with_a_simulation():
    """First order is good enough: the spread of 300 random products is the one predicted, within a fifth."""
    import numpy as np

    rng = np.random.default_rng(5)
    only = Concentrate({"acetic acid": Quantity(87200.0, 5000.0)})
    found = predicted_ph(only, SHARE, TAP, temp_c=Quantity(20.0, 0.0))
    expected = math.hypot(*(found.budget[name] for name in ("acetic acid", "dilution", "alkalinity")))
    seen = []
    for _ in range(300):
        product = Concentrate({"acetic acid": Quantity(87200.0 + 5000.0 * rng.standard_normal())})
        water = TapWater(Quantity(3.0 + 0.2 * rng.standard_normal()), ph=7.5)
        seen.append(predicted_ph(product, Quantity(0.02 + 0.0004 * rng.standard_normal()), water).closed_ph)
    assert np.std(seen) == pytest.approx(expected, rel=0.2)


def test_unknown_ph_of_the_water_widens_the_interval_in_weak_solutions():
    weak = Quantity(0.0005, 0.00001)
    known, unknown = (predicted_ph(DEMO, weak, TapWater(Quantity(3.0, 0.2), ph=ph)) for ph in (7.8, None))
    assert unknown.high - unknown.low > known.high - known.low


def test_strong_acid_of_the_product_lowers_the_ph():
    acid = Concentrate(DEMO.strengths_mg_l, strong_acid_mol_l=Quantity(0.1, 0.01))
    found = predicted_ph(acid, SHARE, TAP)
    assert found.ph < predicted_ph(DEMO, SHARE, TAP).ph and found.budget["strong acid"] > 0.0


def test_surfactants_are_left_out_and_said_to_be():
    found = predicted_ph(Concentrate({**DEMO.strengths_mg_l, "didecyldimethylammonium chloride": Quantity(1000.0)}),
                         SHARE, TAP)
    assert [flag.about for flag in found.flags if flag.code == "left-out"] == ["didecyldimethylammonium chloride"]


def test_alkaline_cleaner_is_predicted_alkaline():
    found = predicted_ph(Concentrate({"sodium hydroxide": Quantity(15750.0, 500.0)}), SHARE, TAP)
    assert 11.0 < found.closed_ph < 12.2


@pytest.mark.parametrize(("ph", "answer"), [(3.8, "as-predicted"), (3.3, "more-acid"), (4.6, "less-acid")])
def test_reading_is_compared_with_both_uncertainties(ph, answer):
    said = compared(Quantity(ph, 0.03), predicted_ph(DEMO, SHARE, TAP))
    assert said.answer == answer and said.not_checked == "peracid-strength"


def test_wide_reading_is_never_off():
    assert compared(Quantity(3.3, 0.3), predicted_ph(DEMO, SHARE, TAP)).answer == "as-predicted"


def test_curve_rises_with_dilution_towards_the_water():
    curve = ph_against_dilution(DEMO, TAP, parts_water=(10.0, 30.0, 100.0, 300.0, 1000.0, 3000.0))
    assert list(curve.ph) == sorted(curve.ph) and curve.ph[-1] < curve.water_ph
    assert all(low < ph < high for low, ph, high in zip(curve.low, curve.ph, curve.high, strict=True))


def test_all_faults_of_a_prediction_are_told_at_once():
    with pytest.raises(Faults) as told:
        predicted_ph(Concentrate({"acetic acid": Quantity(-1.0)}), Quantity(1.5), TapWater(Quantity(99.0)),
                     temp_c=Quantity(80.0))
    assert {fault.field for fault in told.value.faults} == {"acetic acid", "concentrate_frac", "alkalinity_mmol_l",
                                                            "temp_c"}


def test_water_ph_that_carbonate_cannot_hold_is_refused():
    with pytest.raises(OutOfRange, match="carbonate alone"):
        predicted_ph(DEMO, SHARE, TapWater(Quantity(0.01), ph=9.9))


def test_nothing_known_about_acids_gives_the_water_itself():
    found = predicted_ph(Concentrate({}), Quantity(0.01), TAP)
    assert found.closed_ph == pytest.approx(7.5, abs=0.05)


def test_misspelt_ingredient_is_left_out_and_said_to_be_not_guessed():
    found = predicted_ph(Concentrate({"acetic acd": Quantity(1000.0)}), SHARE, TAP)
    assert [flag.about for flag in found.flags] == ["acetic acd"]
    with pytest.raises(UnknownName):
        solution({"acetic acd": 0.01})
