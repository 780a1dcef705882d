"""The residue ladder: worst first, verdicts where the bar's upper end lies, nothing cut, the same bytes twice."""

import math
import re
import xml.etree.ElementTree as ElementTree

import pytest

from tersum.documents import fonts
from tersum.documents.charts import drawing
from tersum.documents.charts.residue_ladder import LadderRow, Level, ladder_rows, residue_ladder
from tersum.documents.text import PSEUDO_LOCALE
from tersum.visit.decision import (
    CLEAN_AGAIN,
    DONE,
    NO_LIMIT_YET,
    NOT_READ,
    SWAB_AGAIN,
    VERDICTS,
    Decision,
    LimitInForce,
    Reason,
    ReductionStatement,
    Terms,
)
from tersum.visit.outcome import ORDER
from tersum.visit.readings import Reading
from tersum.visit.rules import decide_point

WIDTHS = (390, 640, 1280)


def decided(point, *swabs, limit=240.0, as_found=(), **terms):
    readings = [Reading(point, "as_found", low, high, "") for low, high in as_found]
    readings += [Reading(point, "cleaned", *(swab if isinstance(swab, tuple) else (swab, swab)), "", swab=place)
                 for place, swab in enumerate(swabs, 1)]
    in_force = LimitInForce(limit, "plan") if limit else None
    return decide_point(point, readings, terms=Terms(**terms), limit=in_force), readings


def texts_of(svg):
    """Every text of a picture with its place, size, weight and anchor, inherited from its groups."""
    found = []

    def walk(element, x, y, told):
        moved = re.match(r"translate\(([-0-9.]+),([-0-9.]+)\)", element.get("transform", ""))
        x, y = (x + float(moved[1]), y + float(moved[2])) if moved else (x, y)
        told = told | {name: element.get(name) for name in ("font-size", "font-weight", "text-anchor", "fill")
                       if element.get(name)}
        if element.tag.endswith("}text"):
            found.append((element.text or "", x, y, told))
        for child in element:
            walk(child, x, y, told)

    walk(ElementTree.fromstring(svg), 0.0, 0.0, {})
    return found


def boxes_of(svg):
    for text, x, y, told in texts_of(svg):
        size = float(told["font-size"].removesuffix("px"))
        wide = fonts.face(600 if told.get("font-weight") == "600" else 400).width(text, size)
        left = x - wide * {"middle": 0.5, "end": 1.0}.get(told.get("text-anchor"), 0.0)
        # The baseline is given; letters stand above it and a little below.
        yield text, left, y - 0.72 * size, left + wide, y + 0.2 * size


def many(count):
    rows = []
    for place in range(count):
        verdict = VERDICTS[place % len(VERDICTS)]
        limit = None if verdict == NO_LIMIT_YET else 240.0
        latest = None if verdict == NOT_READ else Level(6.0 * 1.2**place % 9000 + 3, ("=", "<=", ">=")[place % 3])
        rows.append(LadderRow(f"point {place + 1} with a name that is rather long", verdict, latest,
                              Level(900.0) if place % 2 else None, 2.1 if limit else None, limit))
    return rows


CASES = {"none": [], "one": many(1), "six": many(6), "forty": many(40),
         "mixed limits": [*many(5), LadderRow("rough grip", CLEAN_AGAIN, Level(900.0), None, 2.0, 520.0)]}


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("case", CASES)
def test_no_text_is_cut_or_covers_another(case, width):
    ladder = residue_ladder(CASES[case], width_px=width)
    boxes = list(boxes_of(drawing.svg(ladder.definition)))
    for text, left, top, right, bottom in boxes:
        assert left >= -0.5 and right <= width + 0.5 and top >= 0 and bottom <= ladder.height_px, text
    for place, (one, left, top, right, bottom) in enumerate(boxes):
        for two, left2, top2, right2, bottom2 in boxes[place + 1:]:
            apart = right <= left2 or right2 <= left or bottom <= top2 or bottom2 <= top
            assert apart, f"{one!r} and {two!r} overlap"


@pytest.mark.parametrize("case", CASES)
def test_every_point_number_and_verdict_is_in_the_picture(case):
    rows = CASES[case]
    said = " ".join(text for text, *_ in texts_of(drawing.svg(residue_ladder(rows).definition)))
    for row in rows:
        for word in row.point.split():
            assert word in said


@pytest.mark.parametrize("theme", drawing.THEMES)
def test_same_rows_give_the_same_bytes(theme):
    first = drawing.svg(residue_ladder(CASES["six"], theme=theme).definition)
    again = drawing.svg(residue_ladder(many(6), theme=theme).definition)
    assert first == again
    assert drawing.png(first) == drawing.png(again)


def test_themes_differ_and_dark_has_light_ink():
    drawn = {theme: drawing.svg(residue_ladder(CASES["six"], theme=theme).definition) for theme in drawing.THEMES}
    assert len(set(drawn.values())) == 3
    assert drawing.THEMES["dark"].ink in drawn["dark"]


def test_the_bar_ends_at_or_left_of_the_limit_exactly_where_the_point_is_done():
    for rlu in [*range(60, 400, 7), 240]:
        for looks in (1, 2, 3):
            decision, _readings = decided("seat", float(rlu), looks=looks)
            row = ladder_rows([decision])[0]
            assert (row.upper_rlu <= 240.0 * (1 + 1e-5)) == (decision.verdict == DONE), (rlu, looks, decision)


def test_rows_stand_worst_first():
    decisions = [decided("a", 20.0)[0], decided("b", 900.0)[0], decided("c", 180.0)[0], decided("d")[0],
                 decided("e", 80.0)[0]]
    rows = ladder_rows(decisions)
    assert [row.point for row in rows] == ["b", "c", "d", "e", "a"]
    assert [ORDER.index(row.verdict) for row in rows] == sorted(ORDER.index(row.verdict) for row in rows)


def test_limits_that_differ_are_drawn_as_one_line():
    rows = [LadderRow("smooth", DONE, Level(24.0), None, 2.0, 240.0),
            LadderRow("rough", DONE, Level(52.0), None, 2.0, 520.0)]
    picture = drawing.svg(residue_ladder(rows).definition)
    said = [text for text, *_ in texts_of(picture)]
    assert "limit" in said and "24 of 240" in said and "52 of 520" in said
    assert picture.count('stroke-width="2"') == 1
    # Both are a tenth of their own limit, so their bars end in one column.
    ends = re.findall(r'translate\(([0-9.]+),[0-9.]+\)"[^>]* y2="12"', picture)
    assert len(ends) == 2 and ends[0] == ends[1]


def test_one_limit_is_named_with_its_number():
    said = [text for text, *_ in texts_of(drawing.svg(residue_ladder(CASES["one"]).definition))]
    assert "limit 240" in said and any("RLU" in text for text in said)


def test_what_was_found_is_a_bound_where_only_a_bound_is_known():
    at_least = ReductionStatement(20.0, 95.0, 1.3, 0.8, None, ">=", None)
    below = Decision("seat", "cleaned", DONE, Reason("x"), 1, 1, 5.0, "<=", 0.99, 240.0, 120.0, 1, at_least)
    assert ladder_rows([below])[0].as_found == Level(100.0, ">=")
    exact = [Reading("seat", "as_found", 100.0, 100.0, "100")]
    assert ladder_rows([below], exact)[0].as_found == Level(100.0, "=")


def test_censored_readings_become_bounds_with_arrow_heads():
    low, readings = decided("low", (0.0, 5.0), as_found=[(300.0, 300.0)])
    high, more = decided("high", (9999.0, math.inf))
    rows = ladder_rows([low, high], [*readings, *more])
    assert {row.point: row.latest.operator for row in rows} == {"low": "<=", "high": ">="}
    definition = residue_ladder(rows).definition
    shapes = {layer["mark"].get("shape") for layer in definition["layer"] if isinstance(layer.get("mark"), dict)}
    assert {"triangle-left", "triangle-right"} <= shapes


def test_single_swabs_are_shown_where_there_are_several():
    decision, readings = decided("seat", 30.0, 48.0)
    assert ladder_rows([decision], readings)[0].swabs_rlu == (30.0, 48.0)


def test_texts_are_translated():
    said = " ".join(text for text, *_ in texts_of(drawing.svg(
        residue_ladder(CASES["six"], lang=PSEUDO_LOCALE).definition)))
    assert "⟦" in said and "ŔĻÜ" not in said
    assert "swab again" not in said


def test_a_name_with_markup_stays_a_name():
    name = '<b>&"\'</b> role="x" fill="#D4D4D4"'
    row = LadderRow(name, SWAB_AGAIN, Level(180.0), None, 2.0, 240.0)
    picture = drawing.svg(residue_ladder([row], width_px=1280).definition)
    assert name in [text for text, *_ in texts_of(picture)]


@pytest.mark.parametrize("width", [0, 100, 255, 2401])
def test_a_width_that_cannot_be_drawn_is_refused(width):
    with pytest.raises(Exception, match="256 to 2400 px"):
        residue_ladder(CASES["one"], width_px=width)


def test_an_unknown_theme_is_refused_with_near_names():
    with pytest.raises(Exception, match="did you mean dark"):
        residue_ladder([], theme="darc")
