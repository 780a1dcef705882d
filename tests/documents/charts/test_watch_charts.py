"""Control charts, counts, funnels and intervals: nothing is cut, the same data give the same picture."""

from functools import partial

import numpy as np
import pytest

from documents.charts.test_residue_ladder import boxes_of
from tersum.documents.charts import drawing
from tersum.documents.charts.control_chart import control_chart
from tersum.documents.charts.counts_chart import counts_chart
from tersum.documents.charts.funnel_chart import funnel_chart
from tersum.documents.charts.resoiling_chart import resoiling_chart
from tersum.evidence.case_mix import funnel_of
from tersum.evidence.resoiling import resoiling
from tersum.evidence.watching import watch
from tersum.evidence.watching_counts import watch_counts

RANDOM = np.random.default_rng(5)
VALUES = np.concatenate([RANDOM.normal(1.6, 0.2, 30), RANDOM.normal(2.3, 0.2, 10)])
SPANS = (["a"] * 4 + ["b"] * 4, [3, 6, 9, 14, 4, 8, 12, 15], [1.2] * 8, [1.3, 1.5, 1.6, 1.9, 1.4, 1.5, 1.8, 2.0])
DRAWN = {
    **{kind: partial(control_chart, "smooth", watch(VALUES, kind=kind)) for kind in ("individuals", "ewma", "cusum")},
    "too few": lambda **look: control_chart("", watch(VALUES[:5]), **look),
    "shares": lambda **look: counts_chart(watch_counts([1, 0, 2] * 8 + [7], [8] * 25), **look),
    "counts": lambda **look: counts_chart(watch_counts([3, 5, 4] * 8 + [19]), **look),
    "funnel": lambda **look: funnel_chart(funnel_of(
        ["Bus 1", "Bus 2", "Bus 3", "Room with a long name of its own"], [[3], [4], [3], [29]],
        [[20], [30], [60], [60]]), **look),
    "intervals": lambda **look: resoiling_chart(resoiling(*SPANS, limit_log10=1.9), list(
        zip(SPANS[1], SPANS[3], strict=True)), limit_log10=1.9, **look),
}


@pytest.mark.parametrize("width", [366, 1256])
@pytest.mark.parametrize("name", DRAWN)
def test_no_text_is_cut_or_covers_another(name, width):
    boxes = list(boxes_of(drawing.svg(DRAWN[name](width_px=width))))
    assert boxes
    for place, (one, left, top, right, bottom) in enumerate(boxes):
        assert left >= -0.5 and right <= width + 0.5, one
        for two, left2, top2, right2, bottom2 in boxes[place + 1:]:
            assert right <= left2 or right2 <= left or bottom <= top2 or bottom2 <= top, f"{one!r}, {two!r}"


@pytest.mark.parametrize("name", DRAWN)
def test_the_same_data_give_the_same_bytes_in_each_theme(name):
    for theme in ("light", "dark", "paper"):
        assert drawing.svg(DRAWN[name](theme=theme)) == drawing.svg(DRAWN[name](theme=theme))


def test_a_signal_has_a_shape_of_its_own_and_the_tone_of_work():
    marks = [layer["mark"] for layer in DRAWN["ewma"]()["layer"] if layer["mark"]["type"] == "point"]
    assert {mark["shape"] for mark in marks} >= {"circle", "triangle-up"}
    assert all(mark["fill"] == drawing.THEMES["light"].work for mark in marks if mark["shape"] != "circle")
