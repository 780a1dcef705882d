"""Temperature factors hold between the temperatures that were tested and nowhere else."""

import pytest

from tersum.errors import OutOfRange
from tersum.lethality.temperature import temperature_factor, time_at


def test_ten_degrees_at_q10_of_two_halve_the_time():
    assert time_at(10.0, at_c=20.0, wanted_c=30.0, q10=2.0, tested_c=(10.0, 30.0)) == pytest.approx(5.0)


def test_factor_follows_from_two_times():
    found = temperature_factor(8.0, 2.0, slow_at_c=10.0, fast_at_c=30.0)
    assert found.q10 == pytest.approx(2.0) and found.theta == pytest.approx(2.0 ** 0.1)


@pytest.mark.parametrize(("at_c", "wanted_c"), [(20.0, 5.0), (20.0, 45.0), (5.0, 20.0)])
def test_nothing_is_scaled_beyond_the_tested_temperatures(at_c, wanted_c):
    with pytest.raises(OutOfRange, match="the tested temperatures, 15 to 25"):
        time_at(5.0, at_c=at_c, wanted_c=wanted_c, q10=2.0, tested_c=(15.0, 25.0))


def test_two_times_at_one_temperature_give_no_factor():
    with pytest.raises(OutOfRange, match="another temperature"):
        temperature_factor(8.0, 2.0, slow_at_c=10.0, fast_at_c=10.0)
