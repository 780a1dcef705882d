"""A pH on record: plausible, off the dilution, unusual tap water, or not to be told."""

from dataclasses import replace
from datetime import datetime

import pytest

from tersum.catalogue.load import product
from tersum.visit.carried_out import Work
from tersum.visit.mixing import mixing_cards
from tersum.visit.ph_check import ph_check, ph_checks
from tersum.visit.ph_seen import PhSeen
from tersum.visit.place_water import PlaceWater

MEASURED = PlaceWater(3.0, 0.2, 7.6, "measured", "kit")
SOFT = PlaceWater(0.5, 0.05, 7.6, "reported", "supplier")


@pytest.fixture
def card(plan):
    return mixing_cards(plan, product)[0]


def checked(card, ph, water, **made):
    work = Work("disinfect", datetime.min, datetime.min, ph=PhSeen(ph, 0.05, 20.0), **made)
    return ph_check("disinfect", work.ph, card, work, water)


@pytest.mark.parametrize(("ph", "water", "answer", "reason"), [
    (3.42, MEASURED, "plausible", ""), (3.9, MEASURED, "off-the-dilution", ""), (7.4, MEASURED, "off-the-dilution", ""),
    (2.9, MEASURED, "off-the-dilution", ""), (1.0, MEASURED, "cannot-tell", "neither"),
    (3.9, SOFT, "unusual-tap-water", ""), (3.3, SOFT, "cannot-tell", "both"), (7.0, SOFT, "off-the-dilution", ""),
    (3.42, None, "cannot-tell", "no-water")])
def test_reading_is_laid_to_what_alone_explains_it(card, ph, water, answer, reason):
    found = checked(card, ph, water)
    assert (found.answer, found.reason) == (answer, reason)


def test_volumes_that_were_made_are_what_is_predicted(card):
    weak = checked(card, 3.85, MEASURED, concentrate_ml=20.0, water_ml=980.0)
    planned = checked(card, 3.85, MEASURED)
    assert (weak.answer, planned.answer) == ("plausible", "off-the-dilution")
    assert weak.low > planned.high


def test_prediction_that_is_too_wide_tells_nothing(plan):
    step = replace(plan.steps[1], product="Demo Cleaner B", ratio="1 in 50", kind="clean", targets=())
    card = mixing_cards(replace(plan, steps=(step,)), product)[0]
    assert checked(card, 11.5, MEASURED).reason == "too-wide"


def test_step_without_a_mixture_tells_nothing():
    work = Work("rinse", datetime.min, datetime.min, ph=PhSeen(7.0, 0.05, 20.0))
    assert [one.reason for one in ph_checks([work], [], MEASURED)] == ["not-a-mixture"]
