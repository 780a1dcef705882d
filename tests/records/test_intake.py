"""Bad tables of readings: each fault is one sentence with file, row, column, value and what is accepted."""

import io
import os
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from tersum.records.columns import COLUMNS, Expected
from tersum.records.intake import FaultList, RowFault, open_input
from tersum.records.lines import LONGEST_LINE
from tersum.records.readings_file import read_readings
from tersum.records.readings_table import MOST_READINGS

NOW = datetime(2026, 3, 10, 12, 0, tzinfo=UTC)
HEADER = "point,stage,rlu\n"
FULL = ",".join(COLUMNS) + "\n"


def read(content, **expected):
    data = content if isinstance(content, bytes) else content.encode()
    with read_readings(io.BytesIO(data), file="r.csv", expected=Expected(NOW, **expected)) as table:
        points = {one.point: one for one in table.points()}
        return points, list(table.faults), table


def told(content, **expected):
    return [str(fault) for fault in read(content, **expected)[1]]


def cells(**given):
    """A row under FULL."""
    row = {"point": "seat", "stage": "cleaned", "rlu": "41", **given}
    return ",".join(row.get(column, "") for column in COLUMNS) + "\n"


A_NUMBER = "accepted: a number such as 412 or 412,5; <5 for below detection; >99999 for over range."


@pytest.mark.parametrize(("rlu", "sentence"), [
    ("-5", "rlu is out of range: got -5; accepted: 0 RLU or more."),
    ("1,234", "rlu can be read two ways: got 1,234; write 1234 or 1.2340, whichever is meant."),
    ("1.234", "rlu can be read two ways: got 1.234; write 1234 or 1.2340, whichever is meant."),
    ("1e3", f"rlu has an exponent: got 1e3; {A_NUMBER}"),
    ("inf", f"rlu is not a finite number: got inf; {A_NUMBER}"),
    ("nan", f"rlu is not a finite number: got nan; {A_NUMBER}"),
    ("abc", f"rlu has a character that is not a digit: got abc; {A_NUMBER}"),
    ("4 1", f"rlu has a blank inside: got 4 1; {A_NUMBER}"),
    ("--4", f"rlu has two signs: got --4; {A_NUMBER}"),
    ("", f"rlu is empty: got nothing; {A_NUMBER}"),
    ("<0", "rlu is out of range: got <0; accepted: a number above 0 after < or >."),
    ("4\x001", "rlu holds a NUL byte: got 4\\x001; accepted: plain text."),
    ("4\x1b1", "rlu holds the control character U+001B: got 4\\x1b1; accepted: text on one line without control "
               "characters."),
])
def test_bad_number_is_told_with_its_place(rlu, sentence):
    faults = told(f"point;stage;rlu\nwheel;cleaned;7\nseat;cleaned;{rlu}\n")
    assert faults == [f"r.csv, row 3, column rlu: {sentence}"]


@pytest.mark.parametrize(("row", "column", "sentence"), [
    (cells(point=""), "point", "point is empty: got nothing; accepted: a name."),
    (cells(point="a\tb"), "point", "point holds the control character U+0009: got a\\x09b; accepted: text on one line "
                                   "without control characters."),
    (cells(point="a\u202eb"), "point", "point holds the control character U+202E: got a\\x202eb; accepted: text on one "
                                       "line without control characters."),
    (cells(point="x" * 201), "point", f"point is too long: got {'x' * 57}...; accepted: at most 200 characters."),
    (cells(stage="washed"), "stage", "stage is not known: got washed; accepted: as_found, cleaned, treated."),
    (cells(stage="clean"), "stage", "stage is not known: got clean; did you mean cleaned? Accepted: as_found, cleaned, "
                                    "treated."),
    (cells(stage=""), "stage", "stage is empty: got nothing; accepted: as_found, cleaned, treated."),
    (cells(round="0"), "round", "round is not a whole number in range: got 0; accepted: 1 to 1000."),
    (cells(round="two"), "round", "round is not a whole number in range: got two; accepted: 1 to 1000."),
    (cells(swab="1.5"), "swab", "swab is not a whole number in range: got 1.5; accepted: 1 to 1000."),
    (cells(swab="٣"), "swab", "swab is not a whole number in range: got ٣; accepted: 1 to 1000."),
    (cells(blank="-1"), "blank", "blank is out of range: got -1; accepted: 0 RLU or more."),
    (cells(blank="1e0"), "blank", "blank has an exponent: got 1e0; accepted: digits 0 to 9 with at most one . or , "
                                  "such as 42.6."),
    (cells(dry="perhaps"), "dry", "dry is not known: got perhaps; accepted: yes, no."),
    (cells(instrument_checked="1"), "instrument_checked", "instrument_checked is not known: got 1; accepted: yes, no."),
    (cells(void_reason="too high", void_approved_by="Lead"), "void_reason",
     "void_reason is not known: got too high; accepted: instrument-fault, lot-fault."),
    (cells(void_reason="lot-fault"), "void_approved_by",
     "void_approved_by is missing: the reading is voided (lot-fault); accepted: who approved it."),
    (cells(void_approved_by="Lead"), "void_reason",
     "void_reason is missing although Lead approved a void; accepted: instrument-fault or lot-fault."),
    (cells(at="2026-03-10T12:30:00Z"), "at", "at is in the future: got 2026-03-10T12:30:00Z; accepted: a moment up to "
                                             "now (a clock may be 5 minutes ahead)."),
    (cells(at="2099-01-01"), "at", "at is in the future: got 2099-01-01; accepted: a moment up to now (a clock may be "
                                   "5 minutes ahead)."),
    (cells(at="2026-03-01T10:00"), "at", "at has no zone: got 2026-03-01T10:00; accepted: date and time with the zone, "
                                         "such as 2026-03-05T14:30:00Z or 2026-03-05 15:30+01:00."),
    (cells(at="2026-03-01"), "at", "at has no time of day: got 2026-03-01; accepted: date and time with the zone, such "
                                   "as 2026-03-05T14:30:00Z or 2026-03-05 15:30+01:00."),
    (cells(at="2026-02-31T10:00Z"), "at", "at is not a date and time: got 2026-02-31T10:00Z; accepted: date and time "
                                          "with the zone, such as 2026-03-05T14:30:00Z or 2026-03-05 15:30+01:00."),
    (cells(at="5 March"), "at", "at is not a date and time: got 5 March; accepted: date and time with the zone, such "
                                "as 2026-03-05T14:30:00Z or 2026-03-05 15:30+01:00."),
    (cells(note="x" * 2001), "note", f"note is too long: got {'x' * 57}...; accepted: at most 2000 characters."),
    (cells(rlu="not read"), "rlu", "rlu has no number, and no answer says why: got not read; accepted: a number, or a "
                                   "recorded fault such as dry = no."),
])
def test_bad_cell_is_told_with_its_place(row, column, sentence):
    assert told(FULL + cells(point="wheel") + row) == [f"r.csv, row 3, column {column}: {sentence}"]


def test_good_rows_stand_beside_bad_ones():
    points, faults, _ = read(HEADER + "wheel,cleaned,7\nseat,cleaned,1e3\nseat,cleaned,12\n")
    assert [fault.row for fault in faults] == [3]
    assert [one.low_rlu for one in points["seat"].readings] == [12.0]
    assert points["seat"].left_out == 1
    assert points["wheel"].left_out == 0


def test_all_faults_of_a_row_and_a_file_come_at_once():
    faults = told(FULL + cells(rlu="x", stage="x", dry="x") + cells(at="x", round="x"))
    assert [fault.split(":")[0] for fault in faults] == [
        "r.csv, row 2, column stage", "r.csv, row 2, column rlu", "r.csv, row 2, column dry",
        "r.csv, row 3, column round", "r.csv, row 3, column at"]


@pytest.mark.parametrize(("header", "faults"), [
    ("point,stage", ["column rlu: the column rlu is missing; the header is point,stage; accepted: point, stage, rlu."]),
    ("rlu", ["column point: the column point is missing; the header is rlu; accepted: point, stage, rlu.",
             "column stage: the column stage is missing; the header is rlu; accepted: point, stage, rlu."]),
    ("point,stage,rlu,rlu", ["column rlu: the column rlu stands there 2 times: got point,stage,rlu,rlu; accepted: each "
                             "column once."]),
    ("point,stage,rlu,surfce", ["column surfce: column is not known: got surfce; did you mean surface, surface"]),
    ("point,stage,rlu,colour", ["column colour: column is not known: got colour; "]),
    ("Seat 1,cleaned,412", [" the first line names no column: got Seat 1,cleaned,412; accepted: a header with point, "
                            "stage, rlu, separated by a comma, a semicolon or a tab."]),
    ("point|stage|rlu", [" the first line names no column: got point|stage|rlu; accepted: a header with point, "]),
    ("po\x00int,stage,rlu", [" header holds a NUL byte: got po\\x00int,stage,rlu; accepted: plain text."]),
])
def test_bad_header_is_told_with_its_column(header, faults):
    found = told(f"{header}\nseat,cleaned,41,7\n")
    assert len([one for one in found if "row 1" in one]) == len(faults)
    for fault, start in zip(found, faults, strict=False):
        place = "r.csv, row 1:" if start.startswith(" ") else "r.csv, row 1, "
        if "did you mean" not in start:
            assert fault.startswith(place + start)
        else:
            assert "did you mean surface?" in fault


def test_unknown_column_is_left_out_and_the_rows_are_read():
    points, faults, table = read("point,stage,rlu,colour\nseat,cleaned,41,blue\n")
    assert len(faults) == 1
    assert points["seat"].readings[0].low_rlu == 41.0
    assert "accepted: " + ", ".join(COLUMNS) in str(faults[0]).replace("Accepted", "accepted")


def test_rows_are_checked_even_where_a_required_column_is_missing():
    points, faults, _ = read("point,rlu\nseat,1e3\n")
    assert [(fault.row, fault.column) for fault in faults] == [(1, "stage"), (2, "rlu")]
    assert points == {}


@pytest.mark.parametrize(("content", "sentence"), [
    (b"", "r.csv: the file is empty; accepted: a header line and rows of readings."),
    (b"\n\n ,,\n", "r.csv: the file is empty; accepted: a header line and rows of readings."),
    (b"point,stage,rlu", "r.csv: there is no row under the header; accepted: at least one row of readings."),
    (b"point,stage,rlu\n\n,,\n", "r.csv: there is no row under the header; accepted: at least one row of readings."),
    ("point,stage,rlu\nseat,cleaned,41\n".encode("utf-16"),
     "r.csv, row 1: the file is not UTF-8: got UTF-16; accepted: a file saved as UTF-8."),
    ("point,stage,rlu\nseat,cleaned,41\n".encode("utf-16-le"),
     "r.csv, row 1: header holds a NUL byte: got p\\x00o\\x00i\\x00n\\x00t\\x00,"),
    ("point,stage,rlu,grün\n".encode("latin-1"),
     "r.csv, row 1: header is not UTF-8: got point,stage,rlu,gr\\xFCn; accepted: a file saved as UTF-8."),
    (b"\x00" * 50, "r.csv, row 1: header holds a NUL byte"),
    (b"point,stage,rlu\nseat,cleaned,41,7\n", "r.csv, row 2: the row has 4 cells; accepted: 3 cells, as many as the "
                                              "header; a number with a comma inside stands in quotes"),
    (b"point,stage,rlu\nseat,cleaned\n", "r.csv, row 2: the row has 2 cells; accepted: 3 cells, as many as the header"),
    (b'point,stage,rlu\n"seat,cleaned,41\n', 'r.csv, row 2: a quote is opened and not closed, or stands inside a cell: '
                                             'got "seat,cleaned,41; accepted: cells in a pair of quotes, with a quote '
                                             'inside written twice.'),
    (b'point,stage,rlu\n"seat" x,cleaned,41\n', 'r.csv, row 2: a quote is opened and not closed, or stands inside'),
])
def test_file_that_is_no_table_is_told(content, sentence):
    faults = told(content)
    assert len(faults) == 1
    assert faults[0].startswith(sentence)


def test_wrong_encoding_names_row_column_and_byte():
    faults = told("point,stage,rlu,note\nwheel,cleaned,7,\nseat,cleaned,41,naß\n".encode("latin-1"))
    assert faults == ["r.csv, row 3, column note: note is not UTF-8: got na\\xDF; accepted: a file saved as UTF-8."]


def test_unclosed_quote_costs_its_own_row_only():
    points, faults, _ = read('point,stage,rlu,note\na,cleaned,1,"x\nb,cleaned,2,\nc,cleaned,3,"fine, dry"\n')
    assert [fault.row for fault in faults] == [2]
    assert sorted(points) == ["b", "c"]


def test_quoted_note_may_run_over_lines_and_nothing_else_may():
    points, faults, _ = read('point,stage,rlu,note\na,cleaned,1,"one\ntwo ""three"""\nb,cleaned,2,\n')
    assert not faults
    assert points["a"].readings[0].note == 'one\ntwo "three"'
    assert points["b"].readings[0].row == 4
    assert len(told('point,stage,rlu,note\n"a\nb",cleaned,1,\n')) == 2  # the two halves are told, none is a point


def test_repeated_swab_counts_neither_time():
    points, faults, _ = read("point,stage,rlu,swab\nseat,cleaned,900,1\nseat,cleaned,50,2\nseat,cleaned,41,1\n")
    assert [str(fault) for fault in faults] == [
        "r.csv, row 4, column swab: point seat, stage cleaned, round 1, swab 1 stands in row 2 already, and neither is "
        "counted; accepted: each swab of a round once."]
    assert [one.low_rlu for one in points["seat"].readings] == [50.0]
    assert points["seat"].left_out == 2


def test_same_swab_number_in_another_round_or_stage_is_no_duplicate():
    assert not told("point,stage,rlu,swab,round\nseat,cleaned,9,1,1\nseat,cleaned,9,1,2\nseat,as_found,9,1,1\n")


def test_swab_without_a_number_follows_the_order_of_the_file():
    points, faults, _ = read("point,stage,rlu,swab\nseat,cleaned,10,\nseat,cleaned,20,1\nseat,cleaned,30,\n")
    assert not faults
    assert [(one.swab, one.low_rlu) for one in points["seat"].readings] == [(1, 20.0), (2, 10.0), (3, 30.0)]


def test_point_said_to_be_two_surfaces_is_not_counted():
    points, faults, _ = read("point,stage,rlu,surface\nseat,cleaned,10,smooth\nseat,cleaned,20,rough\n")
    assert [str(fault) for fault in faults] == [
        "r.csv, row 3, column surface: surface is not the same as in row 2 at point seat, and none of its rows is "
        "counted: got rough; accepted: one for each point, here smooth."]
    assert points["seat"].readings == ()


def test_unknown_point_is_told_where_the_points_are_planned():
    faults = told(HEADER + "seet,cleaned,10\n", points=["seat", "wheel"])
    assert faults == ["r.csv, row 2, column point: point is not known: got seet; did you mean seat? Accepted: seat, "
                      "wheel."]


def test_many_planned_points_are_not_all_listed():
    fault, = told(HEADER + "x,cleaned,10\n", points=[f"point {number:03}" for number in range(500)])
    assert len(fault) < 600
    assert "point 029, …" in fault


def test_instrument_that_did_not_belong_is_told():
    faults = told("point,stage,rlu,instrument\nseat,cleaned,10,Other Meter\n", instruments=["Demo Meter"])
    assert faults == ["r.csv, row 2, column instrument: instrument is not known: got Other Meter; accepted: Demo "
                      "Meter."]


def test_number_beyond_the_meters_range_is_told():
    points, faults, _ = read(HEADER + "a,cleaned,100000\nb,cleaned,>99999\nc,cleaned,99999\n", over_range_rlu=99999.0)
    assert [str(fault) for fault in faults] == [
        "r.csv, row 2, column rlu: rlu is out of range: got 100000; accepted: at most 99999 RLU, the meter's range; "
        "more is written as >99999."]
    assert points["b"].readings[0].high_rlu == float("inf")


def test_time_without_zone_takes_the_zone_given():
    points, faults, _ = read("point,stage,rlu,at\nseat,cleaned,10,2026-03-01 10:00\n", zone=ZoneInfo("Europe/Berlin"))
    assert not faults
    assert points["seat"].readings[0].at == "2026-03-01T09:00:00Z"


@pytest.mark.parametrize("clock", ["2025-10-26 02:30", "2025-03-30 02:30"])
def test_hour_shown_twice_or_never_is_asked_about(clock):
    fault, = told(f"point,stage,rlu,at\nseat,cleaned,10,{clock}\n", zone=ZoneInfo("Europe/Berlin"))
    assert fault.startswith("r.csv, row 2, column at: at was shown twice or not at all when the clocks changed: got")


def test_clock_a_little_ahead_is_accepted():
    assert not told("point,stage,rlu,at\nseat,cleaned,10,2026-03-10T12:04:59Z\n")


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_delimiter_line_end_and_byte_order_mark_change_nothing(delimiter, ending, mark):
    lines = ["Point,STAGE,rlu,note", "seat,Cleaned,412,", "wheel,as_found,<5,dry"]
    points, faults, _ = read(mark + ending.join(lines).replace(",", delimiter))
    assert not faults
    assert (points["seat"].readings[0].low_rlu, points["wheel"].readings[0].high_rlu) == (412.0, 5.0)


def test_names_are_brought_to_one_form_and_trimmed():
    points, faults, _ = read(HEADER + " caf\u0065\u0301 ,cleaned,10\ncaf\u00e9,cleaned,20\n")
    assert not faults
    assert list(points) == ["café"]
    assert len(points["café"].readings) == 2


def test_absent_column_is_not_recorded_and_a_blank_cell_is_not_either():
    points, _, table = read("point,stage,rlu,dry\nseat,cleaned,10,\n")
    assert table.not_recorded == tuple(column for column in COLUMNS[3:] if column != "dry")
    reading = points["seat"].readings[0]
    assert (reading.dry, reading.rinsed, reading.blank_rlu, reading.round, reading.swab) == (None, None, None, 1, 1)


def test_every_column_arrives_in_its_field():
    before = cells() + cells(round="2", swab="1") + cells(round="2", swab="2")
    points, faults, _ = read(FULL + before + cells(
        round="2", swab="3", surface="smooth", instrument="Demo Meter", swab_lot="L1", blank="2.5",
        at="2026-03-01T10:00:00+01:00", person="P1", dry="yes", rinsed="no", fresh_area="Yes", swab_in_date="NO",
        instrument_checked="yes", void_reason="lot-fault", void_approved_by="Lead", note="n", rlu="41.5"))
    assert not faults
    one = points["seat"].readings[-1]
    assert (one.low_rlu, one.high_rlu, one.raw, one.round, one.swab, one.blank_rlu) == (41.5, 41.5, "41.5", 2, 3, 2.5)
    assert (one.surface, one.instrument, one.swab_lot) == ("smooth", "Demo Meter", "L1")
    assert (one.person, one.note) == ("P1", "n")
    assert (one.dry, one.rinsed, one.fresh_area, one.swab_in_date, one.instrument_checked) == (
        True, False, True, False, True)
    assert (one.void_reason, one.void_approved_by, one.at, one.row) == ("lot-fault", "Lead", "2026-03-01T09:00:00Z", 5)


TIMED = "point,stage,rlu,round,swab,at\n"


@pytest.mark.parametrize(("rows", "told_of"), [
    (("cleaned,40,1,1,2026-03-01T10:00Z", "cleaned,900,1,2,2026-03-01T09:00Z"), ["row 3, column at"]),
    (("cleaned,900,1,2,2026-03-01T09:00Z", "cleaned,40,1,1,2026-03-01T10:00Z"), ["row 2, column at"]),
    (("cleaned,900,1,1,2026-03-01T10:00Z", "cleaned,40,2,1,2026-03-01T09:59:59.5Z"), ["row 3, column at"]),
    (("as_found,900,1,1,2026-03-01T10:00Z", "cleaned,40,1,1,2026-03-01T09:00Z"), ["row 3, column at"]),
    (("cleaned,40,1,1,2026-03-01T10:00:00Z", "cleaned,41,1,2,2026-03-01T10:00:00.5Z"), []),
    (("cleaned,40,1,1,2026-03-01T10:00Z", "cleaned,41,1,2,2026-03-01T11:00+01:00"), []),
    (("cleaned,40,1,1,2026-03-01T10:00Z", "cleaned,41,1,2,", "cleaned,41,1,3,2026-03-01T09:00Z"), ["row 4, column at"]),
    (("treated,40,1,1,2026-03-01T11:00Z", "cleaned,41,2,1,2026-03-01T12:00Z", "cleaned,41,1,1,2026-03-01T10:00Z"), []),
])
def test_swabs_read_in_another_order_than_numbered_are_refused(rows, told_of):
    points, faults, _ = read(TIMED + "".join(f"seat,{row}\n" for row in rows))
    assert [f"row {one.row}, column {one.column}" for one in faults] == told_of
    assert all(one.code == "out-of-order" for one in faults)
    assert points["seat"].left_out == len(told_of)


def test_rows_without_a_swab_number_that_run_back_in_time_are_refused_too():
    faults = told("point,stage,rlu,at\nseat,cleaned,40,2026-03-01T10:00Z\nseat,cleaned,41,2026-03-01T09:00Z\n")
    assert faults == [
        "r.csv, row 3, column at: at of point seat, stage cleaned, round 1, swab 2 is earlier than that of the swab "
        "before it, in row 2, and the row is not counted: got 2026-03-01T09:00:00Z; accepted: swabs numbered in the "
        "order in which they were read; as found before all others."]


def test_recorded_fault_is_no_bad_input_and_needs_no_number():
    points, faults, _ = read("point,stage,rlu,dry\nseat,cleaned,not read,no\n")
    assert not faults
    assert points["seat"].readings[0].dry is False


def test_line_that_never_ends_is_skipped_unread():
    points, faults, _ = read(HEADER + "x" * (LONGEST_LINE * 9) + "\nseat,cleaned,10\n")
    assert [str(fault) for fault in faults] == [
        f"r.csv, row 2: the line is longer than {LONGEST_LINE} characters; accepted: one row of readings on each line."]
    assert list(points) == ["seat"]


def test_more_faults_than_are_kept_are_counted():
    _, faults, table = read(HEADER + "seat,cleaned,x\n" * 2500)
    assert (len(faults), len(table.faults), table.faults.not_kept) == (1000, 2500, 1500)
    assert [fault.row for fault in faults] == list(range(2, 1002))


def test_point_with_more_readings_than_a_point_can_have_is_not_counted():
    points, faults, _ = read(HEADER + "seat,cleaned,7\n" * (MOST_READINGS + 5))
    assert [str(fault) for fault in faults] == [
        f"r.csv, row 2, column point: point seat has {MOST_READINGS + 5} readings, and none of them is counted; "
        f"accepted: at most {MOST_READINGS} readings at one point."]
    assert points["seat"].readings == ()


def test_missing_file_and_folder_are_told(tmp_path):
    with pytest.raises(RowFault, match=r"none\.csv: there is no such file; accepted: the path of an exist") as it:
        open_input(str(tmp_path / "none.csv"))
    assert it.value.exit_code == 4
    with pytest.raises(RowFault, match=r": this is a folder; accepted: a file\.") as it:
        open_input(str(tmp_path))
    assert it.value.exit_code == 3
    with pytest.raises(RowFault, match="cannot be read"):
        open_input("a\x00b")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read every file")
def test_file_that_may_not_be_read_is_told(tmp_path):
    path = tmp_path / "r.csv"
    path.write_text(HEADER)
    path.chmod(0)
    with pytest.raises(RowFault, match="cannot be read"):
        open_input(str(path))


def test_faults_of_several_files_share_one_list():
    faults = FaultList()
    for name in ("a.csv", "b.csv"):
        with read_readings(io.BytesIO(b""), file=name, expected=Expected(NOW), faults=faults):
            pass
    assert [fault.file for fault in faults] == ["a.csv", "b.csv"]
