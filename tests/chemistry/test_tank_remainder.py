"""What is left in a tank is discarded unless everything speaks for topping up."""

import pytest

from tersum.chemistry.tank_remainder import remainder
from tersum.errors import Faults

KNOWN = {"oxidiser": False, "strength_measured": True, "clean": True, "left_use_by_h": 5.0, "fresh_use_by_h": 24.0}


@pytest.mark.parametrize(("change", "reason"), [
    ({"oxidiser": True}, "oxidiser"), ({"oxidiser": None}, "oxidiser"),
    ({"strength_measured": False}, "strength-not-measured"), ({"clean": False}, "may-be-dirty"),
    ({"left_use_by_h": 0.0}, "past-its-use-by"), ({"left_use_by_h": -3.0}, "past-its-use-by")])
def test_one_reason_is_enough_to_discard(change, reason):
    said = remainder(**{**KNOWN, **change})
    assert said.advice == "discard" and said.reasons == (reason,) and said.use_by_h == 24.0


def test_mix_is_used_by_the_earliest_of_its_parts():
    assert remainder(**KNOWN).advice == "may-top-up" and remainder(**KNOWN).use_by_h == 5.0
    assert remainder(**{**KNOWN, "left_use_by_h": 99.0}).use_by_h == 24.0


def test_hours_are_checked_together():
    with pytest.raises(Faults):
        remainder(**{**KNOWN, "left_use_by_h": float("nan"), "fresh_use_by_h": 0.0})
