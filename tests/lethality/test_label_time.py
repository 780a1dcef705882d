"""A label's time is never shortened; outside what a model was tested at it says nothing."""

import math

import pytest

from tersum.errors import OutOfRange
from tersum.lethality.contact import Kinetics
from tersum.lethality.label_time import ModelRange, Situation, contact_needed

LAW = Kinetics(0.46)
TESTED = ModelRange((1.0, 10.0), (15.0, 25.0), 4.0, 30.0, ph=(6.0, 8.0))
HERE = Situation(5.0, 20.0, ph=7.0)


def needed(label_min, situation=HERE, wanted=3.0, kinetics=LAW, tested=TESTED):
    return contact_needed(label_min, wanted, situation=situation, kinetics=kinetics, tested=tested)


def test_model_that_expects_less_leaves_the_label():
    found = needed(10.0)
    assert found.answer == "label-time" and found.contact_min == 10.0 and found.model_min < 10.0


def test_model_that_expects_more_makes_it_longer():
    found = needed(1.0)
    assert found.answer == "longer-than-the-label" and found.contact_min == found.model_min > 1.0


@pytest.mark.parametrize(("situation", "wanted", "outside"), [
    (Situation(5.0, 5.0, ph=7.0), 3.0, {"temp_c": 5.0}),
    (Situation(50.0, 20.0, ph=7.0), 3.0, {"strength_mg_l": 50.0}),
    (Situation(5.0, 20.0, ph=9.0), 3.0, {"ph": 9.0}),
    (Situation(5.0, 20.0), 3.0, {"ph": None}),
    (Situation(5.0, 20.0, ph=7.0, soil="milk"), 3.0, {"soil": "milk"}),
    (HERE, 5.0, {"log10": 5.0}),
    (Situation(5.0, 5.0, ph=9.0), 3.0, {"temp_c": 5.0, "ph": 9.0}),
])
def test_outside_the_tested_range_nothing_is_predicted(situation, wanted, outside):
    found = needed(2.0, situation, wanted)
    assert found.answer == "cannot-tell" and found.contact_min == 2.0 and math.isnan(found.model_min)
    assert dict(found.outside) == outside


def test_time_beyond_the_tested_time_is_not_predicted():
    found = needed(2.0, tested=ModelRange((1.0, 10.0), (15.0, 25.0), 4.0, 2.5, ph=(6.0, 8.0)))
    assert found.answer == "cannot-tell" and found.contact_min == 2.0 and "contact_min" in found.outside


def test_mix_that_fades_too_fast_cannot_do_it_however_long():
    found = needed(2.0, kinetics=Kinetics(0.46, fading_per_min=0.5))
    assert found.answer == "no-time-will-do" and found.contact_min == 2.0 and found.most_log10 < 3.0


def test_soil_takes_its_share_first():
    assert needed(1.0, Situation(5.0, 20.0, soil_demand_mg_l=2.0, ph=7.0)).model_min > needed(1.0).model_min
    gone = needed(1.0, Situation(5.0, 20.0, soil_demand_mg_l=5.0, ph=7.0))
    assert gone.answer == "no-time-will-do" and gone.most_log10 == 0.0


def test_without_a_model_the_label_stands_unsupported():
    found = contact_needed(5.0, 3.0, situation=HERE)
    assert found.answer == "cannot-tell" and found.contact_min == 5.0


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan, math.inf, True])
def test_label_time_that_is_none_is_refused(wrong):
    with pytest.raises(OutOfRange, match="label_min"):
        needed(wrong)


def test_tested_range_the_wrong_way_round_is_refused():
    with pytest.raises(OutOfRange, match="temp_c"):
        needed(1.0, tested=ModelRange((1.0, 10.0), (25.0, 15.0), 4.0, 30.0))
