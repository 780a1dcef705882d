"""Use by the label: what lies outside it is refused, each way in one sentence, and silence is read strictly."""

from dataclasses import replace

import pytest

from tersum.catalogue.claims import Claim
from tersum.catalogue.load import product
from tersum.visit.label_use import OutsideTheLabel, label_contact_min, label_fractions, outside_the_label
from tersum.visit.steps import Permission

A = product("Demo Concentrate A")
B = product("Demo Cleaner B")


def refused(plan, *, label=A, **change):
    step = replace(plan.steps[1], **change)
    return outside_the_label(replace(plan, steps=(step,)), lambda _name: label)


def fields(found):
    return [one.field.removeprefix("step disinfect: ") for one in found]


def test_use_by_the_label_is_not_refused(plan):
    assert refused(plan) == ()
    assert refused(plan, contact_min=5.0) == ()


@pytest.mark.parametrize(("change", "field"), [
    ({"ratio": "1+60"}, "ratio"), ({"ratio": "1+5"}, "ratio"), ({"surfaces": ("textile",)}, "surfaces"),
    ({"surfaces": ()}, "surfaces"), ({"surfaces": ("smooth", "textile")}, "surfaces"),
    ({"targets": ("spores",)}, "targets"), ({"targets": ()}, "targets"), ({"contact_min": 4.99}, "contact_min"),
    ({"targets": ("bacteria", "yeasts")}, "contact_min")])
def test_each_way_outside_the_label_is_refused_and_named(plan, change, field):
    found = refused(plan, **change)
    assert fields(found) == [field]
    assert all(isinstance(one, OutsideTheLabel) for one in found)
    assert A.name in found[0].sentence() and found[0].sentence().count(".") >= 2


def test_everything_outside_the_label_is_told_at_once(plan):
    found = refused(plan, ratio="1+60", surfaces=("textile",), targets=("spores",), contact_min=1.0)
    assert fields(found) == ["ratio", "surfaces", "targets", "contact_min"]


def test_claim_with_its_own_dilution_holds_no_weaker(plan):
    found = refused(plan, ratio="1+25", targets=("yeasts",), contact_min=15.0)
    assert fields(found) == ["ratio"] and "yeasts" in found[0].sentence()


def test_longest_time_of_all_targets_counts(plan):
    step = replace(plan.steps[1], targets=("bacteria", "yeasts"))
    assert label_contact_min(step, A) == 15.0


def test_claim_without_a_time_falls_back_on_the_labels(plan):
    step = replace(plan.steps[1], targets=("bacteria",))
    assert label_contact_min(step, replace(A, claims=(Claim("bacteria"),))) == 5.0


@pytest.mark.parametrize(("label", "field"), [
    (replace(A, contact_min=None, claims=(Claim("bacteria"),)), "contact_min"),
    (replace(A, claims=()), "targets"), (replace(A, surfaces=()), "surfaces")])
def test_silent_label_is_read_strictly(plan, label, field):
    assert fields(refused(plan, label=label)) == [field]


def test_side_without_a_bound_ends_at_the_labels_ratio():
    low, high = label_fractions(B)
    assert low == pytest.approx(0.02) and high == pytest.approx(600.0 / 15750.0)
    assert label_fractions(replace(B, label_ratio=None)) is None


def test_cleaner_is_held_to_its_label_too(plan):
    cleaning = {"kind": "clean", "targets": (), "product": B.name}
    assert fields(refused(plan, label=B, ratio="1 in 50", contact_min=2.0, **cleaning)) == []
    assert fields(refused(plan, label=B, ratio="1 in 80", contact_min=0.0, **cleaning)) == ["ratio", "contact_min"]


def test_chemical_in_a_boiler_takes_both_makers_written_permission(plan):
    steam = {"kind": "steam", "targets": ()}
    both = (Permission("machine", "M", "letter", "2026"), Permission("product", "P", "letter", "2026"))
    assert fields(refused(plan, **steam)) == ["product"]
    assert fields(refused(plan, **steam, permissions=both[:1])) == ["product"]
    assert fields(refused(plan, **steam, permissions=both)) == []


def test_disinfecting_step_without_a_volume_is_refused_by_the_plan(table):
    from tersum.errors import Faults
    from tersum.visit.plan import plan_from

    del table["step"][1]["volume_ml"], table["step"][1]["ratio"]
    with pytest.raises(Faults) as refusal:
        plan_from(table, book_spread_log10=0.205)
    assert "volume_ml" in str(refusal.value)
