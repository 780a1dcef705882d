"""How often each interval of a most probable number holds the truth: every pattern of a design counted, none drawn.

Full counts: ``TERSUM_TEST_PROFILE=soak`` (see tools/soak.py).
"""

import os

import numpy as np
import pytest

from tersum.lethality.mpn import design
from tersum.lethality.mpn_coverage import coverage

SOAK = os.environ.get("TERSUM_TEST_PROFILE") == "soak"
DENSITIES = 20_001 if SOAK else 2_001
# Tubes a row, method, least coverage anywhere from 0.1 to 100,000 per g, mean over 1 to 1000 per g, evenly in the log:
# own figures, printed in docs/methods/mpn.md too.
SAID = [
    (3, "likelihood-ratio", 0.8957, 0.9617), (3, "two-standard-errors", 0.8663, 0.9623),
    (3, "standard-error", 0.8612, 0.9567), (5, "likelihood-ratio", 0.9070, 0.9572),
    (5, "two-standard-errors", 0.8734, 0.9596), (5, "standard-error", 0.8686, 0.9537),
]


def counted(tubes, method):
    """Return the densities and the coverage at each, piece by piece."""
    of = design([tubes] * 3, [0.1, 0.01, 0.001])
    truth = np.geomspace(0.1, 1e5, DENSITIES)
    return truth, np.concatenate([coverage(of, part, method=method).coverage for part in np.array_split(truth, 10)])


@pytest.mark.parametrize(("tubes", "method", "least", "mean"), SAID, ids=[f"{one[0]}x3-{one[1]}" for one in SAID])
def test_least_and_mean_coverage_are_what_the_page_says(tubes, method, least, mean, record_property):
    truth, found = counted(tubes, method)
    middle = found[(truth >= 1.0) & (truth <= 1000.0)]
    record_property("least_coverage", round(float(found.min()), 4))
    record_property("at_density", round(float(truth[found.argmin()]), 2))
    record_property("mean_coverage", round(float(middle.mean()), 4))
    print(f"{tubes}x3, {method}: least {found.min():.4f} at {truth[found.argmin()]:.2f}/g, mean {middle.mean():.4f}")
    assert found.min() == pytest.approx(least, abs=1.5e-3) and middle.mean() == pytest.approx(mean, abs=3e-4)


@pytest.mark.parametrize("tubes", [3, 5])
def test_preferred_method_has_the_best_least_coverage(tubes):
    least = {method: counted(tubes, method)[1].min() for _, method, _, _ in SAID}
    assert max(least, key=least.get) == "likelihood-ratio"


def test_no_method_is_said_to_hold_95_of_100_everywhere():
    assert all(counted(tubes, method)[1].min() < 0.95 for tubes, method, _, _ in SAID)
