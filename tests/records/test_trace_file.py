"""Traces as loggers write them: units said, times that rise, every fault with its row."""

import numpy as np
import pytest

from tersum.errors import Faults, TersumError
from tersum.lethality.heat import dose
from tersum.lethality.heat_trace import Logging
from tersum.records.trace_file import PIECE, read_trace, sensors, trace_doses

A0 = dose("A0")


@pytest.fixture
def written(tmp_path):
    def write(text):
        path = tmp_path / "trace.csv"
        path.write_bytes(text.encode())
        return str(path)
    return write


def whole(path):
    pieces = list(read_trace(path))
    return np.concatenate([one for one, _ in pieces]), np.concatenate([one for _, one in pieces])


@pytest.mark.parametrize("text", [
    "time_s,temp_c\n0,80\n60,90.5\n", "\ufefftime_min;temp_c;note\r\n0;80;a\r\n1,0;90,5;b\r\n",
    "temp_f\ttime_s\n176\t0\n\n194.9\t60\n", "time,temp_c\n2026-03-01T10:00:00,80\n2026-03-01 10:01:00,90.5\n",
    "time,temp_c\n10:00:00,80\n10:01,90.5\n", 'time_s,temp_c\n"0","80"\n"60","90.5"\n',
    "time,temp_c\n2026-03-01T10:00:00+01:00,80\n2026-03-01T09:01:00Z,90.5\n",
])
def test_ways_to_write_a_trace_mean_the_same(written, text):
    seconds, temps = whole(written(text))
    assert (seconds - seconds[0]).tolist() == [0.0, 60.0] and temps.ravel() == pytest.approx([80.0, 90.5])


def test_three_decimals_are_no_thousand(written):
    assert whole(written("time_s,temp_c\n1.125,80.125\n2.250,81.500\n"))[1].ravel().tolist() == [80.125, 81.5]


@pytest.mark.parametrize("header", ["time_s,temp", "time_s,temperature", "temp_c", "time_s,time_min,temp_c", "",
                                    "time_s,temp_c,temp_c", "seconds,temp_c"])
def test_header_that_does_not_say_its_unit_is_refused(written, header):
    with pytest.raises(TersumError, match="unit is part of the name"):
        sensors(written(header + "\n0,80\n"))


def test_every_fault_is_told_at_once_with_its_row(written):
    path = written("time_s,temp_c\n0,80\n1,hot\n2\n3,4000\n1,80\nx,80\n5,80\n")
    with pytest.raises(Faults) as told:
        list(read_trace(path))
    assert [(one.row, one.code) for one in told.value.faults] == [
        (3, "not-a-number"), (4, "ragged-row"), (5, "no-sensor-reads-it"), (6, "time-not-rising"), (7, "not-a-number")]


def test_reset_of_the_logger_is_asked_about(written):
    with pytest.raises(TersumError, match=r"row 4, column time_s.*was the logger reset"):
        trace_doses(written("time_s,temp_c\n0,80\n1,80\n0,80\n1,80\n"), A0)


def test_offsets_in_some_rows_only_are_refused(written):
    with pytest.raises(TersumError, match="an offset in every row"):
        list(read_trace(written("time,temp_c\n2026-03-01T10:00:00Z,80\n2026-03-01T10:01:00,80\n")))


def test_fahrenheit_that_does_not_say_so_is_asked_about(written):
    path = written("time_s,temp_c\n0,68\n30,150\n60,203\n")
    with pytest.raises(TersumError, match="is it in °F"):
        trace_doses(path, A0)
    assert trace_doses(path, A0, Logging(longest_gap_s=60.0), sure_of_unit=True)[0].found.dose > 0


def test_sensor_with_the_least_dose_comes_first(written):
    found = trace_doses(written("time_s,temp_c_seat,temp_c_floor\n0,90,70\n60,90,70\n120,90,70\n"), A0)
    assert [one.sensor for one in found] == ["temp_c_floor", "temp_c_seat"]
    assert found[0].found.dose == pytest.approx(12.0) and found[1].found.dose == pytest.approx(1200.0)


def test_long_trace_comes_in_pieces_and_amounts_to_the_same(written):
    rows = 2 * PIECE + 5
    path = written("time_s,temp_c\n" + "".join(f"{at},80\n" for at in range(rows)))
    assert [one.size for one, _ in read_trace(path)] == [PIECE, PIECE, 5]
    assert trace_doses(path, A0)[0].found.dose == pytest.approx(rows - 1)


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("name", ["temp_c", "temp_f"])
def test_rows_read_at_once_are_those_read_one_by_one(written, mark, name):
    point = "." if mark == "," else ","
    rows = [f"{at}{point}125{mark}{80 + at % 7}{point}25{mark}3" for at in range(50)]
    heading = f"time_min{mark}{name}{mark}note\n"
    plain = whole(written(heading + "\n".join(rows) + "\n"))
    quoted = whole(written(heading + "\n".join(rows[:-1]) + "\n\n" + mark.join(
        f'"{cell}"' for cell in rows[-1].split(mark)) + "\n"))  # quotes and blank lines are looked at one by one
    assert plain[0].tolist() == quoted[0].tolist() and plain[1].tolist() == quoted[1].tolist()


@pytest.mark.parametrize("row", ["1,5,80", "1;5;80", "1;80,5,5", "1;-80-;5", "1;8 0;5"])
def test_row_that_only_looks_plain_is_told(written, row):
    with pytest.raises(TersumError, match="row 3"):
        list(read_trace(written("time_s;temp_c\n0;80\n" + row + "\n")))


@pytest.mark.parametrize("text", ["time_s,temp_c\n", "time_s,temp_c\n0,80\n"])
def test_fewer_than_two_samples_are_no_trace(written, text):
    with pytest.raises(TersumError, match="two or more"):
        trace_doses(written(text), A0)


def test_missing_file_is_told(tmp_path):
    with pytest.raises(TersumError) as told:
        trace_doses(str(tmp_path / "none.csv"), A0)
    assert told.value.exit_code == 4
