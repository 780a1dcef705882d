"""Counts of surfaces: as recovered, corrected, bounded."""

import math

import pytest

from tersum.errors import OutOfRange
from tersum.lethality.surface_counts import contact_plate_count, swab_count

SWAB = {"plated_ml": 1.0, "eluate_ml": 10.0, "area_cm2": 100.0}


def test_recovery_is_shown_beside_what_was_recovered():
    found = swab_count([35, 41], **SWAB, recovery_frac=0.5)
    assert (found.recovered, found.corrected) == pytest.approx((3.8, 7.6)) and found.low < 3.8 < found.high


def test_recovery_that_is_not_known_corrects_nothing():
    found = swab_count([35, 41], **SWAB)
    assert math.isnan(found.corrected) and found.flags == ("recovery-not-known",)


def test_none_grown_is_below_one_colony_and_has_an_upper_limit():
    found = swab_count([0, 0], **SWAB)
    assert found.operator == "<" and found.recovered == pytest.approx(0.05) == found.detection_limit
    assert found.high == pytest.approx(0.1498, abs=1e-4)


def test_dilution_of_the_eluate_counts():
    assert swab_count([3], **SWAB, dilution=0.1).recovered == pytest.approx(3.0)


def test_crowded_contact_plate_is_a_lower_bound():
    found = contact_plate_count([12, 260], plate_cm2=25.0)
    assert found.operator == ">" and found.recovered == pytest.approx(212 / 50) and "plate-too-crowded" in found.flags
    assert contact_plate_count([12, 8], plate_cm2=25.0).recovered == pytest.approx(0.4)


@pytest.mark.parametrize("wrong", [{"area_cm2": 0.0}, {"plated_ml": 0.0}, {"eluate_ml": 0.5}, {"dilution": 0.0},
                                   {"recovery_frac": 0.0}, {"recovery_frac": 1.2}])
def test_what_is_no_swab_is_refused(wrong):
    with pytest.raises(OutOfRange, match=next(iter(wrong))):
        swab_count([35], **{**SWAB, **wrong})


@pytest.mark.parametrize("counts", [[], [-1], [1.5], [True], ["a"]])
def test_what_is_no_count_is_refused(counts):
    with pytest.raises(OutOfRange, match="counts"):
        contact_plate_count(counts, plate_cm2=25.0)
