"""Titration: equivalents, replicates, uncertainty, and what is refused."""

import dataclasses

import numpy as np
import pytest

from tersum.chemistry.titration import (
    Titration,
    analytes,
    available_oxygen_pct,
    equivalent_mg,
    expected_titre_ml,
    oxygen_ml,
    peroxide_then_peracid,
    titrated,
)
from tersum.chemistry.uncertainty import Quantity
from tersum.errors import Faults, OutOfRange, UnknownName

CERIUM = Titration("hydrogen peroxide", "cerium(IV)", Quantity(0.1, 0.0002), (14.20, 14.24), Quantity(10.0, 0.012),
                   blank_ml=0.05)
THIO = Titration("peracetic acid", "thiosulfate", Quantity(0.01, 0.00002), (26.40, 26.44), Quantity(10.0, 0.012),
                 blank_ml=0.10, burette_ml=50.0)


@pytest.mark.parametrize(("analyte", "titrant", "mol_l", "mg"), [
    ("hydrogen peroxide", "permanganate", 0.02, 1.701), ("hydrogen peroxide", "cerium(IV)", 0.1, 1.701),
    ("peracetic acid", "thiosulfate", 0.1, 3.803), ("sodium hypochlorite", "thiosulfate", 0.1, 3.722),
    ("available chlorine", "thiosulfate", 0.1, 3.545), ("oxidising substances", "thiosulfate", 0.002, 0.034),
    ("total acid as acetic", "sodium hydroxide", 0.1, 6.005)])
def test_one_millilitre_stands_for_its_printed_equivalent(analyte, titrant, mol_l, mg):
    assert equivalent_mg(analyte, titrant, mol_l) == pytest.approx(mg, abs=0.0005)


def test_hypochlorite_is_95_percent_available_chlorine():
    ratio = equivalent_mg("available chlorine", "thiosulfate", 0.1) / equivalent_mg("sodium hypochlorite",
                                                                                    "thiosulfate", 0.1)
    assert ratio == pytest.approx(0.9525, abs=1e-4)


def test_one_volume_of_peroxide_takes_one_volume_of_its_permanganate():
    """0.1786 N permanganate on 1 mL of sample: 1 mL is one volume of oxygen."""
    mg = equivalent_mg("hydrogen peroxide", "permanganate", 0.1786 / 5.0)
    assert oxygen_ml(mg) == pytest.approx(1.0, abs=0.002)


def test_blank_is_taken_off_every_titre():
    without = titrated(dataclasses.replace(CERIUM, blank_ml=0.0))
    assert without.strength_g_l > titrated(CERIUM).strength_g_l
    assert [flag.code for flag in without.flags] == ["no-blank"]


def test_strength_of_the_product_counts_its_dilution():
    assert titrated(dataclasses.replace(CERIUM, diluted=50.0)).strength_g_l == pytest.approx(
        50.0 * titrated(CERIUM).strength_g_l)


# replicates

@pytest.mark.parametrize(("titres", "answer"), [
    ((14.20,), "single"), ((14.20, 14.55), "accepted"), ((14.20, 14.65), "third-needed"),
    ((14.20, 14.65, 14.30), "accepted"), ((14.20, 15.2, 14.30), "median-of-replicates")])
def test_repeatability_rule_decides_over_replicates(titres, answer):
    assert titrated(dataclasses.replace(CERIUM, titres_ml=titres)).answer == answer


def test_median_leaves_an_outlier_behind():
    found = titrated(dataclasses.replace(CERIUM, titres_ml=(14.20, 16.2, 14.24)))
    assert found.strength_g_l == pytest.approx(titrated(dataclasses.replace(CERIUM, titres_ml=(14.24,))).strength_g_l)


def test_two_titres_of_one_liquid_are_accepted_in_95_of_100():
    rng, kept = np.random.default_rng(2), 0
    for _ in range(2000):
        net = 14.0 * (1.0 + 0.01 * rng.standard_normal(2))
        kept += titrated(dataclasses.replace(CERIUM, titres_ml=tuple(net + 0.05))).answer == "accepted"
    assert 0.94 <= kept / 2000 <= 0.965


def test_drop_count_with_its_own_repeatability_accepts_more():
    wide = dataclasses.replace(CERIUM, titres_ml=(13.0, 14.5))
    assert titrated(wide).answer == "third-needed"
    assert titrated(dataclasses.replace(wide, repeatability_frac=0.05)).answer == "accepted"


def test_titres_that_disagree_widen_the_uncertainty():
    agree, apart = (titrated(dataclasses.replace(CERIUM, titres_ml=titres)) for titres in ((14.2, 14.2), (13.0, 15.4)))
    assert apart.standard_uncertainty_g_l > 3.0 * agree.standard_uncertainty_g_l


def test_uncertainty_agrees_with_a_simulation():
    """Titrant, pipette, burette, readings, blank and repeatability moved at random spread the strength as budgeted."""
    rng, seen = np.random.default_rng(4), []
    for _ in range(4000):
        e = rng.standard_normal(8)
        burette = 0.03 * rng.uniform(-1.0, 1.0)  # class A, 25 mL: common to all titres
        titres = [14.20 * (1 + 0.01 * e[i]) + 0.02 * 2**0.5 * e[i + 2] + burette for i in range(2)]
        done = dataclasses.replace(CERIUM, titres_ml=tuple(titres), blank_ml=0.05 + 0.02 * 2**0.5 * abs(e[4]),
                                   titrant_mol_l=Quantity(0.1 + 0.0002 * e[5]), sample_ml=Quantity(10 + 0.012 * e[6]))
        seen.append(titrated(done).strength_g_l)
    found = titrated(dataclasses.replace(CERIUM, titres_ml=(14.20, 14.20)))
    assert np.std(seen) == pytest.approx(found.standard_uncertainty_g_l, rel=0.15)


def test_interval_never_reaches_below_nothing():
    tiny = titrated(dataclasses.replace(CERIUM, titres_ml=(0.06,), blank_ml=0.05))
    assert tiny.interval_g_l[0] == 0.0 and "titre-small" in [flag.code for flag in tiny.flags]


# one flask

def test_both_oxidisers_of_one_flask_and_their_active_oxygen():
    found = peroxide_then_peracid(CERIUM, THIO)
    assert found.active_oxygen_g_l.value == pytest.approx(
        0.47036 * found.peroxide.strength_g_l + 0.21037 * found.peracid.strength_g_l, rel=1e-4)


def test_two_samples_are_no_one_flask():
    with pytest.raises(OutOfRange, match="same sample"):
        peroxide_then_peracid(CERIUM, dataclasses.replace(THIO, sample_ml=Quantity(5.0)))


def test_steps_in_the_wrong_order_are_refused():
    with pytest.raises(Faults) as told:
        peroxide_then_peracid(THIO, CERIUM)
    assert [fault.field for fault in told.value.faults] == ["peroxide: analyte", "peracid: analyte"]


def test_pure_peroxide_is_47_percent_active_oxygen():
    assert available_oxygen_pct("hydrogen peroxide") == pytest.approx(47.04, abs=0.01)
    with pytest.raises(UnknownName):
        available_oxygen_pct("ethanol")


# cautions

def test_titration_is_laboratory_work_and_brings_its_cautions():
    for analyte, caution in (("sodium hypochlorite", "acid-after-the-iodide"),
                             ("peracetic acid", "finish-within-a-minute"),
                             ("total acid as acetic", "peracid-interferes-above-ph-7-destroy-it-first")):
        titrant = "sodium hydroxide" if analyte.startswith("total") else "thiosulfate"
        found = titrated(Titration(analyte, titrant, Quantity(0.1), (12.0,), Quantity(10.0)))
        assert found.audience == "laboratory" and found.cautions[0] == "laboratory-work" and caution in found.cautions


def test_permanganate_warns_of_organics():
    done = dataclasses.replace(CERIUM, titrant="permanganate", titrant_mol_l=Quantity(0.02))
    assert "not-beside-organics-or-other-reducers" in titrated(done).cautions


# refusals

def test_titre_beyond_the_burette_is_refused():
    with pytest.raises(OutOfRange, match="no more than the burette holds"):
        titrated(dataclasses.replace(CERIUM, titres_ml=(25.01,)))


def test_titre_below_its_blank_is_refused():
    with pytest.raises(OutOfRange, match="above the blank"):
        titrated(dataclasses.replace(CERIUM, titres_ml=(0.04,)))


def test_titrant_that_does_not_fit_is_refused_with_those_that_do():
    with pytest.raises(UnknownName, match="thiosulfate"):
        titrated(dataclasses.replace(THIO, titrant="cerium(IV)"))


def test_unknown_analyte_is_refused_and_near_names_are_offered():
    with pytest.raises(UnknownName, match="did you mean peracetic acid"):
        titrated(dataclasses.replace(THIO, analyte="peracetic acdi"))
    assert len(analytes()) == 6


def test_all_faults_are_told_at_once():
    with pytest.raises(Faults) as told:
        titrated(Titration("ethanol", "thiosulfate", Quantity(0.1), (), Quantity(0.0), blank_ml=-1.0, burette_ml=500.0,
                           diluted=0.5, repeatability_frac=2.0))
    assert {fault.field for fault in told.value.faults} == {"analyte", "sample_ml", "burette_ml", "blank_ml", "diluted",
                                                            "repeatability_frac", "titres_ml"}


def test_expected_titre_of_nothing_is_the_blank():
    assert expected_titre_ml("peracetic acid", "thiosulfate", 0.0, titrant_mol_l=0.1, sample_ml=10, blank_ml=0.1) == 0.1
