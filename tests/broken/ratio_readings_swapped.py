"""Reads parts of water as parts of the whole and the other way round."""

from tersum.chemistry import ratio

WHAT = '"1:n" and "1 in n" are read with their meanings swapped, a dose 5 % off at 1 to 20 and 25 % off at 1 to 4'
BREAKS = ["tests/properties/test_dilution_laws.py::test_parts_of_water_are_never_parts_of_the_whole",
          "tests/properties/test_dilution_laws.py::test_dilution_agrees_with_exact_fractions",
          "tests/chemistry/test_ratio.py::test_parts_of_water_and_part_of_the_whole_are_never_taken_for_each_other"]


def apply(monkeypatch):
    kept = ratio._share
    swapped = {"parts": "whole", "whole": "parts"}
    monkeypatch.setattr(ratio, "_share", lambda first, second, shape: kept(first, second, swapped.get(shape, shape)))
