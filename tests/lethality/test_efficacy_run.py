"""Runs of every kind of test: what was noted has to fit the test, and the neutraliser can undo any result."""

import math
from dataclasses import replace

import pytest

from tersum.errors import OutOfRange
from tersum.lethality.efficacy import requirements
from tersum.lethality.efficacy_run import (
    GROWTH_METHODS,
    LAYOUTS,
    Batch,
    Carriers,
    Growth,
    NeutraliserArms,
    Run,
    Surface,
    Suspension,
    Virus,
    activity_flags,
    layout,
    run_result,
)
from tersum.lethality.suspension import Controls
from tersum.lethality.titre import spearman_kaerber, wells

GOOD_ARMS = NeutraliserArms((60, 61, 62), (60, 58, 62), (60, 62, 61))
PLATES = Suspension((168, 213), (20, 25), 1e-6, (3, 8), Controls(96, 60, 52, 52))
SUSPENSION = Run("EN 1276 bactericidal", "P. aeruginosa", "1 %", 5.0, PLATES)
SURFACE = Run("EN 13697 bactericidal", "S. aureus", "1 %", 5.0, Surface((4e6, 5e6), (40, 50), 10.0))
WIPE = Run("EN 16615 bactericidal", "S. aureus", "1 %", 1.0, Surface((4e6, 5e6), (0, 0), 10.0, 12.0, 200.0))
ROOM = Run("EN 17272 medical bactericidal", "S. aureus", "fog", 60.0,
           Surface((4e6, 5e6), (0, 0), 10.0, room_m3=40.0, distribution_met=True))
GROWTH = Run("use-dilution, S. aureus", "S. aureus", "1 %", 10.0,
             Growth((Batch(2, 60, 6.4), Batch(3, 60, 6.5), Batch(1, 60, 6.6))))
CARRIERS = Run("OCSPP 810.2300 food-contact sanitiser", "E. coli", "1 %", 0.5,
               Carriers((6.5, 6.6, 6.4), (10.0, 12.0, 9.0)))


def titre(positive, first=-1):
    of = [8] * len(positive)
    return spearman_kaerber(wells([first - place for place in range(len(positive))], positive, of, inoculum_ml=0.1))


VIRUS = Run("EN 14476 virucidal", "vaccinia", "1 %", 5.0,
            Virus(titre([8, 8, 8, 8, 8, 4, 0]), titre([0, 0, 0, 0, 0, 0, 0])))
EVERY = pytest.mark.parametrize("run", [SUSPENSION, SURFACE, WIPE, ROOM, GROWTH, CARRIERS, VIRUS],
                                ids=lambda run: run.test)


@EVERY
def test_each_kind_of_test_is_met_by_a_good_run(run):
    assert run_result(run).answer == "met"


@EVERY
def test_neutraliser_that_fails_makes_any_run_invalid(run):
    assert run_result(replace(run, neutraliser=GOOD_ARMS)).answer == "met"
    found = run_result(replace(run, neutraliser=replace(GOOD_ARMS, effectiveness=(10, 12, 9))))
    assert found.answer == "invalid" and "neutraliser-effectiveness" in [one.code for one in found.failing]


@EVERY
def test_neutraliser_that_nobody_checked_is_said_but_where_the_test_checks_it(run):
    assert ("neutraliser-not-checked" in run_result(run).flags) is (run is not SUSPENSION)


@EVERY
def test_every_measured_reduction_has_a_lower_limit_or_says_why_not(run):
    found = run_result(run)
    if found.reduction.operator == "=" and math.isnan(found.details["lower_log10"]):
        assert {"no-replicates", "log-of-mean"} & set(found.flags)
    else:
        assert found.reduction.operator != "=" or found.details["lower_log10"] < found.reduction.value


def test_every_test_of_the_catalogue_has_a_layout():
    assert {layout(one) for one in (*requirements(), *GROWTH_METHODS)} == set(LAYOUTS)


def test_spores_need_the_range_of_their_suspension_from_the_file():
    run = replace(SUSPENSION, test="EN 13704 sporicidal")
    with pytest.raises(OutOfRange, match="suspension_range"):
        run_result(run)
    found = run_result(replace(run, data=replace(PLATES, density_range=(1e8, 5e8))))
    assert found.answer == "met" and "range-of-the-suspension-as-stated-in-the-file" in found.flags


def test_virus_control_too_low_is_not_assessable():
    found = run_result(replace(VIRUS, data=replace(VIRUS.data, control=titre([8, 8, 8, 4, 0, 0, 0]))))
    assert found.answer == "not-assessable"


def test_us_virus_claim_wants_no_effect_in_any_dilution():
    run = replace(VIRUS, test="OCSPP 810.2200 virucidal")
    assert run_result(run).answer == "met"
    found = run_result(replace(run, data=replace(run.data, test=titre([8, 1, 0, 0, 0, 0, 0]))))
    assert found.answer == "not-met" and "effect-in-a-dilution" in found.flags
    european = run_result(replace(run, test="EN 14476 virucidal", data=Virus(titre([8] * 6 + [4]),
                                                                             titre([8, 1, 0, 0, 0, 0, 0]))))
    assert european.answer == "met"


def test_worst_batch_speaks_and_fewer_than_three_are_said():
    one_bad = replace(GROWTH, data=Growth((Batch(2, 60, 6.4), Batch(4, 60, 6.5), Batch(1, 60, 6.6))))
    assert run_result(one_bad).answer == "not-met"
    one_invalid = replace(GROWTH, data=Growth((Batch(2, 60, 6.4), Batch(4, 60, 5.5), Batch(1, 60, 6.6))))
    assert run_result(one_invalid).answer == "invalid"
    assert "fewer-than-three-batches" in run_result(replace(GROWTH, data=Growth((Batch(2, 60, 6.4),)))).flags
    assert "fewer-than-three-batches" not in run_result(GROWTH).flags


def test_series_that_shows_no_strength_below_the_requirement_says_so():
    weak = replace(SUSPENSION, strength="0.1 %", data=replace(PLATES, plates=(300, 310)))
    def flags(*runs):
        return activity_flags(runs, [run_result(one) for one in runs])

    assert flags(SUSPENSION, weak) == ()
    assert flags(SUSPENSION) == ("one-strength-only", "no-strength-below-the-requirement")
    assert flags(SUSPENSION, replace(SUSPENSION, strength="2 %")) == ("no-strength-below-the-requirement",)
    assert flags(SURFACE) == () == flags(weak)


@pytest.mark.parametrize("run", [
    replace(WIPE, data=replace(WIPE.data, spread_cfu_25cm2=None)), replace(ROOM, data=replace(ROOM.data, room_m3=None)),
    replace(GROWTH, data=Growth(())), replace(SURFACE, data=replace(SURFACE.data, water=(6.5, 6.6))),
])
def test_what_a_test_needs_and_does_not_get_is_refused(run):
    with pytest.raises(OutOfRange, match="accepted"):
        run_result(run)
