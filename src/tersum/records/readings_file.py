"""Reading READINGS.csv: every fault told with its row and column, every good row kept, however large the file."""

from __future__ import annotations

import csv
import math
import re
from collections import deque
from collections.abc import Callable, Iterator
from operator import itemgetter
from typing import Any, BinaryIO

from tersum.errors import N_, TersumError
from tersum.records.columns import COLUMNS, Cells, Expected, reader
from tersum.records.header import Header, read_header
from tersum.records.intake import FaultList, refusal
from tersum.records.lines import LONGEST_LINE, numbered_lines
from tersum.records.readings_table import ASIDE, LEFT_OUT, WEIGHED, ReadingsTable, StoredRow
from tersum.visit.readings import FAULTS_BEFORE_THE_NUMBER, NO_NUMBER

LINES_OF_A_NOTE = 20  # a quoted note may run over so many lines; an unclosed quote is found after as many
_NO_READING = (0.0, math.inf, NO_NUMBER)  # of a swab that was not read, since an answer before it was no
_REPORT_EVERY = 1 << 16
_MOST_INSTRUMENTS = 50  # that are told apart in one file; more than one is already too many for one limit
Line = tuple[int, str | None]
Records = Iterator[tuple[int, list[str]]]


def read_readings(stream: BinaryIO, *, file: str, expected: Expected, faults: FaultList | None = None,
                  progress: Callable[[int], None] | None = None) -> ReadingsTable:
    """Return the readings of a CSV file, grouped by point, with all faults of the file.

    Parameters
    ----------
    stream : binary file
        Read once, from where it stands to its end; nothing but the current lines is held in memory.
    file : str
        What to call the file in a fault.
    expected : Expected
        Present moment, zone of times without one, planned points, instrument types and range, where known.
    faults : FaultList, optional
        Where faults go; a new list if left out.
    progress : callable, optional
        Called now and then with the number of lines read.

    Returns
    -------
    ReadingsTable
        Close it, or use it as a context: its rows may lie in a temporary file.

    Examples
    --------
    >>> import io
    >>> from datetime import datetime, UTC
    >>> source = io.BytesIO(b"point,stage,rlu\\nseat,cleaned,412\\nseat,cleaned,1e3\\n")
    >>> with read_readings(source, file="r.csv", expected=Expected(datetime(2026, 3, 5, tzinfo=UTC))) as table:
    ...     [(one.point, one.left_out, len(one.readings)) for one in table.points()]
    ...     [str(fault) for fault in table.faults][0][:51]
    [('seat', 1, 1)]
    'r.csv, row 3, column rlu: rlu has an exponent: got '
    """
    table = ReadingsTable(file, FaultList() if faults is None else faults)
    lines = numbered_lines(stream)
    header = _header(lines, table)
    if header is not None:
        rows = _Rows(header, expected, table, progress)
        before = len(table.faults)
        table.fill(rows.stored(_records(lines, header, table)))
        table.not_recorded = header.not_recorded
        table.instruments = rows.instruments
        table.rows, table.last_row = rows.met, rows.last_row
        if not rows.met and len(table.faults) == before:
            table.fault(None, None, refusal("no-rows", N_("there is no row under the header; accepted: {accepted}."),
                                            "", "", N_("at least one row of readings")))
    return table


def _header(lines: Iterator[Line], table: ReadingsTable) -> Header | None:
    """Return the first line that is not blank as a header, with its faults noted."""
    for row, text in lines:
        bare = text.removeprefix("\ufeff") if text is not None and row == 1 else text
        if bare is None:
            table.fault(row, None, _too_long())
            return None
        if bare.strip(" ,;\t"):
            header = read_header(bare)
            for column, fault in header.faults:
                table.fault(row, column, fault)
            return header if header.columns else None
    table.fault(None, None, refusal("empty-file", N_("the file is empty; accepted: {accepted}."), "", "",
                                    N_("a header line and rows of readings")))
    return None


def _records(lines: Iterator[Line], header: Header, table: ReadingsTable) -> Records:
    """Yield the cells of each row with the number of its first line; rows of blank cells are passed over."""
    mark, width = header.delimiter, len(header.columns)
    empty = " " + mark
    given_back: deque[Line] = deque()
    for row, text in _with_given_back(given_back, lines):
        if text is None:
            table.fault(row, None, _too_long())
            continue
        if '"' in text:
            cells, unread = _quoted(text, lambda: _following(given_back, lines), header)
            given_back.extendleft(reversed(unread))
            if cells is None:
                table.fault(row, None, _bad_quotes(text))
                continue
        else:
            cells = text.split(mark)
        if not cells[0] and not text.strip(empty):
            continue
        if len(cells) != width:
            while len(cells) > width and not cells[-1].strip():
                cells.pop()
        yield row, cells


def _with_given_back(given_back: deque[Line], lines: Iterator[Line]) -> Iterator[Line]:
    """Yield lines, those that were given back first."""
    while (line := _following(given_back, lines)) is not None:
        yield line


def _following(given_back: deque[Line], lines: Iterator[Line]) -> Line | None:
    return given_back.popleft() if given_back else next(lines, None)


def _quoted(text: str, following_line: Callable[[], Line | None],
            header: Header) -> tuple[list[str] | None, list[Line]]:
    """Return the cells of a row with quotes, which may take in further lines for its note, and the lines not used."""
    taken: list[Line] = []
    while True:
        cells = _split(text, header.delimiter)
        if cells is not None and (not taken or _only_the_note_is_long(cells, header)):
            return cells, []
        # An even number of quotes closes every quote that was opened: more lines cannot mend it.
        following = following_line() if text.count('"') % 2 and len(taken) < LINES_OF_A_NOTE else None
        if following is not None:
            taken.append(following)
        if following is None or following[1] is None or len(text) > LONGEST_LINE:
            return None, taken
        text += "\n" + following[1]


def _split(text: str, delimiter: str) -> list[str] | None:
    """Return the cells of RFC 4180: a quote stands around a cell, or twice inside such a cell, and nowhere else."""
    cell = rf'(?:"(?:[^"]|"")*"|[^"{delimiter}]*)'
    if re.fullmatch(rf"{cell}(?:{delimiter}{cell})*", text) is None:
        return None
    try:
        return next(csv.reader([text], delimiter=delimiter, strict=True))
    except csv.Error:
        return None


def _only_the_note_is_long(cells: list[str], header: Header) -> bool:
    return len(cells) == len(header.columns) and all(
        "\n" not in cell for cell, column in zip(cells, header.columns, strict=True) if column != "note")


class _Rows:
    """The rows of one file on their way to the table."""

    def __init__(self, header: Header, expected: Expected, table: ReadingsTable,
                 progress: Callable[[int], None] | None):
        self.header = header
        self.table = table
        self.progress = progress
        self.met = self.last_row = 0
        self.instruments: dict[str, int] = {}
        self._cells = [Cells(self._reader(column, expected)) for column in header.columns]
        self._voids = "void_reason" in header.columns or "void_approved_by" in header.columns
        # One more value than cells, always None, stands for every column that the file does not have.
        self._at = {column: place for place, column in enumerate(header.columns) if column}
        places = [self._at.get(column, len(header.columns)) for column in COLUMNS]
        self._place = dict(zip(COLUMNS, places, strict=True))

    def stored(self, records: Records) -> Iterator[StoredRow]:
        """Yield each good row as the table stores it; note the faults of the others."""
        key = itemgetter(*(self._place[one] for one in ("point", "stage", "round", "swab", "rlu")))
        weighed = self._picked(WEIGHED)
        aside = self._picked(ASIDE)
        cells, width, usable, voids = self._cells, len(self._cells), self.header.usable, self._voids
        for row, texts in records:
            self.met += 1
            self.last_row = row
            if self.progress is not None and not self.met % _REPORT_EVERY:
                self.progress(row)
            if len(texts) != width:
                yield from self._refused(row, texts, [(None, _ragged(len(texts), width))])
                continue
            try:
                values = [column[text] for column, text in zip(cells, texts, strict=True)]
            except TersumError as fault:
                # A refusal is remembered for the next cell like it, and should not hold on to this row.
                fault.__traceback__ = None
                yield from self._refused(row, texts, self._all_faults(texts))
                continue
            values.append(None)
            if voids and (void := self._void_fault(values)) is not None:
                yield from self._refused(row, texts, [void])
            elif usable:
                point, stage, round_, swab, (low, high, raw) = key(values)
                if raw is NO_NUMBER and not self._has_a_fault(values):
                    yield from self._refused(row, texts, [("rlu", _no_number())])
                    continue
                yield point, row, stage, round_ or 1, swab, low, high, raw, weighed(values), aside(values)

    def _picked(self, columns: tuple[str, ...]) -> Callable[[list[Any]], Any]:
        """Return what picks the values of some columns; None where the file has none of them."""
        if not any(column in self._at for column in columns):
            return lambda values: None
        return itemgetter(*(self._place[column] for column in columns))

    def _reader(self, column: str | None, expected: Expected) -> Callable[[str], Any]:
        if column is None:
            return lambda text: None
        read = reader(column, expected)
        if column == "rlu":
            return lambda text: _NO_READING if text.strip().casefold() == NO_NUMBER else read(text)
        if column != "instrument":
            return read

        def instrument(text: str) -> Any:
            value = read(text)
            if value is not None and len(self.instruments) < _MOST_INSTRUMENTS:
                self.instruments.setdefault(value, self.last_row)
            return value
        return instrument

    def _all_faults(self, texts: list[str]) -> list[tuple[str | None, TersumError]]:
        faults: list[tuple[str | None, TersumError]] = []
        for column, cells, text in zip(self.header.columns, self._cells, texts, strict=True):
            try:
                cells[text]
            except TersumError as fault:
                fault.__traceback__ = None
                faults.append((column, fault))
        return faults

    def _void_fault(self, values: list[Any]) -> tuple[str, TersumError] | None:
        reason, approved = values[self._place["void_reason"]], values[self._place["void_approved_by"]]
        if reason and not approved:
            return "void_approved_by", refusal(
                "void-not-approved", N_("{field} is missing: the reading is voided ({reason}); accepted: {accepted}."),
                "void_approved_by", "", N_("who approved it"), reason=reason)
        if approved and not reason:
            return "void_reason", refusal(
                "void-without-reason", N_("{field} is missing although {approved} approved a void; accepted: "
                                          "{accepted}."), "void_reason", "", N_("instrument-fault or lot-fault"),
                approved=approved)
        return None

    def _has_a_fault(self, values: list[Any]) -> bool:
        return any(values[self._place[column]] is False for column in FAULTS_BEFORE_THE_NUMBER) or (
            values[self._place["void_reason"]] is not None)

    def _refused(self, row: int, texts: list[str],
                 faults: list[tuple[str | None, TersumError]]) -> Iterator[StoredRow]:
        """Note the faults of a row, and store that its point has a row that is left out, where the point is known."""
        for column, fault in faults:
            self.table.fault(row, column, fault)
        place = self._place["point"]
        if self.header.usable and place < len(texts):
            try:
                point = self._cells[place][texts[place]]
            except TersumError:
                return
            yield point, row, LEFT_OUT, 0, None, 0.0, 0.0, "", None, None


def _ragged(cells: int, width: int) -> TersumError:
    return refusal("ragged-row", N_("the row has {value} cells; accepted: {accepted}."), "", str(cells),
                   N_("{width} cells, as many as the header; a number with a comma inside stands in quotes where the "
                      "comma separates cells"), width=width)


def _no_number() -> TersumError:
    return refusal("no-number", N_("{field} has no number, and no answer says why: got {value}; accepted: {accepted}."),
                   "rlu", NO_NUMBER, N_("a number, or a recorded fault such as dry = no"))


def _bad_quotes(text: str) -> TersumError:
    return refusal("unclosed-quote", N_("a quote is opened and not closed, or stands inside a cell: got {value}; "
                                        "accepted: {accepted}."), "", name_of_line(text),
                   N_("cells in a pair of quotes, with a quote inside written twice"))


def name_of_line(text: str) -> str:
    """Return as much of a line as a fault shows."""
    return "".join(mark if not "\ud800" <= mark <= "\udfff" else "?" for mark in text[:80])


def _too_long() -> TersumError:
    return refusal("line-too-long", N_("the line is longer than {most} characters; accepted: {accepted}."), "", "",
                   N_("one row of readings on each line"), most=LONGEST_LINE)
