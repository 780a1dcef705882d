"""A number that can be read two ways is read one way without asking."""

from tersum.records import columns

WHAT = "1,234 RLU is taken for 1.234 RLU, which releases a point that reads a thousand times as much"
BREAKS = ["tests/records/test_intake.py::test_bad_number_is_told_with_its_place"]


def apply(monkeypatch):
    def guessed(text, *, field):
        return (float(text.replace(",", ".")),) * 2
    monkeypatch.setattr(columns, "parse_reading", guessed)
