"""Two instruments and plates: coverage of the limits of agreement, conversion from 40 pairs only."""

import os

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.rapid_plate import rapid_against_plate
from tersum.evidence.two_instruments import two_instruments, variance_ratio_of

SOAK = os.environ.get("TERSUM_TEST_PROFILE") == "soak"
TRIALS = 2_000 if SOAK else 300


@pytest.mark.parametrize("pairs", [12, 30])
def test_the_interval_of_a_limit_of_agreement_covers_it(pairs, record_property):
    random, inside, slope_inside = np.random.default_rng(pairs), 0, 0
    for _ in range(TRIALS):
        truth = random.uniform(1.0, 3.0, pairs)
        one, two = truth + random.normal(0, 0.15, pairs), truth + 0.3 + random.normal(0, 0.15, pairs)
        found = two_instruments(one, two, variance_ratio=1.0)
        low, high = found.upper_interval
        inside += low <= -0.3 + 1.959964 * 0.15 * 2**0.5 <= high
        a, b = found.lines[0][1].slope_interval
        slope_inside += a <= 1.0 <= b
    record_property("covered", inside / TRIALS)
    record_property("slope_covered", slope_inside / TRIALS)
    error = (0.95 * 0.05 / TRIALS) ** 0.5
    # The standard error sd sqrt(3/n) is an approximation: 93 % and more, as printed intervals must have.
    assert 0.93 - 3 * error < inside / TRIALS < 0.99 and slope_inside / TRIALS > 0.93 - 3 * error


def test_conversion_needs_40_pairs_and_a_known_error_ratio():
    x = np.linspace(1.0, 3.0, 40)
    y = x + 0.3 + 0.1 * np.cos(40 * x)
    assert two_instruments(x, y, variance_ratio=1.0).verdict == "convertible"
    assert two_instruments(x[:39], y[:39], variance_ratio=1.0).verdict == "too-few-pairs"
    assert two_instruments(x, y).verdict == "ratio-assumed" and len(two_instruments(x, y).lines) == 3


def test_constant_and_few_pairs_cannot_be_told():
    assert two_instruments([2.0] * 10, np.arange(10.0)).verdict == "constant"
    assert two_instruments([], []).verdict == "too-few-pairs"
    with pytest.raises(OutOfRange):
        variance_ratio_of([[1.0, 1.0]], [[1.0, 1.2]])


def test_few_pairs_are_told_to_cover_less():
    x = np.linspace(1.0, 3.0, 12)
    y = x + 0.1 * np.cos(40 * x)
    assert "thin-intervals" not in two_instruments(x, y).remarks
    assert "thin-intervals" in two_instruments(x[:11], y[:11]).remarks


def test_plates_of_one_kind_tell_nothing_and_zeros_stay_zeros():
    random = np.random.default_rng(3)
    light, rng = random.uniform(10, 500, 40), np.random.default_rng(1)
    none = rapid_against_plate(light, np.zeros(40), limit_rlu=100, limit_cfu=2, variance_ratio=1.0, rng=rng)
    assert none.verdict == "cannot-tell" and none.area is None and none.kappa is None and none.line is None
    some = rapid_against_plate(light, random.poisson(2.0, 40), limit_rlu=100, limit_cfu=2, variance_ratio=1.0, rng=rng)
    assert "zero-counts" in some.remarks and sum(map(sum, some.table)) == 40
