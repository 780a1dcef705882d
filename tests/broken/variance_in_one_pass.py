"""Computes a spread as mean of squares less square of the mean."""

import math

from tersum.evidence import summary

WHAT = "the spread is computed in one pass, which loses all digits of large readings with small differences"
BREAKS = ["tests/evidence/test_summary.py::test_large_numbers_keep_their_small_differences",
          "tests/published/test_published.py::test_case[strd-univ-numacc4]"]

_HONEST = summary.Summary


def apply(monkeypatch):
    # What is left of a variance once mean squares of this size have swallowed its digits.
    monkeypatch.setattr(summary, "Summary", lambda n, mean, sd, lag: _HONEST(
        n, mean, math.sqrt(abs((mean * mean + sd * sd) - mean * mean)), lag))
