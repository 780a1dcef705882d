"""Measures: glass by its standard, a kitchen jug by practice, or what a person states."""

import pytest

from tersum.chemistry.measure import measure, tolerance_ml
from tersum.errors import OutOfRange, TersumError, UnknownName


@pytest.mark.parametrize(("text", "volume_ml", "half_width_ml", "known"), [
    ("kitchen jug", 238.0, 23.8, "practice"), ("Kitchen  Jug", 100.0, 10.0, "practice"), ("5 %", 200.0, 10.0, "stated"),
    ("2,5%", 200.0, 5.0, "stated"), ("2 ml", 200.0, 2.0, "stated"), ("cylinder A", 238.0, 1.0, "memory"),
    ("cylinder b", 238.0, 2.0, "memory"), ("cylinder B", 20.0, 0.5, "memory"), ("flask A", 1000.0, 0.4, "memory"),
    ("US graduated pipette A", 4.0, 0.02, "read"),
])
def test_measure_says_how_far_it_may_be_off_and_how_that_is_known(text, volume_ml, half_width_ml, known):
    found = measure(text)
    assert found.half_width_ml(volume_ml) == pytest.approx(half_width_ml, rel=1e-12) and found.known == known


def test_small_dose_in_a_large_cylinder_costs_what_the_cylinder_allows():
    """20 mL read on a 100 mL cylinder of class B, ±1 mL: 2.9 % standard uncertainty."""
    from tersum.chemistry.uncertainty import Quantity, rectangular
    assert Quantity(20.0, rectangular(tolerance_ml("cylinder", "B", 100))).relative == pytest.approx(0.029, abs=5e-4)


@pytest.mark.parametrize("kind", ["cylinder", "flask", "graduated pipette", "one-mark pipette", "burette"])
def test_class_b_is_twice_class_a(kind):
    from tersum.catalogue.load import table
    for nominal in table("glassware")[kind]["tolerance_a"].value:
        assert tolerance_ml(kind, "B", float(nominal)) == 2.0 * tolerance_ml(kind, "A", float(nominal))


@pytest.mark.parametrize("text", ["", "bucket", "cylinder", "cylinder C", "5 % or so", "US graduated pipette B",
                                  "-5 %", "51 %", "nan %", "1e1 ml", "x" * 10_000])
def test_measure_that_is_not_known_is_refused(text):
    with pytest.raises(TersumError) as refused:
        measure(text)
    assert "got " in str(refused.value)


def test_volume_that_no_vessel_holds_is_refused():
    with pytest.raises(OutOfRange, match="up to 2000 mL in a cylinder"):
        measure("cylinder A").half_width_ml(2001.0)
    with pytest.raises(OutOfRange):
        measure("5 ml").half_width_ml(4.0)
    with pytest.raises(OutOfRange, match="10, 50, 100"):
        tolerance_ml("flask", "A", 77)
    with pytest.raises(UnknownName):
        tolerance_ml("beaker", "A", 100)
    with pytest.raises(UnknownName):
        tolerance_ml("flask", "AS", 100)
