"""Laws of the pH solver: what no mixture may break."""

import random

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tersum.chemistry.equilibria import substances
from tersum.chemistry.ph import solution, strong_acid_for
from tersum.chemistry.ph_arrays import solutions
from tersum.chemistry.recipe import Water
from tersum.errors import OutOfRange

AMOUNTS = st.floats(1e-7, 0.1)
MIXTURES = st.dictionaries(st.sampled_from(substances()), AMOUNTS, min_size=1, max_size=5)
TEMPS = st.floats(0.0, 60.0)
ACIDS = st.sampled_from(["acetic acid", "citric acid", "phosphoric acid", "nitric acid", "peracetic acid",
                         "hydrogen peroxide", "sulfuric acid", "lactic acid"])


@st.composite
def waters(draw):
    alkalinity = draw(st.floats(0.0, 0.01))
    if draw(st.booleans()):
        return Water(alkalinity, pco2_atm=draw(st.floats(0.0, 0.05)))
    return Water(alkalinity, carbonate_mol_kg=alkalinity * draw(st.floats(0.5, 1.5)))


@given(MIXTURES, TEMPS, waters())
def test_scalar_and_array_twins_agree(mixture, temp_c, water):
    """One solution by plain Python and the same one in an array come out the same."""
    found = solutions({name: [amount, amount / 2.0] for name, amount in mixture.items()}, temp_c=temp_c,
                      alkalinity_mol_kg=water.alkalinity_mol_kg, carbonate_mol_kg=water.carbonate_mol_kg,
                      pco2_atm=water.pco2_atm)
    try:
        alone = solution(mixture, temp_c=temp_c, water=water)
    except OutOfRange:
        assert np.isnan(found.ph[0])
        return
    assert found.ph[0] == pytest.approx(alone.ph, abs=1e-6)
    assert found.ionic_strength_mol_kg[0] == pytest.approx(alone.ionic_strength_mol_kg, rel=1e-5, abs=1e-12)
    assert found.hydronium_mol_kg[0] == pytest.approx(alone.hydronium_mol_kg, rel=5e-6)


@given(MIXTURES, TEMPS, waters(), st.integers(0, 99))
def test_order_of_ingredients_changes_nothing(mixture, temp_c, water, seed):
    """The same things put in in another order give the same digits."""
    assume(sum(mixture.values()) < 0.2)
    names = list(mixture)
    random.Random(seed).shuffle(names)
    again = {name: mixture[name] for name in names}
    assert solution(again, temp_c=temp_c, water=water).ph == solution(mixture, temp_c=temp_c, water=water).ph


@given(MIXTURES, ACIDS, st.floats(1e-6, 0.05), TEMPS, waters())
def test_more_acid_never_raises_the_ph(mixture, acid, more, temp_c, water):
    """The pH falls, or stays, as an acid is added."""
    assume(sum(mixture.values()) < 0.1)
    before = solution(mixture, temp_c=temp_c, water=water).ph
    after = solution({**mixture, acid: mixture.get(acid, 0.0) + more}, temp_c=temp_c, water=water).ph
    assert after <= before + 1e-7


@given(st.floats(2.0, 11.5), MIXTURES, TEMPS, waters())
def test_strong_acid_term_is_the_inverse_of_the_ph(ph, mixture, temp_c, water):
    """The strong acid found for a pH gives that pH back."""
    assume(sum(mixture.values()) < 0.1)
    try:
        acid = strong_acid_for(ph, mixture, temp_c=temp_c, water=water)
    except OutOfRange:
        assume(False)
    assert solution(mixture, temp_c=temp_c, water=water, strong_acid_mol_kg=acid).ph == pytest.approx(ph, abs=1e-6)
