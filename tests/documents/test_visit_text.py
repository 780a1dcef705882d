"""A visit's plan in sentences: what it leaves unshown is said before the visit."""

from pathlib import Path

import pytest

from tersum.documents.visit_text import plan_lines
from tersum.records.toml_file import read_toml
from tersum.visit.plan import effort, plan_from

VISIT = Path(__file__).resolve().parents[2] / "examples/minibus-1/visit.toml"


@pytest.fixture
def table():
    return read_toml(str(VISIT))


def lines_of(table):
    plan = plan_from(table, book_spread_log10=0.205)
    return plan_lines(plan, effort(plan))


def test_points_that_the_limit_alone_decides_are_counted_under_the_rule_that_asks_for_a_reduction(table):
    assert not any("limit alone" in line for line in lines_of(table))
    table["rule"] |= {"name": "limit and reduction", "reduction_pct": 90.0}
    # Four fixed points, two of them read as found, and two drawn ones.
    assert "4 points are not read as found: no reduction can be shown there, and the limit alone decides." \
        in lines_of(table)


def test_duplicates_alike_to_a_step_are_remarked(table):
    assert not any("better than the display" in line for line in lines_of(table))
    table["instrument"]["duplicates"] = [[100, 100], [400, 401]]
    assert any("better than the display" in line for line in lines_of(table))
