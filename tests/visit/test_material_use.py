"""What a step touches: avoided or unknown takes a lead with a reason, the maker's method alone takes the method."""

from dataclasses import replace

import pytest

from tersum.visit.material_use import material_notes, material_refusals
from tersum.visit.steps import Override, SpotTest, Step

STEP = Step("wet", "disinfect", "wet it", "A", materials=("ABS",))
LEAD = (Override("abs", "lead 7", "trial panel held for a year"),)
UNCHANGED, CHANGED = (SpotTest("ABS", result, "2026-03-01", "under the seat") for result in ("no-change", "changed"))


def refused(step, verdict):
    return [one.sentence() for one in material_refusals(step, lambda material, under: verdict)]


def codes(step, verdict):
    return [one.code for one in material_notes(step, lambda material, under: verdict)]


@pytest.mark.parametrize(("verdict", "count"), [
    ("fine", 0), ("care", 0), ("avoid", 1), ("unknown", 1), ("makers-method", 1)])
def test_verdict_decides_and_what_is_not_known_counts_as_to_be_avoided(verdict, count):
    assert len(refused(STEP, verdict)) == count


def test_lead_overrides_a_verdict_and_the_reason_is_shown():
    step = replace(STEP, overrides=LEAD)
    for verdict in ("avoid", "unknown"):
        assert refused(step, verdict) == []
        [note, _test] = material_notes(step, lambda material, under: verdict)  # noqa: B023
        assert (note.code, note.override.reason) == ("overridden-by-the-lead", "trial panel held for a year")


def test_nothing_but_the_makers_method_opens_what_is_the_makers():
    spot = replace(STEP, overrides=LEAD, spot_tests=(UNCHANGED,))
    assert len(refused(spot, "makers-method")) == 1
    assert refused(replace(STEP, method="handbook of the maker, 4.2"), "makers-method") == []


def test_override_of_another_material_opens_nothing():
    assert len(refused(replace(STEP, overrides=(Override("PMMA", "lead", "why"),)), "avoid")) == 1


def test_hidden_spot_that_changed_counts_above_the_table():
    assert len(refused(replace(STEP, spot_tests=(CHANGED,)), "fine")) == 1
    assert len(refused(replace(STEP, spot_tests=(UNCHANGED, CHANGED)), "care")) == 1
    assert refused(replace(STEP, spot_tests=(CHANGED,), overrides=LEAD), "fine") == []


def test_hidden_spot_that_did_not_change_opens_nothing_that_is_to_be_avoided():
    assert len(refused(replace(STEP, spot_tests=(UNCHANGED,)), "avoid")) == 1


def test_care_asks_for_a_hidden_spot_until_there_is_one():
    assert codes(STEP, "care") == ["test-a-hidden-spot"]
    assert codes(replace(STEP, spot_tests=(UNCHANGED,)), "care") == ["tested-on-a-hidden-spot"]
    assert codes(STEP, "fine") == []


def test_step_that_names_no_material_is_refused_where_it_puts_something_on():
    assert len(refused(replace(STEP, materials=()), "fine")) == 1
    assert len(refused(Step("s", "steam", "steam"), "fine")) == 1
    assert refused(Step("v", "dry-clean", "vacuum"), "fine") == []
