"""Fingerprint of buffers.toml and ph_meter.toml."""

import pytest

from tersum.catalogue.load import table


def listed(name):
    return [float(ph) for ph in table("buffers")[name]["ph"].value.values()]


def test_tables_of_the_nist_scale():
    for name, rows, total, low, high in (("phosphate", 9, 61.885, 6.833, 6.951), ("borax", 9, 82.714, 9.011, 9.395),
                                         ("carbonate", 9, 90.209, 9.828, 10.245)):
        values = listed(name)
        assert len(values) == rows and sum(values) == pytest.approx(total, abs=5e-4)
        assert (min(values), max(values)) == (low, high)


def test_number_of_entries_per_scale():
    scales = [entry.labels["scale"] for entry in table("buffers").values()]
    assert (scales.count("nist"), scales.count("hj-1147"), len(scales)) == (7, 5, 12)


def test_other_scale_agrees_within_what_is_said():
    for name in ("phosphate", "borax", "calcium hydroxide", "tetroxalate"):
        other = table("buffers")[f"{name}, HJ 1147"]["ph"].value
        for temp, ph in other.items():
            assert float(table("buffers")[name]["ph"].value[temp]) == pytest.approx(ph, abs=0.0065)


def test_acceptance_figures_are_marked_as_practice():
    entry = table("ph_meter")["acceptance"]
    assert [entry[name].known for name in ("slope_good_low", "slope_replace", "offset")] == ["practice"] * 3
    assert [entry[name].number for name in entry] == [95.0, 102.0, 90.0, 30.0, 0.05, 1.0]
