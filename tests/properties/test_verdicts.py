"""Laws of the verdicts: more residue never helps, the order of rows never matters, what does not count never counts."""

import math
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from tersum.visit.decision import CLEAN_AGAIN, COULD_NOT, DONE, NOT_COUNTED, SWAB_AGAIN, LimitInForce, Terms
from tersum.visit.readings import Reading
from tersum.visit.rules import decide_point

WORSE = {DONE: 0, SWAB_AGAIN: 1, CLEAN_AGAIN: 2, COULD_NOT: 3}
values = st.one_of(st.integers(1, 9999).map(float), st.sampled_from([5.0, 299.0, 300.0, 301.0]))
bounds = st.one_of(values.map(lambda rlu: (rlu, rlu)), values.map(lambda rlu: (0.0, rlu)),
                   values.map(lambda rlu: (rlu, math.inf)))
limits = st.floats(20.0, 2000.0).map(lambda rlu: LimitInForce(rlu, "option"))
terms = st.builds(
    Terms, rule=st.sampled_from(["limit", "plain limit"]), looks=st.integers(1, 3),
    spread_log10=st.sampled_from([0.05, 0.17, 0.205, 0.4]), degrees_of_freedom=st.sampled_from([3.0, 10.0, math.inf]))
agreed = st.builds(
    Terms, rule=st.just("limit and reduction"), looks=st.integers(1, 3), spread_log10=st.sampled_from([0.1, 0.205]),
    reduction_target_log10=st.floats(0.3, 2.0))


@st.composite
def swabs(draw, most=4):
    """One round of swabs, some with a fault noted before the number."""
    made = []
    for number in range(1, draw(st.integers(1, most)) + 1):
        low, high = draw(bounds)
        dry = draw(st.sampled_from([True, True, True, None, False]))
        made.append(Reading("p", "cleaned", low, high, "typed", swab=number, dry=dry))
    return made


def verdict(readings, terms, limit, **more):
    return decide_point("p", readings, terms=terms, limit=limit, **more).verdict


@given(swabs(), st.one_of(terms, agreed), limits, st.data())
def test_more_residue_never_improves_a_verdict(readings, terms, limit, data):
    """Raising what one swab shows leaves the verdict as it is or makes it worse."""
    before = [Reading("p", "as_found", 5000.0, 5000.0, "5000")]
    place = data.draw(st.integers(0, len(readings) - 1))
    factor = data.draw(st.floats(1.0, 50.0))
    raised = list(readings)
    raised[place] = replace(readings[place], low_rlu=readings[place].low_rlu * factor,
                            high_rlu=readings[place].high_rlu * factor)
    was, now = verdict([*before, *readings], terms, limit), verdict([*before, *raised], terms, limit)
    if NOT_COUNTED not in (was, now):
        assert WORSE[now] >= WORSE[was]


@given(swabs(), terms, limits, st.randoms())
def test_order_of_rows_changes_no_decision(readings, terms, limit, order):
    """The same swabs in any order of rows give the same decision to the last digit."""
    mixed = list(readings)
    order.shuffle(mixed)
    assert (decide_point("p", mixed, terms=terms, limit=limit)
            == decide_point("p", readings, terms=terms, limit=limit))


@given(swabs(), terms, limits, values)
def test_swab_that_does_not_count_changes_no_verdict(readings, terms, limit, rlu):
    """A swab with a fault noted before its number neither helps nor harms, whatever it shows."""
    extra = Reading("p", "cleaned", rlu, rlu, "typed", swab=99, rinsed=False)
    was = verdict(readings, terms, limit)
    assert verdict([*readings, extra], terms, limit) == was


@given(swabs(), terms, limits, st.floats(1.0, 20.0))
def test_higher_limit_never_makes_a_verdict_worse(readings, terms, limit, factor):
    """A point that a limit releases is released by a higher one."""
    higher = LimitInForce(limit.rlu * factor, "option")
    was, now = verdict(readings, terms, limit), verdict(readings, terms, higher)
    if NOT_COUNTED not in (was, now):
        assert WORSE[now] <= WORSE[was]


@given(swabs(), terms, limits)
def test_done_means_the_upper_bound_of_the_mean_is_at_or_below_the_release_level(readings, terms, limit):
    """What is done can be read off the numbers that are shown."""
    decision = decide_point("p", readings, terms=terms, limit=limit)
    if decision.verdict == DONE:
        assert decision.mean_operator in ("=", "<=", "between")
        assert decision.geometric_mean_rlu <= decision.release_level_rlu * (1 + 1e-5)
        assert decision.release_level_rlu <= decision.limit_rlu


@given(swabs(), terms, limits)
def test_point_cleaned_again_twice_is_never_sent_to_be_cleaned_again(readings, terms, limit):
    """After two clean-agains the answer is done, another swab, or could not be brought below."""
    third = [replace(reading, round=3) for reading in readings]
    first = Reading("p", "cleaned", 9000.0, 9000.0, "9000", round=1)
    assert verdict([first, *third], terms, limit) != CLEAN_AGAIN
