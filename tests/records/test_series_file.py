"""Small tables of numbers that a person wrote."""

import pytest

from tersum.errors import Faults, TersumError
from tersum.records.series_file import read_series

COLUMNS = ("age_h", "strength_mg_l")


@pytest.fixture
def written(tmp_path):
    def write(text, encoding="utf-8"):
        path = tmp_path / "series.csv"
        path.write_bytes(text.encode(encoding))
        return str(path)
    return write


@pytest.mark.parametrize("text", [
    "age_h,strength_mg_l\n0,1000\n24,905.5\n", "strength_mg_l;age_h\n1000;0\n905,5;24\n",
    "\ufeffage_h\tstrength_mg_l\tnote\n0\t1000\tfresh\n\n24\t905.5\t\n", "AGE_H,Strength_mg_l\r\n0,1000\r\n24,905.5"])
def test_delimiters_orders_marks_and_blank_lines_are_read(written, text):
    assert read_series(written(text), COLUMNS) == {"age_h": [0.0, 24.0], "strength_mg_l": [1000.0, 905.5]}


def test_every_bad_cell_is_told_with_its_row_and_column(written):
    with pytest.raises(Faults) as told:
        read_series(written("age_h,strength_mg_l\n0,x\n,905\n48\n"), COLUMNS)
    assert [(fault.row, fault.column) for fault in told.value.faults] == [(2, "strength_mg_l"), (3, "age_h"),
                                                                          (4, "strength_mg_l")]


def test_missing_column_and_empty_file_are_told(written):
    for text in ("", "age_h,strength\n0,1\n"):
        with pytest.raises(TersumError, match="strength_mg_l"):
            read_series(written(text), COLUMNS)


def test_missing_file_is_told(tmp_path):
    with pytest.raises(TersumError):
        read_series(str(tmp_path / "none.csv"), COLUMNS)


def test_file_without_end_is_refused(written):
    with pytest.raises(TersumError, match="up to 10000"):
        read_series(written("age_h,strength_mg_l\n" + "1,2\n" * 10001), COLUMNS)
