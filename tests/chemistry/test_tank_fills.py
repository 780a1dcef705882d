"""Solution for an area, and the fills of a tank that it takes."""

import pytest

from tersum.chemistry.tank_fills import tank_fills
from tersum.errors import OutOfRange


def test_fills_add_up_to_the_volume_needed():
    needed = tank_fills(24.0, 50.0, tank_l=0.6, loss_frac=0.15)
    assert needed.fills == 3 and 2 * 0.6 + needed.last_fill_l == pytest.approx(needed.volume_l, rel=1e-15)
    assert needed.volume_l * (1 - 0.15) == pytest.approx(24.0 * 0.050, rel=1e-12)


def test_area_that_comes_out_even_takes_no_fill_for_a_rounding_error():
    needed = tank_fills(30.0, 100.0, tank_l=0.3)
    assert needed.fills == 10 and needed.last_fill_l == pytest.approx(0.3, rel=1e-9)


def test_little_takes_one_fill():
    assert tank_fills(0.1, 1.0, tank_l=5.0).fills == 1


@pytest.mark.parametrize(("area", "rate", "tank", "loss"), [(0.0, 50, 1, 0), (-1, 50, 1, 0), (10, 0, 1, 0),
                                                            (10, 50, 0, 0), (10, 50, 1, 1.0), (10, 50, 1, -0.1),
                                                            (float("nan"), 50, 1, 0), (10, float("inf"), 1, 0)])
def test_job_without_meaning_is_refused(area, rate, tank, loss):
    with pytest.raises(OutOfRange):
        tank_fills(area, rate, tank_l=tank, loss_frac=loss)
