"""Chemical left on the surface: what is unknown comes first, correction widens, policy decides."""

import numpy as np
import pytest

from tersum.evidence.recovery import Policy
from tersum.evidence.residue import MATRIX, UNKNOWN, Spike, residues


def _rows(share, n, *, chemistry="A", stage="treated", spread=0.05, seed=1):
    random = np.random.default_rng(seed)
    return [Spike(chemistry, "smooth", "M", stage, "swab", 100.0, 100.0 + 500 * share * 10 ** random.normal(0, spread),
                  500.0) for _ in range(n)]


def test_what_is_unknown_stands_first():
    found = residues([*_rows(0.9, 6, chemistry="known"), *_rows(0.5, 5, chemistry="unknown")])
    assert [one.chemistry for one in found] == ["unknown", "known"] and found[0].verdict == UNKNOWN


def test_stages_chemistries_and_surfaces_are_kept_apart():
    assert len(residues([*_rows(0.9, 6), *_rows(0.5, 6, stage="cleaned")])) == 2


@pytest.mark.parametrize(("share", "verdict"), [(0.95, "as-read"), (0.5, "correct-or-rinse"), (0.15, "not-counted"),
                                                (1.8, "not-counted")])
def test_the_policy_decides(share, verdict):
    assert residues(_rows(share, 8))[0].verdict == verdict


def test_the_interval_covers_the_true_share():
    inside = 0
    for seed in range(300):
        low, high = residues(_rows(0.5, 6, spread=0.1, seed=seed))[0].interval
        inside += low <= 0.5 <= high
    assert abs(inside / 300 - 0.95) < 4 * (0.95 * 0.05 / 300) ** 0.5


def test_a_chemical_that_puts_the_light_out_is_not_counted():
    found = residues([Spike("A", "s", "M", "treated", "swab", 100.0, 90.0, 500.0)] * 6)[0]
    assert found.verdict == "not-counted" and "nothing-read" in found.remarks


def test_matrix_blanks_alone_leave_it_unknown_and_small_spikes_are_told():
    blank = residues([Spike("A", "s", "M", "treated", MATRIX, 4.0)])[0]
    assert blank.verdict == UNKNOWN and blank.matrix_rlu == 4.0 and blank.repeats == 0
    small = residues([Spike("A", "s", "M", "treated", "swab", 100.0, 250.0, 150.0)] * 6)[0]
    assert "spike-small" in small.remarks and "no-matrix-blank" in small.remarks


def test_an_interval_across_a_bound_is_told():
    assert "bounds-differ" in residues(_rows(0.7, 6, spread=0.1), Policy())[0].remarks
