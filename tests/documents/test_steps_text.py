"""Every answer of a step has a sentence of its own; none of them says more than was seen."""

from dataclasses import replace

import pytest

from tersum.documents import steps_text
from tersum.documents.text import PSEUDO_LOCALE, speaking
from tersum.visit.contact import StepContact
from tersum.visit.heat_step import HeatOnRecord
from tersum.visit.ph_check import PhCheck
from tersum.visit.ph_seen import PhSeen
from tersum.visit.steps import Step

CONTACTS = [StepContact("wet", "met", 5.0, 6.0, 6.0), StepContact("wet", "not-met", 5.0, 3.0, 4.0, 1, 2),
            StepContact("wet", "cannot-tell", 5.0, 3.0, 8.0, 1, 2), StepContact("wet", "not-recorded", 5.0)]
HEAT = HeatOnRecord("t.csv", "0" * 64, "temp_c", 2, 201, 400.0, 70.0, 88.0, 123.0, 97.0, 155.0, 65.0, 80.0, 10.0, 1.0)
FINDINGS = {"gap": 30.0, "spike": 2.0, "above-the-boil": 4.0, "short-stay": 1.0, "never-hot-enough": 51.0,
            "sensor-uncertainty-not-stated": 0.0}
SEEN = PhSeen(3.4, 0.05, 20.0)
CHECKS = [PhCheck("mix", answer, SEEN, 3.3, 3.5) for answer in ("plausible", "off-the-dilution", "unusual-tap-water")]
CHECKS += [PhCheck("mix", "cannot-tell", SEEN, 3.3, 3.5, reason)
           for reason in ("no-water", "not-a-mixture", "both", "neither", "too-wide")]
STEAM = Step("steam", "steam", "steam it", a0=60.0)


def lines():
    yield from map(steps_text.contact_line, CONTACTS)
    yield from map(steps_text.ph_line, CHECKS)
    yield from (steps_text.heat_line(STEAM, replace(HEAT, findings={code: amount}))
                for code, amount in FINDINGS.items())
    yield from (steps_text.heat_line(replace(STEAM, a0=wanted), HEAT) for wanted in (None, 60.0, 120.0, 600.0))
    yield from (steps_text.wet_again_line(Step("wet", "clean", "wet it", contact_min=contact, dries_min=dries))
                for contact, dries in ((5.0, None), (5.0, 8.0), (10.0, 4.0), (60.0, 1.0)))


def test_every_answer_has_a_sentence_of_its_own():
    said = list(lines())
    assert len(set(said)) == len(said) and all(line.endswith(".") for line in said)


def test_heat_is_told_with_interval_and_cut_off_and_claims_nothing():
    line = steps_text.heat_line(STEAM, HEAT)
    for part in ("A0 123 s", "97 to 155", "± 1 K", "65 °C", "201 samples", "reached"):
        assert part in line
    assert "spore" not in " ".join(lines())


def test_ph_is_never_taken_for_the_strength_of_a_peracid():
    assert all("pH does not show the strength of a peracid" in steps_text.ph_line(one) for one in CHECKS)


@pytest.mark.parametrize("asked_min", [0.0, 5.0])
def test_step_without_a_contact_time_asks_for_no_coat(asked_min):
    assert bool(steps_text.wet_again_line(Step("s", "clean", "w", contact_min=asked_min))) == bool(asked_min)


def test_every_sentence_is_translated():
    with speaking(PSEUDO_LOCALE):
        assert all("⟦" in line for line in lines())
