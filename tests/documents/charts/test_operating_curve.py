"""The operating curve shows what the rule does: the numbers are those of the evidence room."""

import pytest

from documents.charts.test_residue_ladder import boxes_of, texts_of
from tersum.documents.charts import drawing
from tersum.documents.charts.operating_curve import curve_chart, operating_curve
from tersum.visit.decision import Terms


@pytest.mark.parametrize("looks", [1, 2, 3])
def test_share_falls_and_meets_the_accepted_risk_at_the_limit(looks):
    curve = operating_curve(Terms(looks=looks))
    assert list(curve.first_look_frac) == sorted(curve.first_look_frac, reverse=True)
    nearest = min(range(len(curve.true_frac)), key=lambda place: abs(curve.true_frac[place] - 1.0))
    assert abs(curve.within_looks_frac[nearest] - 0.05) < 0.02
    assert all(one <= two + 1e-9 for one, two in zip(curve.first_look_frac, curve.within_looks_frac, strict=True))


@pytest.mark.parametrize("width", [390, 640, 1280])
@pytest.mark.parametrize("looks", [1, 3])
def test_no_text_is_cut_or_covers_another(width, looks):
    boxes = list(boxes_of(drawing.svg(curve_chart(operating_curve(Terms(looks=looks)), width_px=width))))
    for place, (one, left, top, right, bottom) in enumerate(boxes):
        assert left >= -0.5 and right <= width + 0.5, one
        for two, left2, top2, right2, bottom2 in boxes[place + 1:]:
            assert right <= left2 or right2 <= left or bottom <= top2 or bottom2 <= top, f"{one!r}, {two!r}"


def test_same_terms_give_the_same_bytes_and_one_look_has_one_curve():
    one = operating_curve(Terms(looks=1))
    assert drawing.svg(curve_chart(one)) == drawing.svg(curve_chart(operating_curve(Terms(looks=1))))
    said = [text for text, *_ in texts_of(drawing.svg(curve_chart(one)))]
    assert "at the first look" in said and not any(text.startswith("within") for text in said)
