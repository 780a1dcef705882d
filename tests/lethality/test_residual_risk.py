"""Dose and response teach how a reduction acts along one route; no probability goes without its cautions."""

import numpy as np
import pytest

from tersum.catalogue import load
from tersum.errors import OutOfRange, UnknownName
from tersum.lethality.residual_risk import CAUTIONS, dose_response, relative_change, response

CURVES = [dose_response(name) for name in load.table("dose_response")]


@pytest.mark.parametrize("curve", CURVES, ids=lambda one: one.name)
def test_half_dose_gives_a_half_and_none_gives_none(curve):
    assert response(curve, curve.half_dose) == pytest.approx(0.5) and response(curve, 0.0) == 0.0


@pytest.mark.parametrize("curve", CURVES, ids=lambda one: one.name)
def test_more_is_never_less(curve):
    assert (np.diff(response(curve, np.geomspace(0.01, 1e8, 60))) >= 0).all()


@pytest.mark.parametrize("curve", CURVES, ids=lambda one: one.name)
def test_change_carries_its_cautions_and_never_grows(curve):
    found = relative_change(curve, [1.0, 100.0, 1e6], log10_reduction=2.0)
    assert set(CAUTIONS) <= set(found.cautions) and (found.ratio <= 1.0).all() and (found.ratio > 0.0).all()


def test_small_dose_of_an_exponential_falls_as_the_dose_does():
    curve = dose_response("SARS coronavirus, mice")
    assert relative_change(curve, 0.01, log10_reduction=3.0).ratio == pytest.approx(1e-3, rel=1e-3)


def test_approximate_form_is_said_to_be_poor_where_it_is():
    poor = dose_response("Campylobacter jejuni, human")
    assert poor.beta == pytest.approx(7.28, abs=0.02)
    assert "approximation-poor" in relative_change(poor, 1.0, log10_reduction=1.0).cautions
    good = dose_response("Escherichia coli (EIEC), human")
    assert "approximation-poor" not in relative_change(good, 1.0, log10_reduction=1.0).cautions
    assert response(good, 1e4, exact=True) == pytest.approx(float(response(good, 1e4)), rel=1e-3)
    assert abs(float(response(poor, 1.0, exact=True)) / float(response(poor, 1.0)) - 1.0) > 0.005


@pytest.mark.parametrize("call", [lambda: response(CURVES[0], -1.0), lambda: response(CURVES[0], True),
                                  lambda: relative_change(CURVES[0], 0.0, log10_reduction=1.0),
                                  lambda: relative_change(CURVES[0], 1.0, log10_reduction=-1.0)])
def test_what_is_no_dose_is_refused(call):
    with pytest.raises(OutOfRange, match="accepted"):
        call()


def test_unknown_curve_is_refused():
    with pytest.raises(UnknownName, match="adenovirus"):
        dose_response("adenovirus")
