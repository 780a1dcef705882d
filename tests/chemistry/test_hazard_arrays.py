"""Many mixtures at once: the same answers as one by one, in the shape that is stated, or a refusal."""

import numpy as np
import pytest

from tersum.catalogue.load import product
from tersum.chemistry.hazard import part
from tersum.chemistry.hazard_arrays import NONE, classifications, dilutions
from tersum.chemistry.hazard_product import product_hazard
from tersum.chemistry.hazard_rules import CATEGORIES
from tersum.chemistry.ratio import Ratio
from tersum.errors import OutOfRange


@pytest.mark.parametrize("name", ["Demo Concentrate A", "Demo Cleaner B"])
def test_dilutions_of_a_product_are_those_of_the_single_way(name):
    fractions = [1.0, 0.5, 0.2, 1 / 21, 0.01, 1e-4]
    found = dilutions(product(name), fractions, ph=4.0)
    for place, frac in enumerate(fractions):
        single = product_hazard(product(name), Ratio(frac), ph=4.0).working
        for endpoint in single.endpoints:
            order = CATEGORIES[endpoint.name]
            assert found.category[endpoint.name][place] == (
                order.index(endpoint.category) if endpoint.category else NONE), (endpoint, frac)
            assert found.at_worst[endpoint.name][place] == (
                order.index(endpoint.at_worst) if endpoint.at_worst else NONE), (endpoint, frac)


def test_supplementary_statements_come_with_their_mixtures():
    found = classifications([part("active chlorine", 0.0)], [[1.0], [1.1], [5.0]], ph=10.0)
    assert found.euh["EUH206"].tolist() == [False, True, True]
    assert found.euh["EUH031"].tolist() == [False, False, True]


def test_shares_that_make_no_mixture_are_refused():
    parts = [part("acetic acid", 0.0), part("water", 0.0)]
    for wrong in ([[60.0, 41.0]], [[-1.0, 5.0]], [[1.0]], [1.0, 2.0], [[np.nan, 1.0]]):
        with pytest.raises(OutOfRange):
            classifications(parts, wrong)
    with pytest.raises(OutOfRange):
        classifications(parts, [[1.0, 1.0]], ph=16.0)
    with pytest.raises(OutOfRange):
        dilutions(product("Demo Cleaner B"), [0.0])
