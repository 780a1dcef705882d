"""``tersum mpn``: a number with its interval, and none where no or every tube is positive."""

import pytest

from cli.bench import call, fields, told


def words(pattern, tubes=(3, 3, 3), amounts=("0.1", "0.01", "0.001")):
    return ["mpn", *(word for grown, of, amount in zip(pattern, tubes, amounts, strict=True)
                     for word in ("--row", f"{amount}={grown}/{of}"))]


def test_number_with_the_interval_of_a_named_method_and_the_table_beside_it(capsys):
    out = call(capsys, *words((2, 2, 0)))[1]
    assert "MPN 21.1, 95 % interval 6.17 to 54.3" in out and "likelihood ratio" in out and "21, limits 4.5 to 42" in out
    code, body = told(capsys, *words((2, 2, 0)), "--method", "two-standard-errors")
    assert code == 0 and body["method"] == "two-standard-errors" and body["high"] == pytest.approx(62.4, abs=0.1)


@pytest.mark.parametrize(("pattern", "operator"), [((0, 0, 0), "<"), ((3, 3, 3), ">")])
def test_none_or_every_tube_gives_a_bound_and_no_number(capsys, pattern, operator):
    code, out, _ = call(capsys, *words(pattern))
    assert code == 0 and out.startswith(f"MPN {operator} ")
    body = told(capsys, *words(pattern))[1]
    assert body["operator"] == operator and body["se_log10"] is None
    assert body["low" if operator == "<" else "high"] in (0.0, None)


def test_pattern_that_cannot_be_is_not_trusted(capsys):
    code, out, _ = call(capsys, *words((2, 3, 4), (9, 3, 4)))
    assert code == 1 and "do not use the number" in out


def test_tubes_of_a_file(capsys, tmp_path):
    (tmp_path / "t.csv").write_text("amount;tubes;positive\n0,1;3;2\n0,01;3;2\n0,0010;3;0\n")
    assert told(capsys, "mpn", str(tmp_path / "t.csv"))[1]["mpn"] == pytest.approx(21.1, abs=0.1)


@pytest.mark.parametrize(("rows", "count"), [(("0.1=2", "x=1/3", "0.01=1.5/3"), 3), (("0.1=4/3",), 1), (("0=1/3",), 1),
                                             (("0.1=1/0",), 1)])
def test_rows_that_are_none_are_refused_all_at_once(capsys, rows, count):
    code, body = told(capsys, "mpn", *(word for row in rows for word in ("--row", row)))
    assert code == 3 and len(fields(body)) == count


def test_rows_twice_or_not_at_all_are_a_misuse(capsys):
    assert call(capsys, "mpn")[0] == 2 and call(capsys, "mpn", "t.csv", "--row", "0.1=1/3")[0] == 2
