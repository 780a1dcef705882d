"""Reports the change of the treated half of panels that were chosen because dirty."""

import numpy as np

from tersum.evidence import comparison

WHAT = "the change of one arm is shown as its effect, after panels were picked for their readings"
BREAKS = ["tests/evidence/test_trial_calibration.py::"
          "test_panels_picked_because_dirty_show_no_difference_of_treatments_that_do_nothing"]


def apply(monkeypatch):
    honest = comparison._told

    def change(units, asked, model, pairs, rng, draws):
        found = honest(units, asked, model, pairs, rng, draws)
        return tuple(comparison.replaced(one, difference_log10=float(np.mean(
            (units.after_low - units.before)[units.marks(one.arm)]))) for one in found)

    monkeypatch.setattr(comparison, "_told", change)
