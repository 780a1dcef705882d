"""Small tables of a bench: CSV and TOML alike, every fault at once, counts that are no logarithms."""

import math

import pytest

from tersum.errors import Faults, TersumError
from tersum.records.row_file import colonies, dilution, number, one_of, read_rows, whole_count

COLUMNS = {"dilution": dilution, "count": colonies}


@pytest.fixture
def written(tmp_path):
    def write(text, name="plates.csv"):
        path = tmp_path / name
        path.write_bytes(text.encode())
        return str(path)
    return write


def test_csv_and_toml_say_the_same(written):
    csv = written("\ufeffCount;dilution\r\n168;10^-2\r\nTNTC;1/10\r\n")
    toml = written('[[row]]\ndilution = 0.01\ncount = 168\n[[row]]\ndilution = "1:10"\ncount = ">300"\n', "plates.toml")
    assert read_rows(csv, COLUMNS) == read_rows(toml, COLUMNS) == [{"dilution": 0.01, "count": 168.0},
                                                                  {"dilution": 0.1, "count": math.inf}]


def test_small_dilutions_of_toml_are_read(written):
    assert read_rows(written("[[row]]\ndilution = 1e-6\ncount = 3\n", "p.toml"), COLUMNS)[0]["dilution"] == 1e-6


def test_optional_column_may_be_absent_or_empty(written):
    found = read_rows(written("dilution,count,volume_ml\n0.1,3,\n0.1,4,0.5\n"), COLUMNS, optional={"volume_ml": number})
    assert [one.get("volume_ml") for one in found] == [None, 0.5]


def test_every_fault_is_told_with_its_row(written):
    path = written("dilution,count\n0.01,2.23\n2,-1\n0.01\nx,5\n")
    with pytest.raises(Faults) as told:
        read_rows(path, COLUMNS)
    assert [(one.row, one.column, one.code) for one in told.value.faults] == [
        (2, "count", "log-for-a-count"), (3, "dilution", "out-of-range"), (3, "count", "out-of-range"),
        (4, None, "ragged-row"), (5, "dilution", "not-a-number")]


def test_log_where_a_count_is_asked_is_named(written):
    with pytest.raises(TersumError, match=r"got 4\.28; accepted: a whole number; if it is a logarithm"):
        whole_count("count", "4.28")


@pytest.mark.parametrize(("text", "name"), [("", "p.csv"), ("dilution,colonies\n1,2\n", "p.csv"),
                                            ("dilution,count\n", "p.csv"), ("row = 3\n", "p.toml"),
                                            ("[[row]]\ncount = 1\ndilution = 1\nx = 1\n", "p.toml")])
def test_what_is_no_table_is_refused(written, text, name):
    with pytest.raises(TersumError, match="accepted"):
        read_rows(written(text, name), COLUMNS)


@pytest.mark.parametrize("text", ["0", "1.5", "1/0", "ten"])
def test_no_dilution_is_refused(text):
    with pytest.raises(TersumError):
        dilution("dilution", text)


def test_word_of_a_list_is_read_in_any_case():
    assert one_of(("wet", "dry"))("surface", "Wet") == "wet"
    with pytest.raises(TersumError, match="wet, dry"):
        one_of(("wet", "dry"))("surface", "damp")
