"""The charge balance against PHREEQC: the same constants, the same activity model, solved by another program."""

import numpy as np
import pytest

from chemistry import phreeqc
from tersum.chemistry.ph import solution
from tersum.chemistry.recipe import Water

MIXTURES = 600
LARGEST = 0.01  # pH


@pytest.fixture(scope="module")
def engine():
    return phreeqc.engine()


def mixtures(number, *, most_cations, seed):
    """Random acids, peroxide and alkalinity between 5 and 45 °C; closed carbonate."""
    rng = np.random.default_rng(seed)
    for row in range(number):
        made = {"acetic acid": 10 ** rng.uniform(-4, -0.3), "peracetic acid": 10 ** rng.uniform(-4, -1),
                "hydrogen peroxide": 10 ** rng.uniform(-3, 0)}
        if row % 5 == 0:
            made["citric acid"] = 10 ** rng.uniform(-4, -1.3)
        if row % 7 == 0:
            made["hypochlorous acid"] = 10 ** rng.uniform(-4, -2)
        if row % 11 == 0:
            made = {name: amount / 100.0 for name, amount in made.items()}
        alkalinity = rng.uniform(0.0, 0.008)
        cations = alkalinity + (rng.uniform(0.0, most_cations) if row % 3 else 0.0)
        yield made, float(rng.uniform(5.0, 45.0)), float(cations), float(alkalinity * rng.uniform(1.0, 1.2))


def compared(engine, rows, *, cation=phreeqc.INERT_CATION):
    """Return the differences to PHREEQC with the same activity model, with plain Davies, and the ionic strengths."""
    referee = phreeqc.solved(engine, [
        phreeqc.block(number, made, temp_c=temp_c, cations_mol_kg=cations, carbonate_mol_kg=carbonate, cation=cation)
        for number, (made, temp_c, cations, carbonate) in enumerate(rows, start=1)])
    same, plain, strength = [], [], []
    for (made, temp_c, cations, carbonate), (ph, ionic_strength) in zip(rows, referee, strict=True):
        if ionic_strength > 0.5:
            continue
        water = Water(cations, carbonate_mol_kg=carbonate)
        same.append(solution(made, temp_c=temp_c, water=water, model=phreeqc.SAME_ACTIVITIES).ph - ph)
        plain.append(solution(made, temp_c=temp_c, water=water).ph - ph)
        strength.append(ionic_strength)
    return np.abs(same), np.abs(plain), np.array(strength)


def test_ph_agrees_with_phreeqc_to_an_ionic_strength_of_one_half(engine, record_property):
    rows = list(mixtures(MIXTURES, most_cations=0.5, seed=20250102))
    same, plain, strength = compared(engine, rows)
    print(f"\n{len(same)} mixtures, ionic strength to {strength.max():.3f} mol/kg: largest difference "
          f"{same.max():.4f} pH, median {np.median(same):.5f}; plain Davies: {plain.max():.4f}, {np.median(plain):.5f}")
    record_property("largest_difference_ph", float(same.max()))
    record_property("largest_gap_plain_davies_ph", float(plain.max()))
    assert len(same) >= 500 and strength.max() > 0.45
    assert same.max() < LARGEST


def test_plain_davies_agrees_with_phreeqc_in_dilute_solutions(engine):
    same, plain, strength = compared(engine, list(mixtures(200, most_cations=0.01, seed=7)))
    # What is left in the worst of them is the activity of water beside 1 mol/kg of peroxide, which PHREEQC lowers.
    assert strength.max() < 0.03 and plain.max() < 0.008 and np.median(plain) < 0.001 and same.max() < 0.008


def test_sodium_and_its_ion_pairs_matter_little_in_tap_water(engine):
    """The database pairs sodium with carbonate; at the alkalinity of tap water that is worth less than 0.005 pH."""
    same, _plain, _strength = compared(engine, list(mixtures(200, most_cations=0.0, seed=8)), cation="Na")
    assert same.max() < 0.005


def test_open_solutions_agree_with_phreeqc(engine):
    for acid_mol_kg, alkalinity in ((0.0, 0.003), (0.001, 0.003), (0.01, 0.003), (0.002, 0.008)):
        made = {"acetic acid": acid_mol_kg}
        text = phreeqc.block(1, made, temp_c=25.0, cations_mol_kg=alkalinity, phase="CO2(g) -3.3767507")
        (ph, _strength), = phreeqc.solved(engine, [text])
        found = solution(made, water=Water(alkalinity, pco2_atm=0.00042), model=phreeqc.SAME_ACTIVITIES)
        assert found.ph == pytest.approx(ph, abs=0.005)
