"""Laws of conformity: each in words as its docstring."""

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tersum.evidence.conformity import (
    NOT_READ,
    Guard,
    conformity_of_groups,
    decide_arrays,
    first_time_share,
    p_conform,
    release_level,
    release_multiplier,
)
from tersum.evidence.whole_visit import all_conform, drawn_stratum_share

logs = st.floats(-1.0, 6.0)
low_bounds = st.one_of(logs, st.just(-math.inf))
spreads = st.floats(0.02, 1.0)
freedoms = st.one_of(st.floats(1.0, 200.0), st.just(math.inf))
limits = st.floats(1.0, 1e5)
more = st.floats(0.0, 3.0)


def code(low, high, n, limit, spread, multiplier, left):
    return int(decide_arrays(low, high, n, log10_limit=math.log10(limit), spread_log10=spread, multiplier=multiplier,
                             looks_left=left))


@given(low_bounds, st.one_of(more, st.just(math.inf)), more, more, st.integers(1, 5), limits, spreads,
       st.floats(0.0, 4.0), st.integers(0, 3))
def test_more_residue_never_improves_a_code(low, width, raised, widened, n, limit, spread, multiplier, left):
    """Raising either bound of the mean leaves the code as it is or makes it worse."""
    high = (low if math.isfinite(low) else 0.0) + width
    before = code(low, high, n, limit, spread, multiplier, left)
    after = code(low + raised, high + raised + widened, n, limit, spread, multiplier, left)
    assert NOT_READ < before <= after


@given(logs, st.integers(1, 5), limits, spreads, st.floats(0.0, 4.0), st.integers(0, 3))
def test_taking_a_look_away_never_improves_a_code(mean, n, limit, spread, multiplier, left):
    """Without a look left a point is cleaned again or done, and never released that was not before."""
    with_look, without = (code(mean, mean, n, limit, spread, multiplier, looks) for looks in (left + 1, 0))
    assert with_look <= without


@given(logs, more, st.integers(1, 9), limits, spreads, freedoms)
def test_p_conform_falls_with_the_mean(mean, raised, n, limit, spread, freedom):
    """The more is read, the less likely the point conforms."""
    lower, higher = p_conform([mean, mean + raised], n, limit_rlu=limit, spread_log10=spread,
                              degrees_of_freedom=freedom)
    assert 0.0 <= higher <= lower <= 1.0


@given(logs, st.integers(1, 9), limits, st.floats(1.0, 100.0), spreads, freedoms)
def test_p_conform_rises_with_the_limit(mean, n, limit, factor, spread, freedom):
    """The higher the limit, the more likely the point conforms."""
    lower, higher = p_conform(mean, n, limit_rlu=[limit, limit * factor], spread_log10=spread,
                              degrees_of_freedom=freedom)
    assert lower <= higher


@given(logs, st.integers(1, 9), st.integers(0, 9), limits, spreads, freedoms)
def test_more_swabs_move_p_conform_away_from_an_even_chance(mean, n, extra, limit, spread, freedom):
    """The same mean from more swabs speaks louder: for the point below the limit, against it above."""
    fewer, all_of_them = p_conform(mean, [n, n + extra], limit_rlu=limit, spread_log10=spread,
                                   degrees_of_freedom=freedom)
    assert abs(all_of_them - 0.5) >= abs(fewer - 0.5) - 1e-12
    assert (all_of_them - 0.5) * (fewer - 0.5) >= 0.0


@given(logs, limits, spreads, st.floats(0.01, 1000.0), st.integers(1, 4))
def test_the_unit_of_the_meter_does_not_matter(mean, limit, spread, factor, n):
    """Readings and limit in another unit give the same probability."""
    here = p_conform(mean, n, limit_rlu=limit, spread_log10=spread)
    there = p_conform(mean + math.log10(factor), n, limit_rlu=limit * factor, spread_log10=spread)
    assert math.isclose(here, there, abs_tol=1e-9)


@given(st.integers(1, 4), freedoms, st.floats(1e-5, 0.4))
def test_multiplier_never_falls_with_the_planned_looks(looks, freedom, risk):
    """Each further look has to be paid for."""
    assert release_multiplier(looks + 1, freedom, risk=risk) > release_multiplier(looks, freedom, risk=risk)


@given(st.integers(1, 3), st.floats(1.0, 100.0), st.floats(1.01, 20.0), st.floats(1e-5, 0.3))
def test_multiplier_falls_with_the_duplicates(looks, freedom, factor, risk):
    """The better the spread is known, the less guard is needed, down to that of a known spread."""
    few, many, known = (release_multiplier(looks, one, risk=risk) for one in (freedom, freedom * factor, math.inf))
    assert few > many > known


@given(st.integers(1, 3), freedoms, st.floats(1e-5, 0.3), st.floats(1.05, 1.5))
def test_multiplier_falls_with_the_accepted_risk(looks, freedom, risk, factor):
    """Who accepts more false releases needs less guard."""
    assert release_multiplier(looks, freedom, risk=risk) > release_multiplier(looks, freedom, risk=risk * factor)


@given(st.integers(1, 8), limits, spreads, st.floats(0.0, 8.0))
def test_release_level_rises_with_the_swabs_and_stays_below_the_limit(n, limit, spread, multiplier):
    """More swabs bring the release level nearer to the limit, never beyond it."""
    one, two = release_level([n, n + 1], limit_rlu=limit, spread_log10=spread, multiplier=multiplier)
    assert one <= two <= limit * (1 + 1e-12)


@given(st.floats(0.01, 3.0), st.floats(1.0, 5.0), spreads, freedoms, st.integers(1, 2))
def test_dirtier_points_are_released_less_often(fraction, factor, spread, freedom, looks):
    """The share released at the first look falls with the truth."""
    cleaner, dirtier = first_time_share([fraction, fraction * factor], spread_log10=spread,
                                        degrees_of_freedom=freedom, looks=looks)
    assert dirtier <= cleaner + 1e-7


@given(st.lists(st.tuples(st.integers(0, 6), logs), min_size=1, max_size=30), limits, spreads, st.randoms())
def test_the_order_of_readings_changes_no_code(rows, limit, spread, order):
    """Readings of the same points in another order give the same codes."""
    mixed = list(rows)
    order.shuffle(mixed)
    first, second = (conformity_of_groups([log for _, log in some], [point for point, _ in some], 7,
                                          guard=Guard(limit, spread)) for some in (rows, mixed))
    assert first.n.tolist() == second.n.tolist() and first.code.tolist() == second.code.tolist()


@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=12), st.floats(0.0, 0.95))
def test_all_points_lie_between_the_product_and_the_worst(each, shared):
    """Shared errors can only help all points to conform together, and never beyond the worst of them."""
    found = all_conform(each, correlation=shared)
    assert np.prod(each) - 1e-6 <= found <= min(each) + 1e-6


@given(st.integers(1, 40), st.data())
def test_a_better_draw_never_says_less(listed, data):
    """One more released point of the same draw never lowers what is said of the list, and what is said is possible."""
    drawn = data.draw(st.integers(1, listed))
    released = data.draw(st.integers(0, drawn - 1))
    fewer, one_more = (drawn_stratum_share(listed, drawn, some).at_least for some in (released, released + 1))
    assert released <= fewer <= one_more <= listed
