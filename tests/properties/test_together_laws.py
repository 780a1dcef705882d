"""Laws of what must never meet: no order, no setting and no further ingredient makes a meeting milder."""

from hypothesis import given
from hypothesis import strategies as st

from tersum.chemistry.together import NONE, SETTINGS, UNKNOWN, classes, meeting, pairs

held = st.lists(st.sampled_from([*classes(), NONE, UNKNOWN]), max_size=4)


@given(st.sampled_from(pairs()), st.sampled_from(SETTINGS), held, held, st.booleans())
def test_pair_is_blocked_whatever_else_is_in_either_product(pair, setting, more, others, turned):
    sides = [[pair.first, *more], [pair.second, *others]]
    first, second = reversed(sides) if turned else sides
    found = meeting(first, second, setting=setting)
    assert not found.may and pair in found.pairs


@given(held, held, st.sampled_from(SETTINGS))
def test_order_changes_nothing(first, second, setting):
    one, other = meeting(first, second, setting=setting), meeting(second, first, setting=setting)
    assert one.pairs == other.pairs and one.may == other.may


@given(held, held, st.sampled_from([*classes(), UNKNOWN]))
def test_further_class_never_makes_a_meeting_milder(first, second, more):
    if first and not meeting(first, second).may:
        assert not meeting([*first, more], second).may
