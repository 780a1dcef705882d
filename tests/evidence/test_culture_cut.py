"""A limit from plates: enough of both kinds, an interval that holds the true cut, and none where light does not tell.

Full counts: ``TERSUM_TEST_PROFILE=soak`` (see tools/soak.py); fixed seeds otherwise.
"""

import math
import os

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.culture_cut import culture_cut
from tersum.evidence.roc import best_cut

TRIALS = 2000 if os.environ.get("TERSUM_TEST_PROFILE") == "soak" else 40


def plates(rng, apart, each=30, spread=0.4):
    rlu = 10.0 ** np.concatenate([rng.normal(1.7, spread, each), rng.normal(1.7 + apart, spread, each)])
    return rlu, np.repeat([0.0, 9.0], each)


@pytest.mark.parametrize(("each", "apart"), [(30, 0.6), (60, 0.6), (100, 0.3)])
def test_the_interval_of_the_cut_holds_the_true_one(each, apart, record_property):
    """The true cut of two normals of one spread lies half way between them."""
    rng, inside = np.random.default_rng([each, 21]), 0
    for _ in range(TRIALS):
        rlu, cfu = plates(rng, apart, each)
        low, high = best_cut(rlu[cfu == 0], rlu[cfu > 0], rng=rng, draws=300).cut_interval
        inside += math.log10(low) <= 1.7 + apart / 2.0 <= math.log10(high)
    record_property("covered", inside / TRIALS)
    assert inside / TRIALS >= 0.93 - 3.0 * math.sqrt(0.93 * 0.07 / TRIALS)


def test_what_a_cut_finds_on_its_own_plates_is_more_than_it_finds_on_others(record_property):
    rng, own, others = np.random.default_rng(22), [], []
    for _ in range(TRIALS):
        (rlu, cfu), (new, kinds) = plates(rng, 0.6), plates(rng, 0.6)
        found = best_cut(rlu[cfu == 0], rlu[cfu > 0], rng=rng, draws=100)
        own.append(found.sensitivity + found.specificity)
        others.append(np.mean(new[kinds > 0] > found.cut) + np.mean(new[kinds == 0] <= found.cut))
    record_property("too_good_by", float(np.mean(own) - np.mean(others)))
    assert 0.02 < np.mean(own) - np.mean(others) < 0.3


def test_fewer_than_thirty_of_a_kind_or_light_that_tells_nothing_give_no_cut():
    rng = np.random.default_rng(23)
    rlu, cfu = plates(rng, 0.6, 29)
    found = culture_cut(rlu, rlu, cfu, limit_cfu=2.5, rng=rng)
    assert found.cut is None and [(one.code, one.have, one.need) for one in found.lacks] == [
        ("few-above", 29, 30), ("few-below", 29, 30)]
    rlu, cfu = plates(rng, 0.0, 40)
    found = culture_cut(rlu, rlu, cfu, limit_cfu=2.5, rng=rng)
    assert found.cut is None and [one.code for one in found.lacks] == ["not-told"]
    same = np.full(80, 50.0)
    assert "no-scatter" in [one.code for one in culture_cut(same, same, cfu, limit_cfu=2.5, rng=rng).lacks]


def test_readings_outside_the_range_keep_their_place():
    rng = np.random.default_rng(24)
    rlu, cfu = plates(rng, 1.0, 40)
    low, high = np.where(rlu < 15.0, 0.0, rlu), np.where(rlu < 15.0, 15.0, rlu)
    low, high = np.where(rlu > 2000.0, 2000.0, low), np.where(rlu > 2000.0, np.inf, high)
    one, other = (culture_cut(*bounds, cfu, limit_cfu=2.5, rng=np.random.default_rng(1), draws=100).cut
                  for bounds in ((rlu, rlu), (low, high)))
    assert one.cut == other.cut and one.sensitivity == other.sensitivity
    with pytest.raises(OutOfRange):
        culture_cut(rlu, rlu, cfu[1:], limit_cfu=2.5, rng=rng)
