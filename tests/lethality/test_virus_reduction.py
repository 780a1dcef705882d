"""Reductions of titres: bounds stay bounds, and a control too low cannot show what it was not made to show."""

import math

import pytest

from tersum.errors import OutOfRange
from tersum.lethality.titre import Titre
from tersum.lethality.virus_reduction import detection_limit_log10, virus_reduction


def titre(log10, operator="=", se=0.2):
    spread = se if operator == "=" else math.nan
    return Titre(log10, operator, spread, log10 - 2 * spread, log10 + 2 * spread, -log10, "spearman-kaerber", ())


def test_measured_titres_give_a_measured_reduction_with_its_interval():
    found = virus_reduction(titre(7.0, se=0.3), titre(2.5, se=0.4), required_log10=4.0)
    assert found.reduction.text() == "= 4.50" and found.half_width_log10 == pytest.approx(1.96 * 0.5, abs=1e-3)
    assert found.answer == "met" and "lower-limit-below-the-requirement" in found.flags


def test_no_effect_left_is_at_least():
    found = virus_reduction(titre(7.0), titre(2.5, "<"), required_log10=4.0)
    assert found.reduction.operator == ">=" and found.answer == "met" and math.isnan(found.half_width_log10)


def test_control_too_low_is_not_assessable_and_not_a_failure():
    found = virus_reduction(titre(6.0), titre(2.5, "<"), required_log10=4.0)
    assert found.answer == "not-assessable" and found.most_showable == pytest.approx(3.5)


def test_effect_everywhere_is_less_than():
    found = virus_reduction(titre(7.0), titre(5.0, ">"), required_log10=4.0)
    assert found.reduction.operator == "<" and found.answer == "not-met"


def test_unlimited_control_stays_a_bound():
    assert virus_reduction(titre(7.0, ">"), titre(2.5), required_log10=4.0).reduction.operator == ">"
    assert virus_reduction(titre(7.0, ">"), titre(4.0), required_log10=4.0).answer == "cannot-tell"


def test_wide_assay_is_said():
    assert "assay-wider-than-half-a-log" in virus_reduction(titre(7.0, se=0.3), titre(2.5), required_log10=4.0).flags
    assert "assay-wider-than-half-a-log" not in virus_reduction(titre(7.0), titre(2.5), required_log10=4.0).flags


def test_poisoned_dilutions_raise_the_limit_a_log_each():
    assert detection_limit_log10(-2.0, step=1.0, inoculum_ml=0.1) == pytest.approx(2.5)
    assert detection_limit_log10(-3.0, step=1.0, inoculum_ml=0.1) == pytest.approx(3.5)


def test_control_without_virus_is_refused():
    with pytest.raises(OutOfRange, match="a titre that was measured"):
        virus_reduction(titre(1.5, "<"), titre(1.5, "<"), required_log10=4.0)


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan, True])
def test_requirement_that_is_none_is_refused(wrong):
    with pytest.raises(OutOfRange, match="required_log10"):
        virus_reduction(titre(7.0), titre(2.5), required_log10=wrong)
