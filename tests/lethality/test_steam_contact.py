"""Steam on a surface for seconds: conduction as the textbooks have it, an interval, nothing earned where it is cold."""

import math

import numpy as np
import pytest

from tersum.errors import OutOfRange, UnknownName
from tersum.lethality.heat import dose, dose_at
from tersum.lethality.steam_contact import (
    dwell_of_pass_s,
    material,
    materials,
    steam_contact,
    surface_temperature,
)


def by_steps(of, seconds, *, transfer, deep_m, cells=400):
    """Solve the slab by explicit steps in time: a second way to the same curve."""
    width = deep_m / cells
    diffusivity = of.conductivity / of.density / of.heat_capacity
    step = 0.2 * width**2 / diffusivity
    temps = np.full(cells, 20.0)
    count = math.ceil(seconds / step)
    step = seconds / count
    for _ in range(count):
        flux = np.empty(cells + 1)
        flux[0] = (100.0 - temps[0]) / (1.0 / transfer + width / 2.0 / of.conductivity)
        flux[1:-1] = of.conductivity * (temps[:-1] - temps[1:]) / width
        flux[-1] = 0.0
        temps = temps + step * (flux[:-1] - flux[1:]) / (of.density * of.heat_capacity * width)
    flux = (100.0 - temps[0]) / (1.0 / transfer + width / 2.0 / of.conductivity)
    return 100.0 - flux / transfer


@pytest.mark.parametrize(("name", "low", "high"), [
    ("hard plastic", (80, 90, 93), (96, 98, 99)), ("glass", (58, 75, 81), (88, 94, 96)),
    ("aluminium", (24, 28, 32), (37, 51, 59)), ("stainless steel", (31, 41, 47), (57, 74, 80)),
])
def test_half_space_gives_the_figures_worked_by_hand(name, low, high):
    for transfer, wanted in ((1000.0, low), (5000.0, high)):
        found = surface_temperature(material(name), [1.0, 5.0, 10.0], transfer_w_m2k=transfer)
        assert found == pytest.approx(wanted, abs=1.0)


@pytest.mark.parametrize(("name", "thickness_mm", "seconds"), [
    ("stainless steel", 0.8, 1.0), ("stainless steel", 3.0, 2.0), ("hard plastic", 2.0, 20.0)])
def test_sheet_agrees_with_a_solution_by_steps(name, thickness_mm, seconds):
    found = surface_temperature(material(name), seconds, transfer_w_m2k=1000.0, thickness_mm=thickness_mm)
    direct = by_steps(material(name), seconds, transfer=1000.0, deep_m=thickness_mm / 1000.0, cells=40)
    assert float(found[0]) == pytest.approx(direct, abs=0.15)


def test_thin_sheet_heats_as_one_lump():
    steel = material("stainless steel")
    lump = 100.0 - 80.0 * math.exp(-1000.0 * 5.0 / (steel.density * steel.heat_capacity * 0.0008))
    assert float(surface_temperature(steel, 5.0, transfer_w_m2k=1000.0, thickness_mm=0.8)[0]) == pytest.approx(
        lump, abs=0.6)


def test_curve_has_no_step_where_the_far_side_begins_to_be_felt():
    times = np.linspace(0.01, 5.0, 4000)
    curve = surface_temperature(material("stainless steel"), times, transfer_w_m2k=5000.0, thickness_mm=3.0)
    assert (np.diff(curve) > 0).all() and np.abs(np.diff(curve, 2)).max() < 0.05


def test_sheet_is_never_cooler_than_a_thick_piece():
    times = np.linspace(0.0, 20.0, 50)
    for thickness in (0.5, 2.0, 10.0):
        sheet = surface_temperature(material("aluminium"), times, transfer_w_m2k=1000.0, thickness_mm=thickness)
        thick = surface_temperature(material("aluminium"), times, transfer_w_m2k=1000.0)
        assert (sheet >= thick - 1e-3).all()


def test_heavy_metal_earns_nothing_and_dry_plastic_something():
    assert steam_contact("aluminium", 5.0).dose == (0.0, 0.0)
    plastic = steam_contact("hard plastic", 5.0)
    assert 0.0 < plastic.dose[0] < plastic.dose[1] < float(dose_at(100.0, 5.0, counted=dose("A0")))


def test_soaked_cloth_heats_more_slowly_than_dry_cloth():
    assert steam_contact("seat cloth, soaked", 5.0).dose[0] < steam_contact("seat cloth, dry", 5.0).dose[0]


def test_longer_dwell_never_amounts_to_less():
    for name in materials():
        doses = [steam_contact(name, seconds).dose for seconds in (1.0, 3.0, 9.0, 27.0)]
        assert doses == sorted(doses)


def test_dwell_is_footprint_over_speed():
    assert dwell_of_pass_s(5.0, 2.5) == 2.0


@pytest.mark.parametrize("wrong", [{"dwell_s": 0.0}, {"start_c": 120.0}, {"transfer_w_m2k": (5000.0, 1000.0)},
                                   {"thickness_mm": 0.0}, {"dwell_s": 1e4}])
def test_what_makes_no_sense_is_refused(wrong):
    with pytest.raises(OutOfRange):
        steam_contact("glass", **{"dwell_s": 5.0, **wrong})


def test_unknown_material_is_refused_with_those_held():
    with pytest.raises(UnknownName, match="hard plastic"):
        steam_contact("marble", 5.0)
