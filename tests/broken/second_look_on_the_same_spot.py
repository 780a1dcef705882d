"""Swabs the same spot at every look and counts it."""

from dataclasses import replace

from tersum.simulator import swabs

WHAT = "every look swabs the same spot, from which each swab has lifted 30 %, and nobody asks for a fresh area"
BREAKS = ["tests/evidence/test_calibration.py::test_at_most_5_pct_are_released_at_the_limit[2-no-pairs]"]


def apply(monkeypatch):
    kept = swabs._spoilt

    def on_the_same_spot(rng, shape, habits):
        if shape[1] == 2:  # planned duplicates: those were taken side by side
            return kept(rng, shape, habits)
        return kept(rng, shape, replace(habits, same_spot_frac=1.0, lift_frac=0.3, asks_before=False, wet_frac=0.0,
                                        chemical_left_frac=0.0))

    monkeypatch.setattr(swabs, "_spoilt", on_the_same_spot)
