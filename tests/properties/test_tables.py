"""Laws of tables of readings: any bytes get an answer, and only what is in a point's own rows weighs in its verdict."""

import io
import json
import random
from dataclasses import replace
from datetime import UTC, datetime

from hypothesis import given
from hypothesis import strategies as st

from tersum.records.columns import COLUMNS, Expected
from tersum.records.decided import DecidedTable
from tersum.records.readings_file import read_readings
from tersum.visit.decision import LimitInForce, Reason, Terms
from tersum.visit.readings import STAGES
from tersum.visit.rules import decide_point

NOW = datetime(2026, 3, 10, tzinfo=UTC)
LIMIT = LimitInForce(250.0, "option")
TERMS = Terms(reduction_target_log10=1.0)


def decided(data, terms=TERMS):
    """Return every point's decision as JSON gives it, and the faults, of a table of bytes."""
    with (read_readings(io.BytesIO(data), file="r.csv", expected=Expected(NOW)) as table,
          DecidedTable(terms, lambda instrument, surface: LIMIT) as made):
        made.fill(table)
        points = [json.loads(text) for text in made.texts()]
        assert [json.loads(json.dumps(one.point)) for one in made.decisions()] == [one["point"] for one in points]
        assert made.verdicts.total() == len(points)
        return {one["point"]: one for one in points}, [str(fault) for fault in table.faults]


@given(st.binary(max_size=400))
def test_any_bytes_get_points_or_a_sentence(data):
    """Nothing that can be in a file is an internal error, and no file passes in silence."""
    points, faults = decided(data)
    assert points or faults
    assert all(fault.startswith("r.csv") and fault.endswith(".") for fault in faults)


PIECES = st.sampled_from([
    "seat", "wheel", "cleaned", "as_found", "412", "<5", ">9", "1e3", "1,5", ",", ";", "\t", '"', '""', "\n", "\r",
    "\r\n", "\x00", "é", "\ufeff", "\u2028", "-", "=", "yes", "no", " ", "2026-01-01T00:00Z"])


@given(st.sampled_from(["point,stage,rlu\n", "point;stage;rlu;note\n", ",".join(COLUMNS) + "\n", ""]),
       st.lists(PIECES, max_size=40), st.sampled_from(["utf-8", "utf-16", "cp1252"]))
def test_anything_under_a_header_gets_points_or_a_sentence(header, pieces, encoding):
    """The same for files that are nearly right."""
    points, faults = decided((header + "".join(pieces)).encode(encoding, "replace"))
    assert points or faults


@st.composite
def tables(draw):
    """Rows of a few points, each with its swab number, some with a fault."""
    rows = []
    for point in ("a", "b", "c"):
        surface = draw(st.sampled_from(["", "smooth"]))
        for stage in STAGES:
            for round_ in range(1, draw(st.integers(1, 2)) + 1):
                for swab in range(1, draw(st.integers(0, 3)) + 1):
                    rlu = draw(st.sampled_from(["7", "41,5", "190", "260", "900", "<5", ">9999", "0", "1e3", ""]))
                    answers = [draw(st.sampled_from(["", "", "yes", "no"])) for _ in range(2)]
                    void = draw(st.sampled_from([",", ",", ",", "lot-fault,Lead", "lot-fault,"]))
                    rows.append(f'{point},{stage},"{rlu}",{round_},{swab},{surface},{",".join(answers)},{void}')
    return rows


HEADER = "point,stage,rlu,round,swab,surface,dry,rinsed,void_reason,void_approved_by"


def bytes_of(rows):
    return "\n".join([HEADER, *rows]).encode()


@given(tables(), st.integers())
def test_order_of_rows_changes_no_decision(rows, seed):
    """A table is a set of rows, where each swab has its number."""
    shuffled = list(rows)
    random.Random(seed).shuffle(shuffled)
    assert decided(bytes_of(shuffled))[0] == decided(bytes_of(rows))[0]


@given(tables())
def test_a_point_is_decided_by_its_own_rows(rows):
    """Other points change nothing, with or without faults, and whether or not equal points share a decision."""
    together = decided(bytes_of(rows))[0]
    for point, one in together.items():
        assert decided(bytes_of([row for row in rows if row.startswith(point + ",")]))[0] == {point: one}


@given(tables())
def test_decisions_of_a_table_are_those_of_the_rule(rows):
    """Deciding equal points once gives what deciding each for itself gives, but that no fault is passed over."""
    found = decided(bytes_of(rows))[0]
    with read_readings(io.BytesIO(bytes_of(rows)), file="r.csv", expected=Expected(NOW)) as table:
        for point in table.points():
            plain = decide_point(point.point, point.readings, terms=TERMS, limit=LIMIT)
            one = found[point.point]
            if point.left_out and plain.verdict == "done":
                plain = replace(plain, verdict="not-read", reason=Reason("rows-left-out"))
            assert (one["verdict"], one["reason"]["code"], one["n"], one["geometric_mean_rlu"], one["p_conform"]) == (
                plain.verdict, plain.reason.code, plain.n, plain.geometric_mean_rlu, plain.p_conform)


@given(tables())
def test_names_change_no_verdict(rows):
    """A point called otherwise gets the same verdict."""
    renamed = [row.replace("a,", "z = 1,", 1) if row.startswith("a,") else row for row in rows]
    first, second = decided(bytes_of(rows))[0], decided(bytes_of(renamed))[0]
    assert [{**one, "point": ""} for one in first.values()] == [{**one, "point": ""} for one in second.values()]
