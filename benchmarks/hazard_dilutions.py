"""A hundred thousand dilutions of one product classified at once, against one by one."""

from __future__ import annotations

import numpy as np
from measuring import Result, compare

from tersum.catalogue.load import product
from tersum.chemistry.hazard_arrays import dilutions
from tersum.chemistry.hazard_product import product_hazard
from tersum.chemistry.ratio import Ratio

NAME = "hazard class of 100,000 dilutions"
GOAL = "100,000 at once take no longer than 1,000 one by one; under two seconds"
MANY, ONE_BY_ONE = 100_000, 1_000


def measure() -> list[Result]:
    """Classify dilutions of the demo's concentrate both ways."""
    made = product("Demo Concentrate A")
    fractions = np.random.default_rng(5).uniform(0.001, 1.0, MANY)

    def single() -> None:
        for share in fractions[:ONE_BY_ONE]:
            product_hazard(made, Ratio(float(share)), ph=4.0)

    return [compare("100,000 dilutions at once", lambda: dilutions(made, fractions, ph=4.0), single,
                    reference_name="1,000 of them one by one", goal_ratio=1.0, runs=3)]
