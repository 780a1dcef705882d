"""What a trial shows: hard cases, and what may not be said."""

import math

import numpy as np
import pytest

from tersum.documents.trial_text import comparison_lines
from tersum.errors import Faults, OutOfRange, UnknownName
from tersum.evidence.comparison import CANNOT_TELL, LESS, NOT_SHOWN, Asked, compare
from tersum.evidence.trial import APART, PANEL, VEHICLE, TrialReading, units_of
from tersum.evidence.trial_remarks import AsDone

PAIRS = [(90, 210), (120, 200), (60, 150), (80, 230), (100, 260), (70, 190), (110, 310), (95, 220)]


def rows(pairs=PAIRS, vehicle=None, before=(400, 400)):
    return [TrialReading(vehicle or f"van {n % 3}", f"seat {n}", side, arm, 1, _bounds(after), _bounds(start))
            for n, pair in enumerate(pairs)
            for side, arm, after, start in (("left", "a", pair[0], before[0]), ("right", "b", pair[1], before[1]))]


def _bounds(value):
    return value if isinstance(value, tuple) else (float(value), float(value))


def only(readings, asked=None):
    return compare(units_of(readings), asked or Asked("b")).contrasts[0]


def words(readings, asked=None):
    return "\n".join(comparison_lines(compare(units_of(readings), asked or Asked("b"))))


def test_a_clear_difference_is_a_ratio_with_its_interval():
    found = only(rows())
    low, high = found.ratio_interval
    assert found.verdict == LESS and low < found.ratio < high < 1.0
    assert found.ratio == pytest.approx(math.exp(np.mean([math.log(one / other) for one, other in PAIRS])), rel=0.05)
    assert found.rerandomised.exact and found.rerandomised.total == 2**8
    assert "a leaves about" in words(rows())


def test_one_pair_cannot_tell_and_says_how_many_would_do():
    found = only(rows(PAIRS[:1]))
    assert found.verdict == CANNOT_TELL and found.pairs == 1 and found.pairs_needed > 5
    assert math.isnan(found.p) and found.low_log10 < 0.0 < found.high_log10
    text = words(rows([(1, 10000)]))
    assert "Cannot tell a from b: 1 pair" in text and "pairs would find a factor of 2" in text
    assert "leaves about" not in text and "better" not in text


def test_many_swabs_of_one_panel_are_still_one_pair():
    readings = [TrialReading("van", "seat", side, arm, swab, (rlu, rlu))
                for side, arm, rlu in (("left", "a", 50.0), ("right", "b", 200.0)) for swab in range(1, 11)]
    assert only(readings).verdict == CANNOT_TELL


def test_two_pairs_are_too_few_to_show_but_have_an_interval_of_their_own():
    found = only(rows(PAIRS[:2]))
    assert found.verdict in (NOT_SHOWN, LESS) and found.degrees_of_freedom == 1
    assert "Re-randomisation" in words(rows(PAIRS[:2])) and "no p-value below 0.5" in words(rows(PAIRS[:2]))


def test_no_difference_is_never_called_alike():
    text = words(rows([(100, 110), (120, 100), (90, 95), (130, 140), (80, 75), (105, 100)]))
    assert "No difference between a and b is shown" in text and "no evidence that the two are alike" in text


def test_alike_is_said_only_within_a_margin_set_beforehand():
    pairs = [(100, 103), (120, 118), (90, 92), (130, 128), (80, 81), (105, 104)]
    text = words(rows(pairs), Asked("b", margin_log10=math.log10(1.25)))
    assert "the two are alike" in text
    assert "a is not worse than b by the margin" in words(rows(), Asked("b", margin_log10=math.log10(1.25)))
    assert "Not shown to be alike" in words(rows(), Asked("a", margin_log10=math.log10(1.25)))


@pytest.mark.parametrize("margin", [1.0, 0.8])
def test_a_margin_of_1_or_below_is_refused(margin):
    with pytest.raises(OutOfRange, match="a factor above 1"):
        compare(units_of(rows()), Asked("b", margin_log10=math.log10(margin)))


def test_constant_readings_cannot_tell():
    assert only(rows([(100, 100)] * 6)).why == "constant-readings"
    assert "no scatter at all" in words(rows([(100, 100)] * 6))


def test_all_below_detection_cannot_tell():
    assert only(rows([((0.0, 5.0), (0.0, 5.0))] * 8)).why == "nothing-measured"


def test_inequalities_enter_as_such_and_are_said():
    readings = rows([((0.0, 40.0), 210), (120, 200), ((0.0, 40.0), 150), *PAIRS[3:]])
    found = compare(units_of(readings), Asked("b"))
    assert found.model.method == "censored-likelihood" and found.contrasts[0].verdict == LESS
    # "Below 40" says more than 40 would: the ratio is lower than with 40 in its place.
    assert found.contrasts[0].ratio < only(rows([(40, 210), (120, 200), (40, 150), *PAIRS[3:]])).ratio
    assert "2 of 16 after readings lie outside the meter's range" in words(readings)


def test_a_lacking_arm_is_said_and_the_rest_compared():
    readings = rows()[:-1]
    found = compare(units_of(readings), Asked("b"))
    assert found.contrasts[0].pairs == 7 and found.contrasts[0].verdict == LESS
    assert "1 of 8 panels lack one of the treatments" in words(readings)


def test_one_vehicle_says_nothing_of_others():
    assert "All panels are in van 7: nothing is shown of other vehicles" in words(rows(vehicle="van 7"))


def test_a_missing_before_reading_is_said_and_none_is_adjusted_for():
    readings = [TrialReading(one.vehicle, one.panel, one.part, one.arm, one.swab, one.after_rlu) for one in rows()]
    found = compare(units_of(readings), Asked("b"))
    assert found.model.before_slope is None and "have no usable before reading" in words(readings)


def test_unequal_starts_are_said():
    assert "a started on parts with 4 times the dirt of b's" in words(rows(before=(1600, 400)))


def test_panels_picked_because_dirty_are_said():
    assert "picked by their readings" in words(rows(), Asked("b", done=AsDone(picked_dirty=True)))


def test_an_untreated_arm_that_fell_is_said():
    readings = [one for one in rows()] + [
        TrialReading(f"van {n % 3}", f"seat {n}", "third", "nothing", 1, _bounds(200 + n), _bounds(400 + 3 * n))
        for n in range(8)]
    text = words(readings, Asked("b", done=AsDone(untreated="nothing")))
    assert "nothing, which was not treated, fell by a factor of" in text


def test_unknown_recovery_is_said_before_anything_else():
    assert words(rows()).startswith("Not tested whether what a, b left on the surface upsets the reading")
    known = Asked("b", done=AsDone(recovery={"a": (0.9, 0.05), "b": (1.0, 0.05)}))
    assert "Not tested" not in words(rows(), known)


def test_a_recovery_of_a_half_doubles_what_its_arm_leaves():
    """Residue that halves the light is no half of the dirt."""
    plain, known = only(rows()), only(rows(), Asked("b", done=AsDone(recovery={"a": (0.5, 0.05), "b": (1.0, 0.05)})))
    assert known.ratio == pytest.approx(2.0 * plain.ratio)
    assert known.standard_error > plain.standard_error


@pytest.mark.parametrize("share", [(0.0, 0.0), (0.5, 0.6), (11.0, 0.1)])
def test_a_recovery_that_is_none_is_refused(share):
    with pytest.raises(OutOfRange):
        compare(units_of(rows()), Asked("b", done=AsDone(recovery={"a": share})))


@pytest.mark.parametrize("asked", [Asked("c"), Asked("b", done=AsDone(untreated="z")),
                                   Asked("b", done=AsDone(recovery={"z": (0.5, 0.1)}))])
def test_an_arm_that_is_not_in_the_trial_is_refused(asked):
    with pytest.raises(UnknownName):
        compare(units_of(rows()), asked)


def test_treatments_that_meet_in_no_panel_are_compared_within_vehicles():
    readings = [TrialReading(f"van {v}", f"seat {s}", "all", "a" if s % 2 else "b", 1, _bounds((80 if s % 2 else 200)
                             + 7 * v + 3 * s)) for v in range(5) for s in range(4)]
    units = units_of(readings)
    assert units.level == VEHICLE and compare(units, Asked("b")).contrasts[0].pairs == 5


def test_a_treatment_of_whole_vehicles_counts_vehicles():
    readings = [TrialReading(f"van {v}", f"seat {s}", "all", "a" if v < 3 else "b", 1, _bounds((80 if v < 3 else 200)
                             + 11 * v + 3 * s)) for v in range(6) for s in range(10)]
    units = units_of(readings)
    found = compare(units, Asked("b"), rng=np.random.default_rng(1))
    assert units.level == APART and found.contrasts[0].degrees_of_freedom == 4 and found.contrasts[0].pairs == 3
    assert "6 vehicles are what counts" in "\n".join(comparison_lines(found))


def test_several_arms_pay_for_their_number():
    rng = np.random.default_rng(2)
    readings = [TrialReading(f"van {n % 4}", f"seat {n}", arm, arm, 1, _bounds(10 ** (2 + shift + rng.normal(0, 0.15))))
                for n in range(10) for arm, shift in (("a", -0.2), ("b", 0.0), ("c", -0.1))]
    units = units_of(readings)
    assert units.level == PANEL
    dunnett, every = compare(units, Asked("b")), compare(units, Asked("b", all_pairs=True))
    assert len(dunnett.contrasts) == 2 and len(every.contrasts) == 3
    assert all(one.adjusted_p > one.p for one in dunnett.contrasts)
    width = [one.high_log10 - one.low_log10 for one in dunnett.contrasts + every.contrasts[:2]]
    assert width[2] > width[0] > 2 * 2.101 * dunnett.contrasts[0].standard_error


def test_arms_may_be_told_in_any_order():
    """The result does not hang on the order of the rows."""
    there, back = only(rows()), only(rows()[::-1])
    assert there.ratio == pytest.approx(back.ratio, rel=1e-5)
    assert there.high_log10 == pytest.approx(back.high_log10, rel=1e-4)


@pytest.mark.parametrize(("readings", "told"), [
    (rows() + rows()[:1], "each swab once"),
    ([TrialReading("v", "p", "left", arm, n, (9.0, 9.0)) for n, arm in enumerate("ab", 1)], "one treatment at v / p"),
    ([one for one in rows() if one.arm == "a"], "two treatments or more"),
])
def test_rows_that_do_not_fit_together_are_refused(readings, told):
    with pytest.raises(Faults, match=told):
        units_of(readings)


BELOW = (0.0, 5.0)
ALL_BELOW = [(BELOW, 20 + 7 * (n % 5) if n < 5 else BELOW) for n in range(12)]


@pytest.mark.parametrize("margin", [None, 0.1])
@pytest.mark.parametrize("starts", [(400, 400), (BELOW, 400)])
def test_an_arm_that_is_all_below_detection_has_no_ratio_but_a_re_randomisation(margin, starts):
    """Its mean could lie anywhere lower: the likelihood is flat, and its curvature gave a variance below 0."""
    found = only(rows(ALL_BELOW, before=starts), Asked("b", margin_log10=margin))
    assert (found.verdict, found.why, found.equivalence) == (CANNOT_TELL, "likelihood-flat", None)
    assert found.rerandomised.exact and found.rerandomised.p_two_sided == pytest.approx(2.0 / 2**5)
    text = words(rows(ALL_BELOW), Asked("b", margin_log10=margin))
    assert "by a ratio: too many readings" in text and "Re-randomisation: 256 of 4096" in text and "nan" not in text


def test_an_arm_below_detection_leaves_the_others_their_ratio():
    three = [one for n, pair in enumerate(PAIRS) for one in (
        TrialReading(f"van {n % 3}", f"seat {n}", "1", "a", 1, BELOW),
        TrialReading(f"van {n % 3}", f"seat {n}", "2", "c", 1, _bounds(pair[0])),
        TrialReading(f"van {n % 3}", f"seat {n}", "3", "b", 1, _bounds(pair[1])))]
    by_arm = {one.arm: one for one in compare(units_of(three), Asked("b", margin_log10=0.1)).contrasts}
    assert by_arm["a"].verdict == CANNOT_TELL
    assert by_arm["c"].verdict == LESS and by_arm["c"].ratio == pytest.approx(only(rows()).ratio, rel=0.05)
    assert by_arm["c"].standard_error < 0.1
