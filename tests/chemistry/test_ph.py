"""The pH of one solution: textbook values, hard cases, and what is refused or flagged."""

import math

import pytest

from tersum.chemistry.equilibria import acid, pk, substances
from tersum.chemistry.ph import Balance, solution, solved, strong_acid_for
from tersum.chemistry.recipe import Part, Recipe, Water, recipe
from tersum.errors import Faults, OutOfRange, UnknownName

TAP = Water(alkalinity_mol_kg=0.003, carbonate_mol_kg=0.0033)


def charge(found):
    """Sum of charge over all species, eq/kg; the strong ions are the rest."""
    return sum(int(name.rpartition(":")[2]) * amount for name, amount in found.species.items() if ":" in name) + (
        found.species["H+"] - found.species["OH-"])


def test_pure_water_is_neutral_at_half_its_pkw():
    for temp_c in (0.0, 25.0, 60.0):
        assert solution({}, temp_c=temp_c).ph == pytest.approx(pk("water", temp_c) / 2.0, abs=1e-4)


def test_water_in_air_is_at_the_ph_of_clean_rain():
    assert solution({}, water=Water(pco2_atm=0.00042)).ph == pytest.approx(5.60, abs=0.02)


def test_strong_acid_of_a_hundredth_molal_reads_its_activity():
    assert solution({"nitric acid": 0.01}).ph == pytest.approx(2.0 - math.log10(0.902), abs=0.001)


def test_strong_base_reads_pkw_less_its_activity():
    assert solution({"sodium hydroxide": 0.01}).ph == pytest.approx(13.995 - 2.0 + math.log10(0.902), abs=0.002)


def test_charges_balance_in_a_mixture_of_everything():
    mixture = {name: 0.003 for name in substances() if name not in ("nitric acid",)}
    found = solution(mixture)
    made = recipe(mixture)
    assert charge(found) == pytest.approx(made.strong_anions_mol_kg - made.strong_cations_mol_kg, abs=1e-9)


def test_every_total_is_found_again_in_its_forms():
    found = solution({"citric acid": 0.02, "phosphoric acid": 0.01, "ammonia": 0.005})
    for name, total in (("citric acid", 0.02), ("phosphoric acid", 0.01), ("ammonia", 0.005)):
        forms = [amount for form, amount in found.species.items() if form.startswith(name)]
        assert len(forms) == len(acid(name).terms) + 1 and sum(forms) == pytest.approx(total, rel=1e-12)


def test_amphoteric_part_sits_between_its_two_constants():
    """A form with a proton to give and one to take: the pH without other ions lies midway between its pKs."""
    made = Recipe((Part("made up", 1, 0.1, (1e-3, 1e-9)),), 0.0, 0.1, 1e-14, None, (), 0.0, 25.0)
    # With its chloride (0.1 eq) it is all but the first acid; with none of it, midway.
    midway = Recipe((Part("made up", 1, 0.1, (1e-3, 1e-9)),), 0.0, 0.0, 1e-14, None, (), 0.0, 25.0)
    assert -solved(midway)[1] / math.log(10.0) == pytest.approx(6.0, abs=0.03)
    assert -solved(made)[1] / math.log(10.0) < 2.3


def test_peracid_and_peroxide_do_not_move_the_ph_beside_acetic_acid():
    both = solution({"acetic acid": 0.02, "peracetic acid": 0.02, "hydrogen peroxide": 0.1}).ph
    assert both == pytest.approx(solution({"acetic acid": 0.02}).ph, abs=0.001)


def test_strong_acid_term_brings_the_solution_to_the_ph_it_was_fitted_to():
    for ph in (2.0, 3.5, 7.0, 11.0):
        acid_mol_kg = strong_acid_for(ph, {"acetic acid": 0.02}, water=TAP)
        again = solution({"acetic acid": 0.02}, water=TAP, strong_acid_mol_kg=acid_mol_kg)
        assert again.ph == pytest.approx(ph, abs=1e-7)


def test_open_solution_forgets_the_carbonate_put_in():
    bare = solution({"sodium hydroxide": 0.001}, water=Water(pco2_atm=0.00042)).ph
    assert solution({"sodium hydrogen carbonate": 0.001}, water=Water(pco2_atm=0.00042)).ph == pytest.approx(bare)


def test_large_equal_strong_charges_do_not_drown_the_hydrogen_ions():
    salty = Water(other_salts_mol_kg=0.0)
    found = solution({"sodium hydroxide": 0.4, "nitric acid": 0.4 + 1e-6}, water=salty)
    assert found.hydronium_mol_kg == pytest.approx(1e-6, rel=0.05)


@pytest.mark.parametrize("amount", [0.0, 1e-9, 1e-6, 0.1])
def test_extremes_of_strength_settle(amount):
    found = solution({"acetic acid": amount, "hydrogen peroxide": amount}, water=TAP)
    assert 2.0 < found.ph < 9.0 and math.isfinite(found.ionic_strength_mol_kg)


def test_temperature_moves_the_ph_of_tap_water():
    assert solution({}, temp_c=5.0, water=TAP).ph > solution({}, temp_c=45.0, water=TAP).ph


# what is flagged

def test_ionic_strength_above_half_is_flagged_and_above_one_refused():
    codes = [flag.code for flag in solution({"sodium acetate": 0.6, "acetic acid": 0.1}).flags]
    assert codes == ["ionic-strength-high"]
    with pytest.raises(OutOfRange, match="dilute further"):
        solution({"sodium hydroxide": 2.0})
    with pytest.raises(OutOfRange, match="dilute further"):
        strong_acid_for(-0.5, {"acetic acid": 0.1})


def test_constant_known_at_one_temperature_is_flagged_elsewhere():
    assert not solution({"peracetic acid": 0.01}, temp_c=25.0).flags
    flag, = solution({"peracetic acid": 0.01}, temp_c=10.0).flags
    assert (flag.code, flag.about, flag.number) == ("constant-without-temperature", "peracetic acid", 0.1)


def test_constant_outside_its_range_is_flagged():
    flag, = solution({"hypochlorous acid": 0.01}, temp_c=50.0).flags
    assert (flag.code, flag.about, flag.number) == ("constant-outside-its-range", "hypochlorous acid", 50.0)


def test_strong_peroxide_is_flagged_as_no_longer_dilute():
    assert [flag.code for flag in solution({"hydrogen peroxide": 5.0}).flags] == ["not-dilute"]


# what is refused

def test_unknown_substance_is_refused_and_near_names_are_offered():
    with pytest.raises(UnknownName, match="did you mean acetic acid"):
        solution({"acetic acd": 0.1})


@pytest.mark.parametrize("temp_c", [-1.0, 60.5, math.nan, math.inf, True])
def test_temperature_outside_validity_is_refused(temp_c):
    with pytest.raises(OutOfRange, match="0 to 60 °C"):
        solution({"acetic acid": 0.1}, temp_c=temp_c)


@pytest.mark.parametrize("amount", [-0.1, 21.0, math.nan, True])
def test_amount_that_no_solution_holds_is_refused(amount):
    with pytest.raises(OutOfRange, match="0 to 20 mol/kg"):
        solution({"acetic acid": amount})


def test_water_itself_and_gas_are_no_substances_to_put_in():
    for name in ("water", "carbon dioxide gas"):
        with pytest.raises(UnknownName):
            solution({name: 0.1})


def test_alkalinity_without_its_carbonate_is_asked_about():
    for water in (Water(0.003), Water(0.003, carbonate_mol_kg=0.003, pco2_atm=0.0004)):
        with pytest.raises(OutOfRange, match="closed .* or open to air"):
            solution({}, water=water)


def test_all_faults_are_told_at_once():
    with pytest.raises(Faults) as told:
        solution({"acetic acd": 0.1, "ammonia": -1.0}, temp_c=99.0, water=Water(-1.0))
    assert {fault.field for fault in told.value.faults} >= {"substance", "ammonia", "temp_c", "alkalinity_mol_kg"}


def test_balance_rises_with_the_activity_of_hydrogen_ions():
    balance = Balance(recipe({"citric acid": 0.01, "ammonia": 0.01, "sodium hydroxide": 0.02}), 0.02)
    off = [math.log(p / n) for p, n, *_ in (balance.charges(10.0**-ph) for ph in range(14, -1, -1))]
    assert off == sorted(off)


def test_slopes_of_the_balance_are_its_derivatives():
    balance = Balance(recipe({"citric acid": 0.01, "ammonia": 0.01, "sulfuric acid": 0.005}), 0.02)
    for ph in (2.0, 4.0, 6.5, 9.3):
        step = 1e-5
        low, high = (balance.charges(10.0**-ph * math.exp(sign * step)) for sign in (-1, 1))
        _p, _n, rise, fall = balance.charges(10.0**-ph)
        assert rise == pytest.approx((high[0] - low[0]) / (2 * step), rel=1e-5)
        assert fall == pytest.approx((low[1] - high[1]) / (2 * step), rel=1e-5)


def test_own_constant_goes_before_that_of_the_catalogue():
    assert solution({"acetic acid": 0.01}, pks={"acetic acid": [3.0]}).ph < solution({"acetic acid": 0.01}).ph
    same = [pk("citric acid", 25.0, step) for step in (1, 2, 3)]
    assert solution({"citric acid": 0.01}, pks={"citric acid": same}).ph == pytest.approx(
        solution({"citric acid": 0.01}).ph, abs=1e-9)


def test_own_constants_that_do_not_fit_are_refused_together():
    with pytest.raises(Faults) as told:
        solution({"acetic acid": 0.01}, pks={"acetic acid": [4.7, 9.0], "acetic acd": [4.7], "water": [99.0]})
    assert [fault.field for fault in told.value.faults] == ["pks: acetic acid", "acid", "pks: water"]
