"""Readings grouped by point, set aside on disk where they are many, so that millions of rows need little memory."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from operator import itemgetter
from types import TracebackType
from typing import Any, NamedTuple, Self
from zlib import crc32

from tersum.errors import N_, TersumError
from tersum.records.intake import FaultList, RowFault, refusal
from tersum.records.spool import Spool
from tersum.visit.readings import STAGES, Reading

# Columns that may weigh in a verdict, and those that never do; each group is one value of a stored row.
WEIGHED = ("surface", "instrument", "swab_lot", "blank", "dry", "rinsed", "fresh_area", "swab_in_date",
           "instrument_checked", "void_reason", "void_approved_by")
ASIDE = ("at", "person", "note")
MOST_READINGS = 10_000  # at one point: more is a file that is no table of readings
LEFT_OUT = len(STAGES)  # stands in the place of a stage for a row that was refused

_PARTITIONS = 256
_AT = ASIDE.index("at")
_FIRST = {(stage, 1, swab) for stage in range(LEFT_OUT) for swab in (1, None)}  # a point's only row, all in order
_ONE_PER_POINT = tuple((column, WEIGHED.index(column)) for column in ("surface", "instrument"))
_FIELDS = {"blank": "blank_rlu"}

# point, row, stage, round, swab, low, high, raw, weighed, aside
StoredRow = tuple[str, int, int, int, int | None, float, float, str, tuple[Any, ...] | None, tuple[Any, ...] | None]


class PointReadings(NamedTuple):
    """All readings of one point: ``left_out`` counts its rows that had a fault and are not among them.

    A named tuple and no dataclass, because a large table makes millions of them.
    """

    point: str
    first_row: int
    left_out: int
    rows: tuple[StoredRow, ...]

    @property
    def signature(self) -> tuple[object, ...]:
        """Everything that may weigh in the verdict: points with equal signatures get equal verdicts."""
        return tuple([(*row[2:7], row[8]) for row in self.rows])

    @property
    def readings(self) -> tuple[Reading, ...]:
        """The readings, by stage, round and swab."""
        return tuple(map(_reading, self.rows))

    def named(self, column: str) -> str | None:
        """Return the ``surface`` or ``instrument`` of the point, None where no row records it; all its rows agree."""
        place = WEIGHED.index(column)
        return next((row[8][place] for row in self.rows if row[8] is not None and row[8][place] is not None), None)


class ReadingsTable:
    """The good rows of a file, by point, and the faults of the others.

    Attributes
    ----------
    file : str
        What the file is called.
    faults : FaultList
        All faults met so far; those of repeated rows are only met when the points are walked through.
    not_recorded : tuple of str
        Columns that the file does not have.
    instruments : mapping of str to int
        Instrument types named in the file, each with the first row that names it.
    rows : int
        How many rows under the header were met, good or not.
    last_row : int
        The last of them.
    """

    def __init__(self, file: str, faults: FaultList):
        self.file = file
        self.faults = faults
        self.not_recorded: tuple[str, ...] = ()
        self.instruments: Mapping[str, int] = {}
        self.rows = 0
        self.last_row = 0
        self._spool = Spool()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None,
                 trace: TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """Drop the rows."""
        self._spool.close()

    def fill(self, rows: Iterable[StoredRow]) -> None:
        """Store rows as they come."""
        add = self._spool.add
        for row in rows:
            # Not hash(): that differs from run to run, and with it would differ which faults are kept of very many.
            add(crc32(row[0].encode()) % _PARTITIONS, row)

    def fault(self, row: int | None, column: str | None, cause: TersumError) -> None:
        """Note a fault of this file."""
        self.faults.add(RowFault(self.file, cause, row=row, column=column))

    def points(self) -> Iterator[PointReadings]:
        """Yield every point with its readings, once each, in no order to rely on.

        A point all of whose rows were refused comes without any.
        """
        for partition in self._spool.partitions():
            rows_of: dict[str, list[StoredRow]] = {}
            beyond: Counter[str] = Counter()
            for row in self._spool.partition(partition):
                rows = rows_of.setdefault(row[0], [])
                if len(rows) < MOST_READINGS:
                    rows.append(row)
                else:
                    beyond[row[0]] += 1
            for point, rows in rows_of.items():
                yield self._point(point, rows, beyond[point] if beyond else 0)

    def _point(self, point: str, rows: list[StoredRow], beyond: int) -> PointReadings:
        first_row = rows[0][1]
        if len(rows) == 1 and rows[0][2:5] in _FIRST:  # by far the most frequent in a very large table
            return PointReadings(point, first_row, 0, tuple(_numbered(rows)))
        if beyond:
            return self._too_many(point, first_row, len(rows) + beyond)
        good = [row for row in rows if row[2] != LEFT_OUT]
        if len(good) == len(rows):  # a gap may be a row that was refused, which has its own fault
            good = self._without_gaps(point, good)
        if len(good) > 1:
            good = self._agreeing(point, self._unrepeated(point, good))
        good = self._in_time(point, _numbered(good))
        return PointReadings(point, first_row, len(rows) - len(good), tuple(good))

    def _too_many(self, point: str, first_row: int, count: int) -> PointReadings:
        self.fault(first_row, "point", refusal(
            "too-many-readings", N_("{field} {value} has {count} readings, and none of them is counted; accepted: "
                                    "{accepted}."), "point", point, N_("at most {most} readings at one point"),
            count=count, most=MOST_READINGS))
        return PointReadings(point, first_row, count, ())

    def _unrepeated(self, point: str, rows: list[StoredRow]) -> list[StoredRow]:
        """Leave out every row whose stage, round and swab stand there twice: which one is meant, nobody can tell."""
        keys = [row[2:5] for row in rows if row[4] is not None]
        if len(set(keys)) == len(keys):
            return rows
        times = Counter(keys)
        first: dict[tuple[int, int, int | None], int] = {}
        for row in rows:
            key = row[2:5]
            if times[key] > 1 and first.setdefault(key, row[1]) != row[1]:
                self.fault(row[1], "swab", refusal(
                    "duplicate", N_("point {point}, stage {stage}, round {round}, swab {value} stands in row {first} "
                                    "already, and neither is counted; accepted: {accepted}."), "swab", str(key[2]),
                    N_("each swab of a round once"), point=point, stage=STAGES[key[0]], round=key[1], first=first[key]))
        return [row for row in rows if times[row[2:5]] < 2]

    def _without_gaps(self, point: str, rows: list[StoredRow]) -> list[StoredRow]:
        """Leave out rows whose round or swab has none before it: rarely a lost row, mostly a number in two cells."""
        rounds = {row[3] for row in rows}
        swabs = {row[2:5] for row in rows}
        unnumbered = Counter(row[2:4] for row in rows if row[4] is None)
        kept = []
        for row in rows:
            stage, round_, swab = row[2:5]
            before = sum((stage, round_, one) in swabs for one in range(1, swab)) if swab is not None else 0
            if round_ > 1 and round_ - 1 not in rounds:
                self._gap(row, "round", round_, point)
            elif swab is not None and before + unnumbered[stage, round_] < swab - 1:
                self._gap(row, "swab", swab, point)
            else:
                kept.append(row)
        return kept

    def _gap(self, row: StoredRow, column: str, number: int, point: str) -> None:
        self.fault(row[1], column, refusal(
            "gap", N_("{field} {value} of point {point} has none before it, and the row is not counted: got {raw} RLU, "
                      "{field} {value}; accepted: {accepted}."), column, str(number),
            N_("1, 2, 3 without a gap; a number with a comma inside, such as {raw},{number}, stands in quotes where "
               "the comma separates cells"), point=point, raw=row[7], number=number))

    def _in_time(self, point: str, rows: list[StoredRow]) -> list[StoredRow]:
        """Leave out every swab read before the one that its number has before it: which was first, nobody can tell.

        Rows come by stage, round and swab; of each stage they are held against its own and against those as found.
        """
        if sum(_at(row) is not None for row in rows) < 2:
            return rows
        latest: dict[int, tuple[datetime, int]] = {}
        kept = []
        for row in rows:
            at = _at(row)
            if at is not None:
                read = (datetime.fromisoformat(at), row[1])
                before = max((latest[one] for one in {0, row[2]} if one in latest), default=read)
                if read[0] < before[0]:
                    self._out_of_time(point, row, at, before[1])
                    continue
                latest[row[2]] = read
            kept.append(row)
        return kept

    def _out_of_time(self, point: str, row: StoredRow, at: str, before: int) -> None:
        self.fault(row[1], "at", refusal(
            "out-of-order", N_("{field} of point {point}, stage {stage}, round {round}, swab {swab} is earlier than "
                               "that of the swab before it, in row {before}, and the row is not counted: got {value}; "
                               "accepted: {accepted}."), "at", at,
            N_("swabs numbered in the order in which they were read; as found before all others"), point=point,
            stage=STAGES[row[2]], round=row[3], swab=row[4], before=before))

    def _agreeing(self, point: str, rows: list[StoredRow]) -> list[StoredRow]:
        """Leave out the rows of a point that is said to be two surfaces, or read by two instruments."""
        for column, place in _ONE_PER_POINT:
            named = [(row[1], row[8][place]) for row in rows if row[8] is not None and row[8][place] is not None]
            other = next((one for one in named if one[1] != named[0][1]), None)
            if other is not None:
                self.fault(other[0], column, refusal(
                    "not-the-same", N_("{field} is not the same as in row {first} at point {point}, and none of its "
                                       "rows is counted: got {value}; accepted: {accepted}."), column, other[1],
                    N_("one for each point, here {one}"), first=named[0][0], point=point, one=named[0][1]))
                return []
        return rows


def _at(row: StoredRow) -> str | None:
    return None if row[9] is None else row[9][_AT]


def _numbered(rows: list[StoredRow]) -> list[StoredRow]:
    """Give rows without a swab number the free numbers of their round, in the order of the file; sort them."""
    if len(rows) == 1:
        row = rows[0]
        return rows if row[4] is not None else [(*row[:4], 1, *row[5:])]
    taken = {row[2:5] for row in rows if row[4] is not None}
    following: dict[tuple[int, int], int] = {}
    numbered: list[StoredRow] = []
    for row in rows:
        if row[4] is None:
            swab = following.get(row[2:4], 1)
            while (*row[2:4], swab) in taken:
                swab += 1
            following[row[2:4]] = swab + 1
            row = (*row[:4], swab, *row[5:])
        numbered.append(row)
    numbered.sort(key=itemgetter(2, 3, 4))
    return numbered


def _reading(row: StoredRow) -> Reading:
    point, number, stage, round_, swab, low, high, raw, weighed, aside = row
    fields: dict[str, Any] = {}
    for columns, values in ((WEIGHED, weighed), (ASIDE, aside)):
        if values is not None:
            fields.update(zip((_FIELDS.get(one, one) for one in columns), values, strict=True))
    return Reading(point, STAGES[stage], low, high, raw, round=round_, swab=swab or 1, row=number, **fields)
