"""Puts half the level in place of "below detection"."""

import numpy as np

from tersum.evidence import likelihood

WHAT = "a made-up number, half the level, stands in for each reading below detection"
BREAKS = ["tests/evidence/test_censoring.py::test_fit_finds_the_truth_of_a_censored_sample",
          "tests/published/test_published.py::test_case[censored-mle-manganese]"]


def apply(monkeypatch):
    honest = likelihood.CensoredLogs.of.__func__

    def of(cls, low, high):
        below = low == 0.0
        return honest(cls, np.where(below, high / 2, low), np.where(below, high / 2, high))

    monkeypatch.setattr(likelihood.CensoredLogs, "of", classmethod(of))
