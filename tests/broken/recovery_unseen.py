"""Takes after values as they were read, whatever the residue does to the light."""

from tersum.evidence.trial_remarks import AsDone

WHAT = "a recovery of a half after treatment goes unseen, and looks like half the dirt"
BREAKS = ["tests/evidence/test_trial_calibration.py::test_light_lost_after_treatment_is_not_taken_for_cleanliness",
          "tests/evidence/test_comparison.py::test_a_recovery_of_a_half_doubles_what_its_arm_leaves"]


def apply(monkeypatch):
    monkeypatch.setattr(AsDone, "corrected", lambda self, units: units)
