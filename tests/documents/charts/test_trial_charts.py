"""The pictures of a trial: what they show is what the sentences say, and nothing is cut or covered."""

import numpy as np
import pytest

from documents.charts.test_residue_ladder import boxes_of, texts_of
from tersum.documents.charts import drawing
from tersum.documents.charts.comparison_chart import comparison_chart
from tersum.documents.charts.power_curve import power_curve
from tersum.evidence.assignment import pairs_needed, power_curves
from tersum.evidence.comparison import Asked, compare
from tersum.evidence.trial import TrialReading, units_of

FACTORS = (1.25, 1.5, 2, 3)
LEVELS = {"a cloth with a long name of its own, left on for ten minutes": 0.3, "b": 2.5, "c": 1.02, "water": 1.0}


def trial(levels=None, below=False):
    rng = np.random.default_rng(5)
    rows = []
    for panel in range(8):
        for part, (arm, level) in enumerate((levels or LEVELS).items()):
            rlu = 200.0 * level * 10.0 ** rng.normal(0.0, 0.08)
            bounds = (0.0, 5.0) if below and arm == "b" else (rlu, rlu)
            rows.append(TrialReading(f"van {panel % 3}", f"seat {panel}", f"part {part}", arm, 1, bounds))
    return compare(units_of(rows), Asked("water", margin_log10=0.1))


@pytest.mark.parametrize("width", [390, 640, 1280])
@pytest.mark.parametrize("draw", [lambda **look: comparison_chart(trial(), **look),
                                  lambda **look: comparison_chart(trial(below=True), **look),
                                  lambda **look: power_curve(power_curves(FACTORS, spread_log10=0.29), **look)])
def test_no_text_is_cut_or_covers_another(draw, width):
    boxes = list(boxes_of(drawing.svg(draw(width_px=width))))
    assert len(boxes) > 5
    for place, (one, left, top, right, bottom) in enumerate(boxes):
        assert left >= -0.5 and right <= width + 0.5, one
        for two, left2, top2, right2, bottom2 in boxes[place + 1:]:
            assert right <= left2 or right2 <= left or bottom <= top2 or bottom2 <= top, f"{one!r}, {two!r}"


def test_each_result_has_a_shape_of_its_own_and_cannot_tell_has_none():
    def shapes(found):
        marks = [layer["mark"] for layer in comparison_chart(found)["layer"]]
        return [mark["shape"] for mark in marks if mark["type"] == "point"]

    assert shapes(trial()) == ["circle", "square", "diamond"]
    found = trial(below=True)
    assert shapes(found) == ["circle", "diamond"]
    said = " ".join(text for text, *_ in texts_of(drawing.svg(comparison_chart(found))))
    assert "b against water: cannot tell" in said and "dashed: the margin, a factor of 1.26" in said


def test_the_mark_stands_at_the_ratio_that_is_told():
    found = trial()
    drawn = [layer["data"]["values"][0]["v"] for layer in comparison_chart(found)["layer"]
             if layer["mark"]["type"] == "point"]
    assert drawn == [one.difference_log10 for one in found.contrasts]


def test_curves_reach_the_chance_wanted_at_the_number_that_is_told():
    needed, curves = (make(FACTORS, spread_log10=0.29) for make in (pairs_needed, power_curves))
    for pairs, chances in zip(needed.pairs, curves.chances, strict=True):
        place = curves.pairs.index(pairs)
        assert chances[place] >= 0.8 > chances[place - 1]
        assert all(0.0 < one <= 1.0 for one in chances) and list(chances) == sorted(chances)
    said = [text for text, *_ in texts_of(drawing.svg(power_curve(curves)))]
    assert {"1.25", "1.5", "2", "3"} <= set(said)
