"""Air in a closed space: the box against an integrator, limits, the task, and entering again."""

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from tersum.catalogue.load import product
from tersum.chemistry import exposure, reentry
from tersum.chemistry.air import (
    Box,
    below_from_min,
    concentration_mg_m3,
    highest_mean_mg_m3,
    mean_mg_m3,
    peak_mg_m3,
    ppm_of,
    purge_min,
    source,
)
from tersum.chemistry.air_limits import SETS, all_limits, limits_for
from tersum.chemistry.drying_film import drying_film, strength_in_film
from tersum.chemistry.exposure import NotCovered, Space, Task, air_of_task, clear_from_min, volatile_mg_l
from tersum.chemistry.ratio import parse_ratio
from tersum.chemistry.reentry import re_entry
from tersum.errors import Faults, OutOfRange, UnknownName

SOURCES = [source(60.0, until_min=25.0), source(60.0, falling_per_min=0.05), source(60.0, falling_per_min=0.03)]
BOXES = [Box(3.0, 6.0), Box(3.0, 1.8, start_mg_m3=4.0), Box(20.0, 0.0), Box(6.0, 20.0, mixing=0.3)]


@pytest.mark.parametrize("given", SOURCES)
@pytest.mark.parametrize("box", BOXES)
def test_box_is_what_an_integrator_makes_of_its_balance(box, given):
    def rate(time, held):
        going_in = (given.mass_mg * given.falling_per_min * math.exp(-given.falling_per_min * time)
                    if given.falling_per_min else given.mass_mg / given.until_min * (time < given.until_min))
        return going_in / box.volume_m3 - box.per_min * held

    times = np.array([1.0, 10.0, 25.0, 40.0, 120.0])
    found = solve_ivp(rate, (0.0, 120.0), [box.start_mg_m3], t_eval=times, rtol=1e-9, atol=1e-10, max_step=1.0)
    ours = [concentration_mg_m3(box, given, time) for time in times]
    assert ours == pytest.approx(found.y[0], rel=2e-3, abs=1e-6)


@pytest.mark.parametrize("given", SOURCES)
@pytest.mark.parametrize("box", BOXES)
def test_means_and_peaks_are_those_of_a_fine_grid(box, given):
    grid = np.linspace(0.0, 800.0, 80_001)
    held = np.array([concentration_mg_m3(box, given, time) for time in grid])
    assert peak_mg_m3(box, given)[0] == pytest.approx(held.max(), rel=3e-3)
    means = [held[place:place + 1501].mean() for place in range(0, 78_000, 10)]
    assert highest_mean_mg_m3(box, given) == pytest.approx(max(means), rel=2e-3)
    area, _error = quad(lambda time: concentration_mg_m3(box, given, time), 5.0, 60.0, points=[25.0])
    assert mean_mg_m3(box, given, 5.0, 60.0) == pytest.approx(area / 55.0, rel=1e-6)


def test_rates_that_are_all_but_the_same_are_no_trouble():
    box = Box(3.0, 6.0)  # 0.1 per min
    beside = [concentration_mg_m3(box, source(60.0, falling_per_min=0.1 + shift), 10.0) for shift in (-1e-9, 0.0, 1e-9)]
    assert beside == pytest.approx([60.0 * 0.1 / 3.0 * 10.0 * math.exp(-1.0)] * 3, rel=1e-7)


def test_air_is_below_a_limit_from_then_on_and_not_before():
    box, given = Box(6.0, 4.0, mixing=0.4), source(100.0, until_min=20.0)
    at = below_from_min(box, given, 1.0)
    assert concentration_mg_m3(box, given, at + 1e-6) <= 1.0 < concentration_mg_m3(box, given, at - 1e-3)
    assert below_from_min(Box(6.0, 0.0), given, 1.0) == math.inf and below_from_min(box, given, 1e6) == 0.0


def test_source_goes_on_while_fabric_is_wet():
    """Ten minutes of work on seats that dry for an hour: nobody enters before the hour and the airing after it."""
    found = air_of_task(Space(6.0, 4.0, 0.4), Task(20.0, 10.0, 60.0), {"acetic acid": 4000.0}, limits="niosh-rel")
    assert found.source_until_min == 70.0
    strictest = min(limit.mg_m3 for limit in found.actives[0].limits.limits)
    assert clear_from_min(found) == below_from_min(found.box, source(80.0, until_min=70.0), 0.1 * strictest) > 70.0


def test_longer_drying_never_makes_the_air_look_better():
    """A volatile active leaves the film early: an even source over a day would hide its peak."""
    found = [air_of_task(Space(6.0, 2.0, 0.4), Task(10.0, 10.0, drying), {"peracetic acid": 2000.0}, limits="acgih-tlv")
             for drying in (0.0, 10.0, 60.0, 240.0, 1440.0)]
    assert {one.verdict for one in found} == {exposure.ABOVE}
    assert len({one.actives[0].peak_mg_m3 for one in found}) == 1


@pytest.mark.parametrize("chosen", ["osha-pel", "niosh-rel"])
@pytest.mark.parametrize(("name", "g_l"), [("propan-2-ol", 550.0), ("ethanol", 600.0)])
def test_list_that_only_knows_a_shift_does_not_hide_a_dangerous_peak(chosen, name, g_l):
    found = air_of_task(Space(3.0, 6.0, 0.3), Task(40.0, 5.0, 1.0), {name: 1000.0 * g_l}, limits=chosen)
    assert found.actives[0].danger_share >= 1.0 and found.verdict == exposure.ABOVE
    assert "short" in {limit.kind for limit, _share in found.actives[0].shares}


@pytest.mark.parametrize("chosen", SETS)
def test_list_that_is_silent_is_no_leave(chosen):
    found = limits_for("peracetic acid", chosen)
    assert found.silent == (chosen != "acgih-tlv") and found.limits


def test_every_pair_fits_its_ppm():
    """A legal pair is rounded, and lists convert at 20 or 25 degrees: 12 % apart at most, or a slip of a key."""
    mass = {"hydrogen peroxide": 34.0147, "acetic acid": 60.052, "peracetic acid": 76.0514, "chlorine": 70.906,
            "ammonia": 17.031, "ethanol": 46.068, "propan-2-ol": 60.095}
    pairs = [one for name in mass for one in all_limits(name) if one.mg_m3 is not None]
    assert len(pairs) > 25
    for one in pairs:
        assert ppm_of(one.mg_m3, mass[one.substance]) == pytest.approx(one.ppm, rel=0.12), one


def test_chosen_list_decides_and_an_unknown_one_is_refused():
    assert limits_for("ammonia", "eu-ioelv").of_kind("short").ppm == 50.0
    assert limits_for("ammonia", "acgih-tlv").of_kind("short").ppm == 35.0
    with pytest.raises(UnknownName):
        limits_for("ammonia", "mak")


def test_ingredient_without_a_limit_cannot_be_judged():
    found = air_of_task(Space(6.0, 4.0), Task(20.0, 10.0, 10.0), {"an oil": 100.0}, limits="acgih-tlv")
    assert found.verdict == exposure.CANNOT_TELL and clear_from_min(found) is None


def test_irritants_add_up_though_each_is_below_its_limit():
    space, task = Space(60.0, 30.0), Task(1000.0, 10.0, 10.0)
    each = {"peracetic acid": 90.0, "hydrogen peroxide": 1000.0, "acetic acid": 2000.0}
    found = air_of_task(space, task, each, limits="acgih-tlv")
    assert {one.verdict for one in found.actives} == {exposure.BELOW}
    assert found.irritants > 1.0 and found.verdict == exposure.ABOVE
    alone = [clear_from_min(air_of_task(space, task, {name: value}, limits="acgih-tlv"))
             for name, value in each.items()]
    assert clear_from_min(found) > max(alone)


@pytest.mark.parametrize("way", ["fogged", "ozone"])
def test_fogging_and_ozone_are_not_covered(way):
    with pytest.raises(NotCovered):
        air_of_task(Space(6.0, 4.0), Task(20.0, 10.0, 10.0, way), {"acetic acid": 100.0}, limits="acgih-tlv")


@pytest.mark.parametrize("way", ["sprayed", "steamed"])
def test_oxidiser_in_droplets_with_somebody_inside_is_not_covered(way):
    closed = Task(20.0, 10.0, 10.0, way, occupied_closed=True)
    with pytest.raises(NotCovered):
        air_of_task(Space(6.0, 4.0), closed, {"peracetic acid": 100.0}, limits="acgih-tlv")
    assert air_of_task(Space(6.0, 4.0), closed, {"acetic acid": 100.0}, limits="acgih-tlv").actives
    assert air_of_task(Space(6.0, 4.0), Task(20.0, 10.0, 10.0, way), {"peracetic acid": 100.0}, limits="acgih-tlv")


def test_salts_and_alkali_stay_in_the_film():
    assert "sodium hydroxide" not in volatile_mg_l(product("Demo Cleaner B"))
    found = volatile_mg_l(product("Demo Concentrate A"), parse_ratio("1+20"))
    assert found["peracetic acid"] == pytest.approx(43600.0 * 1.1 / 21.0)


def test_everything_wrong_is_told_at_once():
    with pytest.raises(Faults) as caught:
        air_of_task(Space(-1.0, -1.0, 2.0), Task(0.0, 0.0, -1.0, "poured"), {"acetic acid": -1.0}, limits="acgih-tlv")
    assert {one.field for one in caught.value.faults} == {
        "volume_m3", "changes_per_h", "mixing", "applied_ml", "work_min", "drying_min", "acetic acid", "way"}
    with pytest.raises(OutOfRange, match="air changes"):
        Box(3.0, -2.0)
    with pytest.raises(OutOfRange, match="either"):
        source(10.0)


def test_entering_again_is_the_longest_of_three_and_never_a_countdown():
    known = {"ventilation_known": True, "dry_or_rinsed": True, "aired": True}
    assert re_entry(label_min=60.0, model_min=20.0, **known).least_min == 60.0
    assert re_entry(label_min=0.0, model_min=20.0, **known).decides == "model"
    assert re_entry(label_min=10.0, model_min=20.0, ventilation_known=True).open == (
        reentry.NOT_DRY, reentry.NOT_AIRED)


@pytest.mark.parametrize(("label", "model", "ventilation", "code"), [
    (30.0, 20.0, False, reentry.NO_VENTILATION), (None, 20.0, True, reentry.NO_LABEL),
    (30.0, None, True, reentry.NO_LIMIT)])
def test_entering_again_cannot_be_told_while_one_of_the_three_is_not_known(label, model, ventilation, code):
    found = re_entry(label_min=label, model_min=model, ventilation_known=ventilation, dry_or_rinsed=True, aired=True)
    assert found.answer == reentry.CANNOT_TELL and code in found.open


def test_space_that_nothing_airs_does_not_clear():
    assert re_entry(label_min=30.0, model_min=math.inf, ventilation_known=True).answer == reentry.NEVER
    assert purge_min(1.0, 0.1, 0.0) == math.inf


def test_film_dries_sooner_in_dry_moving_air_and_never_in_wet_still_air():
    there = {"film_c": 20.0, "air_c": 20.0}
    assert (drying_film(20.0, humidity_pct=20.0, air_m_s=1.0, **there).drying_min
            < drying_film(20.0, humidity_pct=50.0, **there).drying_min < 10.0)
    assert drying_film(20.0, humidity_pct=100.0, **there).drying_min == math.inf


def test_drying_film_loses_its_peracid_and_concentrates_its_peroxide():
    """At nine tenths dry the peroxide is near ten times as strong: residues pass limits that the mix never had."""
    assert strength_in_film("peracetic acid", 25.0, 0.1) < 0.1 < 9.0 < strength_in_film("hydrogen peroxide", 25.0, 0.1)
