"""Every code of contact, heat, counts and titres has its sentence, and every verb defers to the label."""

import math

import numpy as np
import pytest

from tersum.catalogue import load
from tersum.documents import contact_text, counts_text, heat_text, wet_text
from tersum.lethality import heat_trace, mpn, mpn_interval, plate_counts, surface_counts, titre
from tersum.lethality import virus_reduction as reduction
from tersum.lethality.heat import dose
from tersum.lethality.label_time import ContactNeeded, ModelRange
from tersum.lethality.log_reduction import UNKNOWN, LogReduction, at_least, less_than
from tersum.lethality.wet_time import WetTime, contact_met

FLAGS = (plate_counts.ESTIMATED, plate_counts.PRESENT, plate_counts.DIFFER, plate_counts.INCONSISTENT,
         surface_counts.TOO_CROWDED, surface_counts.NO_RECOVERY, titre.FIRST_ASSUMED, titre.LAST_ASSUMED,
         titre.NOT_FALLING, titre.NO_HALF, reduction.WIDE_ASSAY, reduction.SCRAPES_PAST)
TESTED = ModelRange((100.0, 2000.0), (15.0, 25.0), 5.0, 60.0, (2.0, 4.0))


@pytest.mark.parametrize("flag", FLAGS)
def test_every_flag_has_a_sentence(flag):
    assert counts_text.flag_lines([flag])[0].endswith(".")


@pytest.mark.parametrize("code", [heat_trace.GAP, heat_trace.SPIKE, heat_trace.ABOVE_THE_BOIL, heat_trace.SHORT_STAY,
                                  heat_trace.NEVER_HOT])
def test_every_finding_of_a_trace_has_a_sentence(code):
    found = heat_trace.HeatDose(dose("A0"), heat_trace.Logging(), 1.0, math.nan, math.nan, 2, 1.0, 1.0, 80.0, 80.0,
                                {code: 2.0})
    assert "2" in heat_text.finding_lines((heat_text.SensorDose("temp_c", found),))[0]


@pytest.mark.parametrize("value", ["usual", "suspicious", "questionable", "not-to-be-trusted"])
def test_every_degree_of_trust_has_a_sentence(value):
    made = mpn.design([3], [1.0])
    found = mpn.Mpn(np.array(1.0), np.array("="), np.array(0.5), np.array(0.5), np.array(value), np.array([1]), made)
    for method in mpn_interval.METHODS:
        ends = mpn_interval.MpnInterval(np.array(0.1), np.array(3.0), method, 0.95)
        assert counts_text.mpn_lines(found, ends, None)[-1]


@pytest.mark.parametrize("answer", ["label-time", "longer-than-the-label", "no-time-will-do", "cannot-tell"])
def test_every_answer_on_contact_defers_to_the_label(answer):
    lines = contact_text.needed_lines(ContactNeeded(answer, 5.0, 5.0, 3.0, 2.0), TESTED, organism="x")
    assert any("label" in line for line in lines) and "label" in contact_text.needed_cautions()[-1]


@pytest.mark.parametrize("outside", [{"ph": None}, {"ph": 9.0}, {"soil": "blood"}, {"log10": 7.0},
                                     {"contact_min": 90.0}, {"strength_mg_l": 1.0}, {"temp_c": 1.0}])
def test_every_input_outside_of_what_was_tested_is_named(outside):
    lines = contact_text.needed_lines(ContactNeeded("cannot-tell", 5.0, 5.0, outside=outside), TESTED, organism="x")
    assert "outside what the law was tested at" in lines[1]


def test_time_to_keep_is_never_rounded_below_itself():
    for minutes in (4.8301, 6.0, 0.33333, 123.4):
        told = contact_text.needed_lines(ContactNeeded("longer-than-the-label", minutes, 0.1, minutes), TESTED)[0]
        assert float(told.split(" for ")[1].split(" min")[0]) >= minutes


def test_times_that_differ_are_never_shown_alike():
    assert "4.999 min at most" in wet_text.met_lines(contact_met(WetTime(4.999, 4.999, 0), 5.0))[0]


def test_reductions_keep_their_operators_in_words():
    each = (at_least(5.2), less_than(3.0), LogReduction(1.0, 2.0), UNKNOWN)
    texts = [counts_text.reduction_text(one) for one in each]
    assert texts == [">= 5.20", "< 3.00", "1.00 to 2.00", "?"]


def test_every_way_of_knowing_has_a_word():
    assert all(contact_text.known_word(known) for known in load.KNOWN)


@pytest.mark.parametrize("cautions", [wet_text.met_cautions(), contact_text.needed_cautions(),
                                      contact_text.ct_cautions(), heat_text.trace_cautions(),
                                      heat_text.steam_cautions(), counts_text.count_cautions()])
def test_last_word_is_that_the_label_goes_first(cautions):
    assert cautions[-1] == wet_text.label_first()
