"""A data frame gives what the file of the same rows gives, with the same faults; a result comes back as its kind."""

from pathlib import Path

import numpy as np
import pandas
import pytest

from tersum.errors import Faults, OutOfRange
from tersum.records.frames import frame_like, history_of_frame, trial_of_frame
from tersum.records.history_file import read_history
from tersum.records.trial_file import read_trial

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
TRIAL, HISTORY = EXAMPLES / "trial/trial.csv", EXAMPLES / "monitoring/history.csv"


@pytest.mark.parametrize("dtype", [None, str])
def test_trial_in_a_frame_is_the_trial_in_its_file(dtype):
    frame = pandas.read_csv(TRIAL, dtype=dtype, keep_default_na=dtype is None)
    assert trial_of_frame(frame).rows == read_trial(str(TRIAL)).rows


def test_history_in_a_frame_is_the_history_in_its_file():
    frame = pandas.read_csv(HISTORY, parse_dates=["at"])
    assert history_of_frame(frame, limit_rlu=120.0) == read_history(str(HISTORY), limit_rlu=120.0)


def test_missing_values_are_empty_cells_and_bounds_stay_bounds():
    frame = pandas.DataFrame({"vehicle": ["v", "v"], "panel": ["p", "p"], "arm": ["A", "B"], "after": ["<5", None],
                              "before": [np.nan, 12.0]})
    found = trial_of_frame(frame)
    assert found.unread == 1 and found.rows[0].before_rlu is None


def test_floats_are_never_taken_for_thousands():
    frame = pandas.DataFrame({"vehicle": ["v"], "panel": ["p"], "arm": ["A"], "after": [1.234], "before": [1e6]})
    (row,) = trial_of_frame(frame).rows
    assert row.after_rlu == (1.234, 1.234) and row.before_rlu == (1e6, 1e6)


@pytest.mark.parametrize("value", [1e15, 1.5e-3, 0.25, 412.0, 1.234])
@pytest.mark.parametrize("dtype", ["float64", "float32", "Float64", "Float32"])
def test_numbers_of_every_kind_of_float_are_read(value, dtype):
    frame = pandas.DataFrame({"vehicle": ["v"], "panel": ["p"], "arm": ["A"],
                              "after": pandas.array([value], dtype=dtype)})
    found = trial_of_frame(frame)
    assert not len(found.faults), [str(one) for one in found.faults]
    assert found.rows[0].after_rlu == pytest.approx((value, value), rel=1e-6)


def test_line_break_in_a_cell_is_a_fault_or_a_blank_and_no_crash():
    frame = pandas.DataFrame({"vehicle": ["v"], "panel": ["p"], "arm": ["A"], "after": ["<5\nx"],
                              "note": ["two\nlines"]})
    (fault,) = trial_of_frame(frame).faults
    assert "after" in str(fault)


def test_faults_name_rows_and_columns_all_at_once():
    frame = pandas.DataFrame({"vehicle": ["v", ""], "panel": ["p", "p"], "arm": ["A", "B"], "after": [np.inf, -1.0]})
    said = [str(one) for one in trial_of_frame(frame).faults]
    assert len(said) >= 3 and all("frame, row" in one for one in said)
    with pytest.raises(Faults, match="place"):
        history_of_frame(pandas.DataFrame({"at": ["2026-01-05"]}))
    with pytest.raises(OutOfRange, match="data frame"):
        trial_of_frame([1, 2])


def test_rows_come_back_as_the_same_kind_of_frame():
    made = frame_like(pandas.DataFrame({"x": [1]}), [{"arm": "A", "ratio": 0.5}, {"arm": "B", "ratio": 1.0}])
    assert isinstance(made, pandas.DataFrame) and made["ratio"].tolist() == [0.5, 1.0]
    with pytest.raises(OutOfRange):
        frame_like(pandas.DataFrame({"x": [1]}), [])
