"""Laws of use-by times."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from tersum.chemistry.decay import decay
from tersum.chemistry.use_by import conservative_h, use_by

SERIES = decay([0, 24, 48, 72, 96], [1000, 905, 822, 738, 672])
WIDER = st.floats(1.0, 20.0)


@given(WIDER, WIDER, st.sampled_from([1, 2]), st.floats(50.0, 990.0))
def test_wider_interval_never_makes_the_use_by_later(wider_rate, wider_start, order, floor):
    """Knowing the rate or the start less well can only shorten the time of use."""
    fit = SERIES.first if order == 1 else SERIES.second
    less = replace(fit, standard_uncertainty=fit.standard_uncertainty * wider_rate,
                   standard_uncertainty_mg_l=fit.standard_uncertainty_mg_l * wider_start)
    assert conservative_h(less, floor_mg_l=floor) <= conservative_h(fit, floor_mg_l=floor)


@given(st.floats(50.0, 990.0), st.floats(0.0, 400.0), st.one_of(st.none(), st.floats(0.1, 500.0)))
def test_higher_floor_never_makes_the_use_by_later(floor, higher, label):
    """Asking for more strength can only shorten the time of use."""
    assert use_by(SERIES, floor_mg_l=floor + higher, label_life_h=label).hours <= use_by(
        SERIES, floor_mg_l=floor, label_life_h=label).hours


@given(st.floats(50.0, 990.0), st.floats(0.1, 500.0))
def test_label_life_is_never_exceeded(floor, label):
    """What the label allows is the most."""
    assert use_by(SERIES, floor_mg_l=floor, label_life_h=label).hours <= label


@given(st.floats(0.01, 100.0))
def test_unit_of_strength_changes_no_time(scale):
    """Grams or milligrams, the hours are the same."""
    scaled = decay([0, 24, 48, 72, 96], [scale * one for one in (1000, 905, 822, 738, 672)])
    first, second = (use_by(one, floor_mg_l=floor).hours for one, floor in ((SERIES, 700.0), (scaled, 700.0 * scale)))
    assert abs(first - second) < 1e-6 * first
