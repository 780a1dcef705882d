"""Readings over time: each point its own panel on shared scales, in the clock of the place."""

import math

import pytest

from documents.charts.test_residue_ladder import boxes_of, texts_of
from tersum.documents.charts import drawing
from tersum.documents.charts.readings_over_time import readings_over_time
from tersum.visit.readings import Reading

READINGS = [
    Reading("seat", "as_found", 800.0, 800.0, "800", at="2026-03-02T08:10:00Z"),
    Reading("seat", "cleaned", 0.0, 5.0, "<5", at="2026-03-02T09:10:00Z"),
    Reading("seat", "cleaned", 90.0, 90.0, "90", round=2, at="2026-03-02T10:10:00Z", dry=False),
    Reading("a handrail with a name too long for one line of its panel", "cleaned", 9999.0, math.inf, ">9999",
            at="2026-03-02T09:20:00Z"),
    Reading("belt", "cleaned", 44.0, 44.0, "44"),
]


def said(**options):
    return [text for text, *_ in texts_of(drawing.svg(readings_over_time(READINGS, **options)))]


def test_clock_times_are_those_of_the_place():
    assert "11:00" in said(zone="Europe/Rome")
    assert "09:00" in said(zone="UTC") and "11:00" not in said(zone="UTC")


def test_readings_without_a_time_are_counted_not_dropped():
    assert any("1 reading without a time" in text for text in said())


@pytest.mark.parametrize("width", [390, 640, 1280])
def test_no_text_is_cut_or_covers_another(width):
    boxes = list(boxes_of(drawing.svg(readings_over_time(READINGS, limits={"seat": 240.0}, width_px=width))))
    for place, (one, left, top, right, bottom) in enumerate(boxes):
        assert left >= -0.5 and right <= width + 0.5, one
        for two, left2, top2, right2, bottom2 in boxes[place + 1:]:
            assert right <= left2 or right2 <= left or bottom <= top2 or bottom2 <= top, f"{one!r}, {two!r}"


def test_no_machine_zone_enters(monkeypatch):
    import time

    first = drawing.svg(readings_over_time(READINGS, zone="Europe/Rome"))
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    time.tzset()
    try:
        assert drawing.svg(readings_over_time(READINGS, zone="Europe/Rome")) == first
    finally:
        monkeypatch.undo()
        time.tzset()


def test_nothing_to_show_says_so():
    text = [text for text, *_ in texts_of(drawing.svg(readings_over_time([])))]
    assert text == ["No readings with a time to show."]


@pytest.mark.parametrize(("options", "words"), [
    ({"zone": "Mars/Base"}, "IANA zone"), ({"width_px": 10}, "256 to 2400"), ({"theme": "sepia"}, "light, dark, paper"),
])
def test_what_cannot_be_drawn_is_refused(options, words):
    with pytest.raises(Exception, match=words):
        readings_over_time(READINGS, **options)


def test_a_time_that_is_no_time_is_refused():
    with pytest.raises(Exception, match="date and time with their offset"):
        readings_over_time([Reading("seat", "cleaned", 5.0, 5.0, "5", at="yesterday")])
