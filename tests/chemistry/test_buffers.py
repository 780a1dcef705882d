"""Set values of buffers at their temperature."""

import pytest

from tersum.chemistry.buffers import names, scales, set_value
from tersum.errors import OutOfRange, UnknownName


@pytest.mark.parametrize(("name", "temp_c", "ph"), [
    ("phthalate", 5, 4.004), ("phthalate", 10, 4.000), ("phthalate", 25, 4.006), ("phthalate", 37, 4.025),
    ("phthalate", 50, 4.057), ("phosphate", 20, 6.881), ("borax", 40, 9.068), ("carbonate", 30, 9.966),
    ("citrate", 25, 3.776), ("tetroxalate", 25, 1.679), ("calcium hydroxide", 25, 12.454),
])
def test_set_value_is_that_of_the_table_at_the_measured_temperature(name, temp_c, ph):
    assert set_value(name, temp_c).ph == pytest.approx(ph, abs=0.001)


def test_between_two_temperatures_lies_a_straight_line():
    assert set_value("borax", 12.0).ph == pytest.approx(9.332 + 0.4 * (9.276 - 9.332))


def test_name_may_be_the_composition_in_any_capitals():
    assert set_value("kh Phthalate 0.05 mol/kg", 25.0) == set_value("phthalate", 25.0)


def test_two_scales_differ_in_the_third_decimal_and_are_kept_apart():
    ours, other = set_value("phthalate", 25.0), set_value("phthalate", 25.0, scale="hj-1147")
    assert 0.002 < ours.ph - other.ph < 0.006 and ours.source != other.source
    assert scales() == ("hj-1147", "nist") and "carbonate" not in names("hj-1147")


@pytest.mark.parametrize(("name", "temp_c", "told"), [
    ("phosphate", 4.0, "5 to 50 °C"), ("phthalate", 61.0, "0 to 60 °C"), ("citrate", 20.0, "only temperature known"),
])
def test_temperature_outside_the_table_is_refused(name, temp_c, told):
    with pytest.raises(OutOfRange, match=told):
        set_value(name, temp_c)


def test_technical_buffer_is_not_known_and_near_names_are_offered():
    with pytest.raises(UnknownName, match="phosphate"):
        set_value("phosphat", 25.0)
    with pytest.raises(UnknownName):
        set_value("7.00", 25.0)
    with pytest.raises(UnknownName, match="nist"):
        set_value("phosphate", 25.0, scale="nst")
