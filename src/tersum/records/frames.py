"""Any data frame in, the same kind out: its rows go through the readers of the files, with the same faults."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from numbers import Integral, Real
from typing import Any

import narwhals as nw

from tersum.errors import N_, OutOfRange
from tersum.evidence.streams import PastReading
from tersum.records.cell_table import table_of
from tersum.records.history_file import COLUMNS as HISTORY
from tersum.records.history_file import past_reading
from tersum.records.trial_file import TrialTable, trial_table

FRAME = "frame"  # what faults name in the place of a file


def trial_of_frame(frame: Any) -> TrialTable:
    """Return the rows of a trial from a data frame.

    Parameters
    ----------
    frame : pandas, Polars, Arrow or another frame that narwhals knows
        With the columns of a trial file (:func:`tersum.records.trial_file.read_trial`). A missing value is an empty
        cell; readings may be numbers or text such as ``<5``. Faults name rows as a file's would: the first is row 2.

    Raises
    ------
    OutOfRange
        If it is no data frame.
    """
    return trial_table(FRAME, _lines(frame))


def history_of_frame(frame: Any, *, limit_rlu: float | None = None) -> tuple[PastReading, ...]:
    """Return the readings of a history from a data frame; as :func:`tersum.records.history_file.read_history`."""
    return tuple(past_reading(row, limit_rlu) for row in table_of(FRAME, _lines(frame), HISTORY))


def frame_like(frame: Any, rows: Sequence[Mapping[str, Any]]) -> Any:
    """Return rows as a data frame of the same kind as another.

    Parameters
    ----------
    frame : data frame
        Of the kind that is wanted.
    rows : sequence of mappings
        One or more, each with the same keys.

    Raises
    ------
    OutOfRange
        If the first is no data frame, or there are no rows, or their keys differ.
    """
    known = _narwhal(frame)
    if not rows or any(list(row) != list(rows[0]) for row in rows):
        raise OutOfRange("rows", len(rows), N_("one row or more, each with the same keys"))
    return nw.from_dict({key: [row[key] for row in rows] for key in rows[0]}, backend=known.implementation).to_native()


def _narwhal(frame: Any) -> nw.DataFrame[Any]:
    try:
        return nw.from_native(frame, eager_only=True)
    except TypeError:
        raise OutOfRange(FRAME, type(frame).__name__, N_("a data frame, such as of pandas, Polars or Arrow")) from None


def _lines(frame: Any) -> Iterator[tuple[int, str]]:
    """Yield the frame as numbered lines of CSV, the header first."""
    known = _narwhal(frame)
    for number, cells in enumerate([list(known.columns), *known.iter_rows()], start=1):
        line = io.StringIO()
        # A line break within a cell becomes a blank, as the files have one line a row.
        csv.writer(line, lineterminator="\n").writerow([" ".join(_cell(one).splitlines()) for one in cells])
        yield number, line.getvalue().removesuffix("\n")


def _cell(value: Any) -> str:
    """Return a value as somebody would have typed it; nothing for one that is missing."""
    if value is None or (isinstance(value, float) and math.isnan(value)) or str(value) in ("NaT", "<NA>"):
        return ""
    if isinstance(value, datetime) and value.time() == datetime.min.time():
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Real) and not isinstance(value, Integral | bool) and math.isfinite(value):
        return _decimal(str(value))
    return str(value)


def _decimal(shown: str) -> str:
    """Return a float as it shows itself: no exponent, and never three decimals, which could be thousands as well."""
    whole, _mark, part = format(Decimal(shown), "f").partition(".")
    part = part.rstrip("0")
    return whole if not part else f"{whole}.{part}0" if len(part) == 3 else f"{whole}.{part}"
