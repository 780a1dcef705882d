"""Laws of titration."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tersum.catalogue.load import table
from tersum.chemistry.titration import Titration, analytes, expected_titre_ml, titrated
from tersum.chemistry.uncertainty import Quantity

PAIRS = st.sampled_from([(name, titrant) for name in analytes() for titrant in table("redox")[name].labels["titrants"]])


@given(PAIRS, st.floats(0.001, 200.0), st.floats(0.001, 1.0), st.floats(0.5, 100.0), st.floats(0.0, 1.0))
def test_titration_forward_then_back_returns_the_strength(pair, strength_g_l, mol_l, sample_ml, blank_ml):
    """The titre that a strength should give, titrated, gives the strength."""
    titre = expected_titre_ml(*pair, strength_g_l, titrant_mol_l=mol_l, sample_ml=sample_ml, blank_ml=blank_ml)
    assume(blank_ml < titre <= 50.0 and titre - blank_ml > 1e-6)
    found = titrated(Titration(*pair, Quantity(mol_l), (titre,), Quantity(sample_ml), blank_ml=blank_ml,
                               burette_ml=50.0))
    assert found.strength_g_l == pytest.approx(strength_g_l, rel=1e-7)


@given(PAIRS, st.lists(st.floats(5.0, 20.0), min_size=2, max_size=6), st.randoms())
def test_order_of_replicates_changes_nothing(pair, titres, shuffler):
    """Replicates are a set: any order gives the same strength and answer."""
    done = Titration(*pair, Quantity(0.1), tuple(titres), Quantity(10.0))
    shuffled = list(titres)
    shuffler.shuffle(shuffled)
    again = titrated(Titration(*pair, Quantity(0.1), tuple(shuffled), Quantity(10.0)))
    assert again.answer == titrated(done).answer
    assert again.strength_g_l == pytest.approx(titrated(done).strength_g_l, rel=1e-12)


@given(PAIRS, st.floats(3.0, 20.0), st.floats(0.0, 2.0))
def test_larger_blank_never_gives_a_stronger_sample(pair, titre, blank):
    """What the reagents use up is not the sample's."""
    def strength(blank_ml):
        return titrated(Titration(*pair, Quantity(0.1), (titre,), Quantity(10.0), blank_ml=blank_ml)).strength_g_l

    assert strength(blank) <= strength(0.0)
