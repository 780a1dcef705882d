"""The strong acid of a product from pH readings."""

import numpy as np
import pytest

from tersum.chemistry.fitted_acid import DOES_NOT_FIT, FITS, PhReading, fitted_acid
from tersum.chemistry.product_ph import Concentrate, TapWater, predicted_ph
from tersum.chemistry.uncertainty import Quantity
from tersum.errors import OutOfRange

PRODUCT = Concentrate({"acetic acid": Quantity(87200.0), "peracetic acid": Quantity(43600.0)})
WATER = TapWater(Quantity(3.0), ph=7.5)
TRUE_MOL_L = 0.08
SHARES = (0.005, 0.01, 0.02, 0.05)


def readings(rng=None, *, u_ph=0.02, strong=TRUE_MOL_L):
    truth = Concentrate(PRODUCT.strengths_mg_l, strong_acid_mol_l=Quantity(strong))
    for share in SHARES:
        ph = predicted_ph(truth, Quantity(share), WATER).closed_ph
        yield PhReading(share, Quantity(ph + (u_ph * rng.standard_normal() if rng else 0.0), u_ph), 20.0)


def test_fit_finds_the_acid_that_was_put_in():
    found = fitted_acid(PRODUCT, list(readings()), WATER)
    assert found.strong_acid_mol_l.value == pytest.approx(TRUE_MOL_L, rel=1e-5)
    assert found.answer == FITS and max(map(abs, found.residuals_ph)) < 1e-5


def test_fitted_product_predicts_the_readings_again():
    found = fitted_acid(PRODUCT, list(readings()), WATER)
    fitted = Concentrate(PRODUCT.strengths_mg_l, strong_acid_mol_l=found.strong_acid_mol_l)
    for one in readings():
        assert predicted_ph(fitted, Quantity(one.concentrate_frac), WATER).closed_ph == pytest.approx(one.ph.value)


def test_interval_of_the_fit_covers_the_truth():
    rng = np.random.default_rng(11)
    fits = [fitted_acid(PRODUCT, list(readings(rng)), WATER).strong_acid_mol_l for _ in range(200)]
    covered = np.mean([abs(one.value - TRUE_MOL_L) <= 2.0 * one.standard_uncertainty for one in fits])
    assert 0.92 <= covered <= 0.995


def test_product_that_one_acid_does_not_describe_is_said_not_to_fit():
    bent = [PhReading(one.concentrate_frac, Quantity(one.ph.value + off, 0.02), 20.0)
            for one, off in zip(readings(), (0.3, -0.2, 0.3, -0.3), strict=True)]
    found = fitted_acid(PRODUCT, bent, WATER)
    assert found.answer == DOES_NOT_FIT
    assert found.strong_acid_mol_l.standard_uncertainty > fitted_acid(
        PRODUCT, list(readings()), WATER).strong_acid_mol_l.standard_uncertainty


def test_base_comes_out_negative():
    found = fitted_acid(PRODUCT, list(readings(strong=-0.2)), WATER)
    assert found.strong_acid_mol_l.value == pytest.approx(-0.2, rel=1e-4)


@pytest.mark.parametrize("bad", [[], [PhReading(0.01, Quantity(3.0, 0.0), 20.0)],
                                 [PhReading(1.2, Quantity(3.0, 0.02), 20.0)]])
def test_readings_that_cannot_be_fitted_are_refused(bad):
    with pytest.raises(OutOfRange):
        fitted_acid(PRODUCT, bad, WATER)
