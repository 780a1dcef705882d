"""Hazard class of a mixture: limits hold from their lower end, the stricter of what is known counts, gaps are told."""

from dataclasses import replace

import pytest

from tersum.catalogue.hazard_entry import HazardEntry
from tersum.catalogue.load import product
from tersum.catalogue.product import Ingredient, Product
from tersum.chemistry.hazard import Composition, Part, classification, estimate_mix, part
from tersum.chemistry.hazard_product import computed_ph, diluted, mass_fraction, neat_composition, product_hazard
from tersum.chemistry.ratio import Ratio
from tersum.errors import Faults, OutOfRange


def mixture(*shares, ph=7.0, **more):
    return classification(Composition(tuple(part(name, pct) for name, pct in shares), ph=ph, **more))


def stated(*classes, name="stated", **more):
    return HazardEntry(name, "supplier", "supplier", classes, **more)


def of(share, *classes, ph=7.0, **more):
    return classification(Composition((Part("stated", share, (stated(*classes, **more),)),), ph=ph))


def codes(found):
    return [gap.code for gap in found.gaps]


@pytest.mark.parametrize(("share", "classes", "wanted"), [
    (4.999, ["Skin Corr. 1B"], "Skin Irrit. 2"), (5.0, ["Skin Corr. 1B"], "Skin Corr. 1B"),
    (0.999, ["Skin Corr. 1B"], None), (1.0, ["Skin Corr. 1B"], "Skin Irrit. 2"),
    (9.999, ["Skin Irrit. 2"], None), (10.0, ["Skin Irrit. 2"], "Skin Irrit. 2"),
    (5.0, ["Skin Corr. 1"], "Skin Corr. 1")])
def test_general_skin_limits_hold_from_their_lower_end(share, classes, wanted):
    assert of(share, *classes)["skin"].category == wanted


def test_sub_category_needs_its_own_sum_and_none_leaves_the_mixture_without():
    def both(first, second):
        parts = tuple(Part("stated", 3.0, (stated(one),)) for one in (first, second))
        return classification(Composition(parts, ph=7.0))

    assert both("Skin Corr. 1A", "Skin Corr. 1B")["skin"].category == "Skin Corr. 1B"
    assert both("Skin Corr. 1", "Skin Corr. 1B")["skin"].category == "Skin Corr. 1"


def test_specific_limits_replace_general_ones():
    assert mixture(("sodium hydroxide", 0.5))["skin"].category == "Skin Irrit. 2"
    assert mixture(("hydrogen peroxide", 34.9))["skin"].category is None
    assert mixture(("hydrogen peroxide", 35.0))["skin"].category == "Skin Irrit. 2"


def test_a_sum_of_shares_over_limits_counts_where_no_single_one_does():
    found = mixture(("hydrogen peroxide", 4.0), ("acetic acid", 3.0))
    assert found["eye"].category == "Eye Irrit. 2"
    assert mixture(("hydrogen peroxide", 4.0))["eye"].category is None


def test_mild_ph_does_not_undo_an_ingredient_that_does_not_add_up():
    # The worked example of un-2008-23: 4 % of a category 1 ingredient of pH 1.8 in a mixture of pH 4.0.
    assert of(4.0, "Skin Corr. 1", ph=4.0, additivity="no")["skin"].category == "Skin Corr. 1"
    assert of(4.0, "Skin Corr. 1", ph=4.0)["skin"].category == "Skin Irrit. 2"
    assert of(0.9, "Skin Corr. 1", ph=4.0, additivity="no")["skin"].category is None
    assert of(3.0, "Skin Irrit. 2", "Eye Irrit. 2", ph=4.0, additivity="no").label.h_codes == ("H315", "H319")


def test_where_adding_up_is_doubtful_the_stricter_rule_stays_possible():
    found = mixture(("benzalkonium chloride", 2.0))
    assert (found["skin"].category, found["skin"].at_worst) == ("Skin Irrit. 2", "Skin Corr. 1")


@pytest.mark.parametrize(("ph", "corrosive"), [(2.0, True), (2.01, False), (11.49, False), (11.5, True)])
def test_extreme_ph_corrodes_unless_reserve_and_data_say_otherwise(ph, corrosive):
    found = mixture(("water", 100.0), ph=ph)
    assert (found["skin"].category == "Skin Corr. 1") is corrosive
    assert (found["eye"].category == "Eye Dam. 1") is corrosive
    assert mixture(("water", 100.0), ph=ph, reserve_confirmed=True)["skin"].category is None


def test_unknown_ph_leaves_corrosion_possible_but_not_for_alcohol_and_water():
    found = mixture(("acetic acid", 1.0), ph=None)
    assert (found["skin"].category, found["skin"].at_worst) == (None, "Skin Corr. 1A")
    assert "ph-not-stated" in codes(found)
    assert mixture(("propan-2-ol", 60.0), ("water", 40.0), ph=None)["skin"].at_worst is None


def test_corrosion_of_skin_covers_the_eyes_in_the_statements():
    found = mixture(("sodium hydroxide", 2.0))
    assert found["eye"].category == "Eye Dam. 1" and found.eyes_covered
    assert found.label.h_codes == ("H314",) and found.label.signal == "danger"


def test_estimate_is_corrected_for_more_than_a_tenth_of_unknown_ingredients():
    assert estimate_mix([10.0], [500.0], unknown_pct=10.0) == 5000.0
    assert estimate_mix([10.0], [500.0], unknown_pct=20.0) == 4000.0
    entry = stated(ate={"oral": 500.0})

    def oral(unlisted):
        made = Composition((Part("stated", 21.0, (entry,)),), ph=7.0, unlisted_ww_pct=unlisted)
        return classification(made)

    assert oral(10.0)["acute-oral"].category is None
    assert oral(20.0)["acute-oral"].category == "Acute Tox. 4 oral"
    assert oral(20.0).estimates["oral"] == pytest.approx(estimate_mix([21.0], [500.0], unknown_pct=20.0))


def test_converted_estimate_on_a_bound_shows_both_categories():
    found = of(100.0, "Acute Tox. 2 oral")["acute-oral"]
    assert (found.category, found.at_worst) == ("Acute Tox. 2 oral", "Acute Tox. 1 oral")
    assert "estimate-on-bound" in codes(of(100.0, "Acute Tox. 2 oral"))
    assert of(100.0, ate={"oral": 5.0})["acute-oral"].category == "Acute Tox. 1 oral"


def test_irritation_and_drowsiness_are_summed_apart():
    parts = tuple(Part(name, 15.0, (stated(f"STOT SE 3 {name}"),)) for name in ("H335", "H336"))
    found = classification(Composition(parts, ph=7.0))
    assert found["stot-irritation"].category is None and found["stot-narcosis"].category is None
    assert of(20.0, "STOT SE 3 H336")["stot-narcosis"].category == "STOT SE 3 H336"


def test_m_factors_multiply_and_a_missing_one_excludes_nothing():
    known = of(2.5, "Aquatic Acute 1", m_factors={"Aquatic Acute 1": 10.0})
    assert known["aquatic-acute"].category == "Aquatic Acute 1"
    unknown = of(0.01, "Aquatic Acute 1")
    assert (unknown["aquatic-acute"].category, unknown["aquatic-acute"].at_worst) == (None, "Aquatic Acute 1")
    assert "m-factor-not-stated" in codes(unknown)


def test_long_term_water_classes_step_down_by_tens():
    assert of(25.0, "Aquatic Chronic 1", m_factors={"Aquatic Chronic 1": 1.0})["aquatic-chronic"].category \
        == "Aquatic Chronic 1"
    for share, wanted in ((25.0, "Aquatic Chronic 2"), (2.5, "Aquatic Chronic 3"), (2.4, None)):
        assert of(share, "Aquatic Chronic 2")["aquatic-chronic"].category == wanted
    assert of(30.0, "Aquatic Chronic 4")["aquatic-chronic"].category == "Aquatic Chronic 4"


def test_gas_with_acid_and_sale_to_the_public_have_limits_of_their_own():
    def euh(share):
        return mixture(("active chlorine", share), ph=10.0).label.euh_codes

    assert (euh(1.0), euh(1.01), euh(5.0)) == ((), ("EUH206",), ("EUH031", "EUH206"))


def test_oxidiser_bands_of_proposal_and_transport_stay_possible():
    found = mixture(("hydrogen peroxide", 20.0))["oxidising-liquid"]
    assert (found.category, found.at_worst) == (None, "Ox. Liq. 2")
    assert mixture(("hydrogen peroxide", 50.0))["oxidising-liquid"].category == "Ox. Liq. 2"


def test_flash_point_is_never_computed_but_asked_for():
    found = mixture(("ethanol", 60.0), ("water", 40.0))["flammable-liquid"]
    assert (found.category, found.at_worst) == (None, "Flam. Liq. 2")
    assert mixture(("ethanol", 0.5), ("water", 99.5))["flammable-liquid"].at_worst is None


def test_superseded_entry_is_never_shown_as_current():
    found = mixture(("peracetic acid", 0.1), ph=4.0)
    (entries,) = (one.entries for one in found.composition.parts)
    assert [one.status for one in entries] == ["superseded", "expected"] and entries[0].until == "1 May 2026"
    assert "newest-entry-not-read" in codes(found) and found.cannot_tell


def test_the_stricter_of_old_and_expected_entry_is_what_people_work_by():
    found = mixture(("peracetic acid", 5.0), ("water", 95.0), ph=4.0)
    assert (found["aquatic-acute"].category, found["aquatic-acute"].at_worst) == (None, "Aquatic Acute 1")
    assert (found["acute-oral"].category, found["acute-oral"].at_worst) == (None, "Acute Tox. 4 oral")


def test_unknown_ingredient_and_unlisted_rest_leave_every_class_possible():
    for found in (mixture(("something new", 0.5)), mixture(unlisted_ww_pct=0.5)):
        assert found.nothing_triggered and found.cannot_tell
        assert all(one.at_worst for one in found.endpoints)
    assert codes(mixture(("something new", 0.5))) == ["ingredient-not-known"]


def test_class_that_is_not_computed_is_told():
    found = of(0.1, "Skin Sens. 1")
    assert codes(found) == ["class-not-computed"] and found.cannot_tell


def test_every_rule_that_was_asked_is_in_the_trace_with_its_limit():
    found = mixture(("sodium hydroxide", 1.5), ph=13.4)
    told = {(one.code, one.category): (one.total, one.limit, one.reached) for one in found.trace}
    assert told["skin-sum", "Skin Irrit. 2"] == (30.0, 10.0, True)
    assert told["skin-sum", "Skin Corr. 1B"] == (3.75, 5.0, False)
    assert told["ph-extreme", "Skin Corr. 1"] == (13.4, 11.5, True)


def test_all_that_is_wrong_with_a_composition_is_told_at_once():
    with pytest.raises(Faults) as refused:
        classification(Composition((Part("a", -1.0), Part("b", 101.0), Part("c", 60.0)), ph=99.0))
    assert len(refused.value.faults) == 4
    with pytest.raises(OutOfRange, match="no more than 100 %"):
        classification(Composition((Part("a", 60.0), Part("b", 41.0))))


# products and their dilutions

WET = Product("Ours", "liquid", "label", "label", "read", (Ingredient("propan-2-ol", 400.0, "g/L"),), rest="water")


def test_dilution_by_volume_is_counted_by_mass():
    assert mass_fraction(Ratio(1.0), 1.09) == 1.0
    assert mass_fraction(Ratio(0.5), 0.9982) == pytest.approx(0.5, abs=1e-4)
    assert mass_fraction(Ratio(0.05), 1.2) > mass_fraction(Ratio(0.05), 1.0) > 0.05
    made = diluted(neat_composition(product("Demo Concentrate A")), 0.1)
    assert sum(one.ww_pct for one in made.parts) == pytest.approx(100.0)


def test_unknown_density_takes_the_strongest_there_can_be():
    found = product_hazard(WET)
    assert found.neat.composition.parts[0].ww_pct == 80.0 and found.gaps[0].code == "density-not-stated"
    told = product_hazard(replace(WET, density_kg_l=0.92)).neat.composition
    assert told.parts[0].ww_pct == pytest.approx(43.48, abs=0.01)


def test_rest_that_nobody_states_is_unknown_and_one_that_is_stated_is_not():
    for rest, unlisted in (("water", 0.0), ("unclassified", 0.0), (None, 20.0)):
        assert product_hazard(replace(WET, rest=rest)).neat.composition.unlisted_ww_pct == pytest.approx(unlisted)


def test_index_number_that_the_list_does_not_have_makes_the_ingredient_unknown():
    odd = replace(WET, ingredients=(Ingredient("propan-2-ol", 400.0, "g/L", index_number="999-999-99-9"),))
    found = product_hazard(odd)
    assert {"index-number-not-known"} <= {gap.code for gap in found.gaps} and found.neat["skin"].at_worst


def test_index_number_of_another_substance_is_refused():
    odd = replace(WET, ingredients=(Ingredient("propan-2-ol", 400.0, "g/L", index_number="008-003-00-9"),))
    with pytest.raises(OutOfRange, match="hydrogen peroxide"):
        product_hazard(odd)


def test_what_the_supplier_states_is_added_to_the_list_never_taken_from_it():
    own = Ingredient("propan-2-ol", 400.0, "g/L", hazard=stated("Skin Corr. 1B", name="propan-2-ol"))
    found = product_hazard(replace(WET, density_kg_l=0.92, ingredients=(own,))).neat
    assert found["skin"].category == "Skin Corr. 1B" and found["eye"].category == "Eye Dam. 1"
    assert found["stot-narcosis"].category == "STOT SE 3 H336"


def test_ph_of_a_dilution_is_computed_only_where_everything_is_known():
    cleaner = product("Demo Cleaner B")
    found = product_hazard(cleaner, Ratio(1 / 50))
    assert found.working["skin"].category == "Skin Corr. 1" and found.gaps[0].number == pytest.approx(12.1, abs=0.1)
    for unsure in (replace(cleaner, rest=None), replace(cleaner, rest="unclassified")):
        assert product_hazard(unsure, Ratio(1 / 50)).working["skin"].category is None
        assert product_hazard(unsure, Ratio(1 / 50)).working["skin"].at_worst == "Skin Corr. 1A"


def test_computed_ph_near_a_limit_excludes_nothing():
    near = Composition((part("sodium hydroxide", 0.0092), part("water", 99.9908)))
    assert computed_ph(near, None, 0.01) is None
    assert computed_ph(Composition((part("sodium hydroxide", 0.001), part("water", 99.999))), None, 0.01) is not None


def test_powder_is_dosed_by_mass():
    powder = Product("P", "powder", "s", "w", "read", (Ingredient("citric acid", 50.0, "% w/w",
                                                                  hazard=stated("Eye Irrit. 2")),), rest="unclassified")
    assert product_hazard(powder, dose_g_l=300.0, ph=3.0).working["eye"].category == "Eye Irrit. 2"
    assert product_hazard(powder, dose_g_l=100.0, ph=3.0).working["eye"].category is None
    with pytest.raises(OutOfRange):
        product_hazard(powder, Ratio(0.1))


def test_reserve_of_the_concentrate_does_not_vouch_for_the_dilution():
    calm = replace(product("Demo Cleaner B"), reserve_g_naoh=0.1, reserve_confirmed=True)
    found = product_hazard(calm, Ratio(0.5), ph=12.0)
    assert found.neat["skin"].category == "Skin Irrit. 2" and found.working["skin"].category == "Skin Corr. 1"
