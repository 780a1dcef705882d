"""Repeatability pooled over classes: what it is, when classes are kept apart, and how surely that is found."""

import math
import os

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.duplicates import findable_ratio, pooled
from tersum.evidence.repeatability import from_duplicates

SOAK = os.environ.get("TERSUM_TEST_PROFILE") == "soak"
TRIALS = 2000 if SOAK else 120


def drawn(rng, spreads, pairs=12, level=2.0):
    """Return logs, cells and classes of duplicates, so many pairs a class."""
    logs, cells, classes = [], [], []
    for place, spread in enumerate(spreads):
        for pair in range(pairs):
            logs += list(rng.normal(level + 0.4 * rng.standard_normal(), spread, 2))
            cells += [place * pairs + pair] * 2
            classes += [f"class {place}"] * 2
    return logs, cells, classes


def found(rng, *spreads, pairs=12):
    return pooled(*drawn(rng, spreads, pairs), rng=rng, draws=400)


def test_pairs_give_the_repeatability_of_duplicates():
    one, two = [100, 220, 80, 45, 310], [150, 200, 60, 52, 240]
    logs = np.log10([one, two]).T.ravel()
    together = pooled(logs, np.repeat(np.arange(5), 2), ["smooth"] * 10, rng=np.random.default_rng(1)).together
    assert together.spread_log10 == pytest.approx(from_duplicates(one, two).spread_log10)
    assert together.degrees_of_freedom == 5.0


def test_published_duplicates_have_their_published_spread():
    """Bland & Altman 1986, seventeen pairs, l/min: the scale is theirs, the arithmetic is that of logs."""
    first = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
    second = [490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421]
    values = np.array([first, second]).T.ravel() / 100.0
    spread = pooled(values, np.repeat(np.arange(17), 2), ["a"] * 34, rng=np.random.default_rng(1)).together.spread_log10
    assert spread * 100.0 == pytest.approx(15.3, abs=0.05)


def test_more_than_two_swabs_of_a_surface_count_each():
    rng = np.random.default_rng(2)
    logs = rng.normal(2.0, 0.2, (6, 4))
    got = pooled(logs.ravel(), np.repeat(np.arange(6), 4), ["a"] * 24, rng=rng)
    assert got.together.degrees_of_freedom == 18.0
    assert got.together.spread_log10 == pytest.approx(math.sqrt(logs.var(axis=1, ddof=1).mean()))


def test_classes_that_scatter_alike_are_called_different_in_at_most_5_pct(record_property):
    rng = np.random.default_rng(3)
    share = np.mean([found(rng, 0.2, 0.2, 0.2).apart for _ in range(TRIALS)])
    record_property("called_different", float(share))
    assert share <= 0.05 + 3.0 * math.sqrt(0.05 * 0.95 / TRIALS)


def test_long_tails_are_not_taken_for_different_classes(record_property):
    """One pair in ten lies five times as far apart, in both classes."""
    rng, wrong = np.random.default_rng(4), 0
    for _ in range(TRIALS):
        logs, cells, classes = drawn(rng, (0.1, 0.1))
        logs = np.asarray(logs) * np.where(rng.random(len(logs) // 2) < 0.1, 5.0, 1.0).repeat(2)
        wrong += pooled(logs, cells, classes, rng=rng, draws=400).apart
    record_property("called_different", wrong / TRIALS)
    assert wrong / TRIALS <= 0.05 + 3.0 * math.sqrt(0.05 * 0.95 / TRIALS)


@pytest.mark.parametrize("pairs", [12, 30])
def test_the_ratio_said_to_be_found_is_found_three_times_in_four(pairs, record_property):
    rng, ratio = np.random.default_rng(pairs), findable_ratio(pairs, pairs)
    share = np.mean([found(rng, 0.1, 0.1 * ratio, pairs=pairs).apart for _ in range(TRIALS)])
    record_property("found", float(share))
    assert share == pytest.approx(0.75, abs=0.04 + 3.0 * math.sqrt(0.75 * 0.25 / TRIALS))


def test_low_readings_that_scatter_more_are_seen():
    rng = np.random.default_rng(5)
    level = np.linspace(0.5, 3.0, 30)
    logs = (level[:, None] + rng.normal(0.0, 1.0, (30, 2)) * np.linspace(0.5, 0.05, 30)[:, None]).ravel()
    trend = pooled(logs, np.repeat(np.arange(30), 2), ["a"] * 60, rng=rng).trend
    assert trend.rank_correlation < -0.5 and trend.p_grows_low < 0.01


def test_few_surfaces_say_nothing_of_the_level():
    assert found(np.random.default_rng(6), 0.2, pairs=9).trend is None


def test_a_class_alone_has_nothing_to_be_compared_with():
    got = found(np.random.default_rng(7), 0.2)
    assert math.isnan(got.p_classes) and not got.apart and got.classes[0].findable_ratio == math.inf


@pytest.mark.parametrize(("logs", "cells", "classes", "told"), [
    ([1.0, 1.0, 2.0, 2.0], [1, 1, 2, 2], ["a"] * 4, "no pair differs"), ([1.0, 2.0], [1, 2], ["a"] * 2, "two planned"),
    ([1.0, 2.0], [1, 1], ["a", "b"], "one class"), ([1.0, 2.0], [1], ["a", "a"], "one cell"),
    ([1.0, math.nan], [1, 1], ["a", "a"], "logs")])
def test_arguments_that_do_not_fit_are_refused(logs, cells, classes, told):
    with pytest.raises(OutOfRange, match=told):
        pooled(logs, cells, classes, rng=np.random.default_rng(1))
