"""Laws of reductions, blanks and readings that are inequalities."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tersum.evidence.blank import net_bounds
from tersum.evidence.censoring import lognormal_fit
from tersum.evidence.kaplan_meier import kaplan_meier
from tersum.evidence.proportions import clopper_pearson, wilson
from tersum.evidence.reduction import mean_reduction, reduction
from tersum.evidence.summary import summary
from tersum.visit import rule_v1
from tersum.visit.decision import Terms
from tersum.visit.readings import Reading
from tersum.visit.rule_v1 import decide_point

RLU = st.floats(0.5, 1e6)
BOUNDS = st.one_of(RLU.map(lambda x: (x, x)), RLU.map(lambda x: (0.0, x)), RLU.map(lambda x: (x, math.inf)))
SAMPLE = st.lists(st.floats(1.0, 1e5), min_size=4, max_size=12)


def of(before, after, **options):
    return reduction(*before, *after, spread_log10=0.2, **options)


@given(RLU, RLU, RLU)
def test_logs_of_steps_add(first, second, third):
    """From first to third is from first to second and from second to third."""
    steps = [of((one, one), (other, other)).log10 for one, other in ((first, second), (second, third), (first, third))]
    assert steps[0] + steps[1] == pytest.approx(steps[2], abs=1e-9)


@given(BOUNDS, BOUNDS)
def test_a_step_back_undoes_a_step(before, after):
    """Before and after exchanged turn the sign, and at least into at most."""
    there, back = of(before, after), of(after, before)
    assert {"=": "=", ">=": "<=", "<=": ">=", "?": "?"}[there.operator.item()] == back.operator
    if there.operator != "?":
        assert there.log10 == pytest.approx(-back.log10)


@given(BOUNDS, BOUNDS, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_bound_holds_whatever_the_reading_was(before, after, place, other_place):
    """Any true readings inside the bounds give a reduction on the stated side."""
    assume(all(math.isfinite(end) for end in (*before, *after)))
    true = [low + share * (high - low) for (low, high), share in ((before, place), (after, other_place))]
    assume(min(true) > 0.0)
    stated, exact = of(before, after), of((true[0],) * 2, (true[1],) * 2).log10
    if stated.operator == ">=":
        assert exact >= stated.log10 - 1e-9
    if stated.operator == "<=":
        assert exact <= stated.log10 + 1e-9


@given(RLU, RLU, st.floats(0.1, 3.0))
def test_cleaner_after_never_loses_the_target(before, after, target):
    """Less left over can turn not met into cannot tell into met, never back."""
    order = ["not-met", "cannot-tell", "met"]
    more, less = (of((before, before), (left, left), target_log10=target, detection_rlu=0.01).met.item()
                  for left in (after, after / 2))
    assert order.index(less) >= order.index(more)


@given(RLU, RLU, st.floats(0.1, 3.0))
def test_met_is_never_said_inside_the_interval(before, after, target):
    """Where the target is met, the two-sided 90 % interval lies wholly above it."""
    found = of((before, before), (after, after), target_log10=target, detection_rlu=0.01, coverage=0.9)
    wide = of((before, before), (after, after), target_log10=target, detection_rlu=0.01, coverage=0.95)
    if wide.met == "met":
        assert found.low_log10 >= target - 1e-9


@given(st.lists(st.tuples(RLU, RLU), min_size=3, max_size=8), st.randoms(use_true_random=False))
def test_order_of_points_changes_no_mean_reduction(points, random):
    """The points of a visit have no order."""
    assume(len({round(math.log10(one / other), 6) for one, other in points}) > 1)
    shuffled = random.sample(points, len(points))
    first, second = (mean_reduction(*zip(*some, strict=True)) for some in (points, shuffled))
    assert first.log10 == pytest.approx(second.log10)
    assert first.half_width_log10 == pytest.approx(second.half_width_log10)


@given(BOUNDS, st.floats(0.0, 1e6), st.one_of(st.none(), st.floats(0.1, 100.0)))
def test_net_never_exceeds_gross(bounds, blank, level):
    """A blank takes light away: the upper end falls, to no less than the decision level or one count."""
    low, high = net_bounds(*bounds, blank, decision_level_rlu=level)
    assert 0.0 <= low <= bounds[0]
    assert low <= high <= max(bounds[1], level or 0.0, 1.0)
    assert high > 0.0


@given(BOUNDS, st.one_of(st.just(0.0), st.floats(0.0, 1e6)), st.one_of(st.none(), st.floats(0.1, 100.0)),
       st.sampled_from([None, 0.3, 0.5, 0.7, 1.0, 2.0]))
def test_net_is_what_the_rule_takes(bounds, blank, level, share):
    """Science and verdict take a blank off in one way, also where it is half the reading or more."""
    if share is not None and math.isfinite(bounds[1]):
        blank = share * bounds[1]
    reading = Reading("seat", "cleaned", *bounds, "", blank_rlu=blank)
    net = net_bounds(*bounds, blank, decision_level_rlu=level)
    assert tuple(end.item() for end in net) == rule_v1._net_bounds(reading, level)


@given(RLU, st.floats(0.0, 1e6), st.floats(0.0, 1e6))
def test_a_larger_blank_never_raises_a_measured_net(gross, blank, more):
    """More taken off leaves less, until nothing is left to measure."""
    low, _ = net_bounds(gross, gross, blank)
    lower, _ = net_bounds(gross, gross, blank + more)
    assert lower <= low


@given(SAMPLE)
def test_fit_without_marks_is_the_plain_fit(readings):
    """Mean, spread and t interval of the logs, to the last digits that matter."""
    logs = np.log10(readings)
    assume(logs.std() > 0.01)
    fit, plain = lognormal_fit(readings, readings), summary(logs)
    assert fit.mean_log10 == pytest.approx(plain.mean, abs=1e-6)
    assert fit.spread_log10 == pytest.approx(logs.std(), abs=1e-6)
    curve = kaplan_meier(readings, readings)
    assert curve.mean == pytest.approx(np.mean(readings))


@given(SAMPLE, st.randoms(use_true_random=False))
def test_order_of_readings_changes_no_summary(readings, random):
    """A visit may be read in any order."""
    assume(np.log10(readings).std() > 0.01)
    level = sorted(readings)[1]
    low = [0.0 if reading <= level else reading for reading in readings]
    high = [max(reading, level) for reading in readings]
    assume(len(set(low)) > 2)
    order = random.sample(range(len(low)), len(low))
    first, second = lognormal_fit(low, high), lognormal_fit([low[i] for i in order], [high[i] for i in order])
    assert first.mean_log10 == pytest.approx(second.mean_log10, abs=1e-6)
    assert kaplan_meier(low, high).mean == pytest.approx(kaplan_meier(*np.array([low, high])[:, order]).mean)


@given(SAMPLE, st.floats(0.1, 10.0))
def test_another_unit_moves_the_median_and_nothing_else(readings, unit):
    """Readings times a number move the mean log by its log and leave the spread."""
    assume(np.log10(readings).std() > 0.01)
    low = np.where(np.array(readings) <= sorted(readings)[1], 0.0, readings)
    high = np.maximum(readings, sorted(readings)[1])
    assume(len(set(low)) > 2)
    one, other = lognormal_fit(low, high), lognormal_fit(low * unit, high * unit)
    assert other.mean_log10 - one.mean_log10 == pytest.approx(math.log10(unit), abs=1e-5)
    assert other.spread_log10 == pytest.approx(one.spread_log10, abs=1e-5)


@given(st.integers(1, 500).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_share_lies_in_its_intervals_and_failures_mirror_passes(counts):
    """The interval of what failed is the mirror of the interval of what passed."""
    x, n = counts
    for method in (wilson, clopper_pearson):
        lower, upper = method(x, n)
        assert 0.0 <= lower <= x / n <= upper <= 1.0
        other_lower, other_upper = method(n - x, n)
        assert 1.0 - other_upper == pytest.approx(lower.item(), abs=1e-9)
        assert 1.0 - other_lower == pytest.approx(upper.item(), abs=1e-9)


WHOLE = st.integers(1, 90_000).map(float)
SHOWN = st.one_of(WHOLE.map(lambda x: (x, x)), WHOLE.map(lambda x: (0.0, x)), WHOLE.map(lambda x: (x, math.inf)))


@given(SHOWN, SHOWN, st.floats(0.2, 2.5), st.sampled_from([math.inf, 4.0, 12.0]), st.integers(0, 60),
       st.sampled_from([None, 3.0, 25.0]))
def test_reduction_of_a_point_is_that_of_its_decision(before, after, target, freedom, blank, level):
    """The rule states the same reduction as the library, one swab before and one after, whatever the meter shows."""
    # A blank of half the reading or more is not taken off by the rule; its own tests hold that.
    assume(all(2 * blank < high for _, high in (before, after)))
    readings = [Reading("wheel", stage, *shown, "", blank_rlu=blank)
                for stage, shown in (("as_found", before), ("cleaned", after))]
    terms = Terms(rule="limit and reduction", reduction_target_log10=target, degrees_of_freedom=freedom,
                  detection_rlu=level)
    decided = decide_point("wheel", readings, terms=terms, limit=None).reduction
    net = [net_bounds(*shown, blank, decision_level_rlu=level) for shown in (before, after)]
    found = reduction(*net[0], *net[1], spread_log10=terms.spread_log10, degrees_of_freedom=freedom,
                      target_log10=target, detection_rlu=level)
    assert (decided.operator, decided.met) == (found.operator.item(), found.met.item())
    if decided.operator != "?":
        assert decided.log10 == pytest.approx(found.log10.item(), abs=1e-4)
        assert decided.factor == pytest.approx(found.factor.item(), rel=1e-5)
    for stated, end in ((decided.low, found.low_log10), (decided.high, found.high_log10)):
        assert math.isinf(end) if stated is None else stated == pytest.approx(end.item(), abs=1e-4)
