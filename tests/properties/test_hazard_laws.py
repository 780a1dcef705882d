"""Laws of the hazard class: more of an ingredient, or less known of it, never gives a milder answer."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from tersum.catalogue.hazard_entry import ADDITIVITY, AQUATIC, COMPUTED, EYE, LIMITED, ROUTES, SKIN, HazardEntry
from tersum.catalogue.hazard_list import hazard_entries
from tersum.catalogue.product import Ingredient, Product
from tersum.chemistry.hazard import Composition, Part, classification, moves_ph, part
from tersum.chemistry.hazard_arrays import NONE, classifications
from tersum.chemistry.hazard_product import product_hazard
from tersum.chemistry.hazard_rules import CATEGORIES
from tersum.chemistry.ratio import Ratio

LISTED = sorted({one.substance for one in hazard_entries()} - {"water"})
SHARES = st.one_of(st.floats(0.0, 60.0), st.sampled_from([0.1, 0.5, 1.0, 2.0, 2.5, 3.0, 5.0, 8.0, 10.0, 20.0, 35.0]))
PHS = st.one_of(st.none(), st.floats(-1.0, 15.0), st.sampled_from([2.0, 7.0, 11.5]))


@st.composite
def entries(draw):
    """Whatever a supplier may state."""
    return HazardEntry(
        "stated", "supplier", "supplier",
        tuple(draw(st.lists(st.sampled_from(COMPUTED), unique=True, max_size=4))),
        limits=draw(st.dictionaries(st.sampled_from(LIMITED), st.floats(0.01, 100.0), max_size=2)),
        m_factors=draw(st.dictionaries(st.sampled_from(AQUATIC[:2]), st.sampled_from([1.0, 10.0, 1000.0]))),
        ate=draw(st.dictionaries(st.sampled_from(ROUTES), st.floats(0.01, 5000.0), max_size=2)),
        additivity=draw(st.sampled_from(ADDITIVITY)))


@st.composite
def parts(draw):
    kind = draw(st.sampled_from(["listed", "stated", "unknown"]))
    if kind == "listed":
        return part(draw(st.sampled_from(LISTED)), 0.0)
    return Part("stated", 0.0, (draw(entries()),)) if kind == "stated" else Part("unknown", 0.0)


@st.composite
def compositions(draw):
    some = draw(st.lists(parts(), min_size=1, max_size=4))
    shares = [draw(SHARES) for _one in some]
    unlisted = draw(st.sampled_from([0.0, 0.0, 5.0, 15.0]))
    left = 95.0 - unlisted
    if sum(shares) > left:
        shares = [share * left / sum(shares) for share in shares]
    return Composition(tuple(replace(one, ww_pct=share) for one, share in zip(some, shares, strict=True)),
                       draw(PHS), draw(st.booleans()), unlisted)


def ranks(found, attribute):
    return {one.name: CATEGORIES[one.name].index(getattr(one, attribute)) if getattr(one, attribute) else NONE
            for one in found.endpoints}


def never_milder(before, after, attribute):
    first, second = ranks(before, attribute), ranks(after, attribute)
    milder = {name: (first[name], second[name]) for name in first if second[name] > first[name]}
    assert not milder, milder


def moved(made, place, **changes):
    return replace(made, parts=tuple(replace(one, **changes) if number == place else one
                                     for number, one in enumerate(made.parts)))


@settings(max_examples=300)
@given(compositions(), st.data())
def test_more_of_an_ingredient_is_never_milder(made, data):
    """Raising one share, all else alike, gives no milder category, certain or possible, and takes no statement away."""
    place = data.draw(st.integers(0, len(made.parts) - 1))
    room = 100.0 - sum(one.ww_pct for one in made.parts) - made.unlisted_ww_pct
    before = classification(made)
    after = classification(moved(made, place, ww_pct=made.parts[place].ww_pct + data.draw(st.floats(0.0, room))))
    never_milder(before, after, "category")
    never_milder(before, after, "at_worst")
    assert set(before.label.euh_codes) <= set(after.label.euh_codes)


@settings(max_examples=200)
@given(compositions())
def test_what_cannot_be_excluded_is_never_milder_than_what_is_triggered(made):
    """The stricter answer is at least as strict as the other one."""
    found = classification(made)
    sure, worst = ranks(found, "category"), ranks(found, "at_worst")
    assert all(worst[name] <= sure[name] for name in sure)


@settings(max_examples=300)
@given(compositions(), st.data())
def test_less_knowledge_is_never_milder(made, data):
    """Forgetting an ingredient's classes, factor or line, the pH, or the reserve leaves at least as strict a class.

    A pH is only forgotten where something in the mixture can have set it: alcohol and water of pH 0 are no mixture.
    """
    place = data.draw(st.integers(0, len(made.parts) - 1))
    one = made.parts[place]
    without_factors = tuple(replace(entry, m_factors={}) for entry in one.entries)
    sets_a_ph = any(moves_ph(other) and other.ww_pct for other in made.parts) or made.unlisted_ww_pct
    before = classification(made)
    for forgotten in (moved(made, place, entries=()), moved(made, place, entries=without_factors),
                      replace(made, ph=None) if sets_a_ph else made, replace(made, reserve_confirmed=False),
                      replace(made, parts=tuple(other for other in made.parts if other is not one),
                              unlisted_ww_pct=made.unlisted_ww_pct + one.ww_pct)):
        never_milder(before, classification(forgotten), "at_worst")


@settings(max_examples=100)
@given(st.floats(0.5, 3.0), st.floats(1.0, 400.0), st.sampled_from(LISTED), st.floats(0.001, 1.0),
       st.sampled_from(["water", "unclassified"]))
def test_a_product_of_unknown_density_or_rest_is_never_milder(density, strength_g_l, name, frac, rest):
    """Forgetting the density, or what the rest is, gives no milder class of concentrate or dilution."""
    known = Product("p", "liquid", "s", "w", "read", (Ingredient(name, strength_g_l, "g/L"),), density_kg_l=density,
                    ph=7.0, rest=rest)
    before = product_hazard(known, Ratio(frac), ph=7.0)
    for forgotten in (replace(known, density_kg_l=None), replace(known, rest=None)):
        after = product_hazard(forgotten, Ratio(frac), ph=7.0)
        never_milder(before.neat, after.neat, "at_worst")
        never_milder(before.working, after.working, "at_worst")


@settings(max_examples=200)
@given(compositions())
def test_one_by_one_and_as_arrays_are_the_same(made):
    """The array twin gives the categories of the single way, for the mixture and for half of it."""
    halved = replace(made, parts=tuple(replace(one, ww_pct=one.ww_pct / 2) for one in made.parts),
                     unlisted_ww_pct=made.unlisted_ww_pct / 2)
    both = [made, halved]
    found = classifications(made.parts, [[one.ww_pct for one in each.parts] for each in both], ph=made.ph,
                            unlisted_ww_pct=[each.unlisted_ww_pct for each in both],
                            reserve_confirmed=made.reserve_confirmed)
    for place, each in enumerate(both):
        single = classification(each)
        for name in CATEGORIES:
            assert found.category[name][place] == ranks(single, "category")[name], name
            assert found.at_worst[name][place] == ranks(single, "at_worst")[name], name
        assert {code for code, where in found.euh.items() if where[place]} == set(single.label.euh_codes)


@settings(max_examples=100)
@given(compositions(), st.floats(0.01, 1.0))
def test_diluting_is_never_stricter(made, factor):
    """With the pH held, water alone brings no class that was not there."""
    weaker = replace(made, parts=tuple(replace(one, ww_pct=one.ww_pct * factor) for one in made.parts),
                     unlisted_ww_pct=made.unlisted_ww_pct * factor)
    for attribute in ("category", "at_worst"):
        never_milder(classification(weaker), classification(made), attribute)


def test_the_laws_meet_every_class_and_limit():
    """The entries that the laws draw from hold every class there is: none is missed for want of being drawn."""
    assert set(SKIN) | set(EYE) <= set(COMPUTED) and len(COMPUTED) == len(set(COMPUTED))
    assert np.all([name in CATEGORIES["skin"] for name in SKIN])
