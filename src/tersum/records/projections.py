"""The tables that pages read: made from facts only, comparable with them row by row, and made again at any time."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from sqlalchemy import Connection, Table, bindparam, delete, func, insert, select

from tersum.records import tables
from tersum.records.effective import Effective
from tersum.records.findings import Finding
from tersum.records.prepared import Prepared

Row = dict[str, Any]
_INSERTS = {table.name: Prepared(insert(table)) for table in tables.PROJECTIONS}
_SELECTS = {table.name: Prepared(select(table).where(
    table.c.organisation_id == bindparam("organisation"), table.c.fact_id == bindparam("fact"),
).order_by(table.c.position)) for table in tables.PROJECTIONS}


def rows_of(effective: Effective) -> list[tuple[Table, list[Row]]]:
    """Return every table that a fact goes into, with its rows there; a withdrawn fact has none."""
    envelope = effective.fact.envelope
    common = {"organisation_id": envelope["organisation_id"], "fact_id": effective.fact.fact_id,
              "visit_id": effective.data.get("visit_id"), "at_utc": envelope["when"]["utc"]}
    return [(table, [] if effective.withdrawn else
             [{**common, "position": position, **row} for position, row in enumerate(made(effective))])
            for table, made in _MAKERS.get(effective.fact.type, ())]


def put(connection: Connection, effective: Effective) -> None:
    """Write the rows of a new fact."""
    for table, rows in rows_of(effective):
        for row in rows:
            _INSERTS[table.name].rows(connection, row)


def replace(connection: Connection, effective: Effective) -> None:
    """Write the rows of a fact that has been corrected in the place of those it had."""
    for table, _made in _MAKERS.get(effective.fact.type, ()):
        connection.execute(delete(table).where(*_of_fact(table, effective)))
    put(connection, effective)


def rebuild(connection: Connection, organisation_id: str, facts: Iterable[Effective]) -> int:
    """Empty the tables of an organisation and make them again from its facts; return the number of rows made."""
    for table in tables.PROJECTIONS:
        connection.execute(delete(table).where(table.c.organisation_id == organisation_id))
    count = 0
    for effective in facts:
        put(connection, effective)
        count += sum(len(rows) for _table, rows in rows_of(effective))
    return count


class Comparison:
    """The tables held against the facts, one fact after the other, then what is left over."""

    def __init__(self, connection: Connection, organisation_id: str):
        self._connection = connection
        self._organisation = organisation_id
        self._met = {table.name: 0 for table in tables.PROJECTIONS}

    def of(self, effective: Effective) -> Iterator[Finding]:
        """Yield, for each table a fact goes into, the first difference."""
        for table, rows in rows_of(effective):
            names = table.columns.keys()
            values = {"organisation": self._organisation, "fact": effective.fact.fact_id}
            found = [dict(zip(names, row, strict=True))
                     for row in _SELECTS[table.name].rows(self._connection, values)]
            self._met[table.name] += len(found)
            if found != rows:
                yield _difference(effective, table, rows, found)

    def left_over(self) -> Iterator[Finding]:
        """Yield the tables that hold rows of no fact that was met."""
        for table in tables.PROJECTIONS:
            there = self._connection.execute(select(func.count()).select_from(table).where(
                table.c.organisation_id == self._organisation)).scalar_one()
            if there != self._met[table.name]:
                yield Finding("table-row-of-no-fact",
                              parameters={"table": table.name, "rows": there - self._met[table.name]})


def _difference(effective: Effective, table: Table, rows: list[Row], found: list[Row]) -> Finding:
    fact = effective.fact
    for position in range(max(len(rows), len(found))):
        should = rows[position] if position < len(rows) else None
        is_now = found[position] if position < len(found) else None
        if should != is_now:
            break
    shown: Mapping[str, object] = {"table": table.name, "position": position, **_column(should, is_now)}
    return Finding("table-differs", fact.sequence, fact.fact_id, fact.type, shown)


def _column(should: Row | None, is_now: Row | None) -> dict[str, object]:
    if should is None or is_now is None:
        return {"column": "*", "fact_says": "no row" if should is None else "a row",
                "table_says": "no row" if is_now is None else "a row"}
    name = next(name for name in is_now if should.get(name) != is_now[name])
    return {"column": name, "fact_says": should.get(name), "table_says": is_now[name]}


def _of_fact(table: Table, effective: Effective) -> tuple[Any, Any]:
    return (table.c.organisation_id == effective.fact.envelope["organisation_id"],
            table.c.fact_id == effective.fact.fact_id)


def _visits(effective: Effective) -> list[Row]:
    data = effective.data
    return [{"visit": data["visit"], "place_kind": data["place"]["kind"], "place": data["place"].get("name"),
             "rule": data["terms"]["rule"], "rule_version": data["terms"]["version"], "stage": data["terms"]["stage"],
             "looks": data["terms"]["looks"], "points": len(data["points"]),
             "draw_commitment": (data["draw"] or {}).get("commitment")}]


def _points(effective: Effective) -> list[Row]:
    return [{"point": one["id"], "surface": one["surface"], "touch": one.get("touch"),
             "material": one.get("material"), "area_cm2": one.get("area_cm2"), "fixed": int(one["fixed"])}
            for one in effective.data["points"]]


def _draws(effective: Effective) -> list[Row]:
    return [{"seed": effective.data["seed"]}]


def _solutions(effective: Effective) -> list[Row]:
    return [{name: effective.data.get(name) for name in (
        "solution_id", "product", "lot", "volume_ml", "concentrate_ml", "water_ml", "made_utc", "use_by_utc")}]


def _steps(effective: Effective) -> list[Row]:
    return [{name: effective.data.get(name) for name in (
        "step", "started_utc", "finished_utc", "lot", "solution_id", "wet_observed_min", "surface_temp_c")}]


def _readings(effective: Effective) -> list[Row]:
    names = ("point", "stage", "round", "swab", "low_rlu", "high_rlu", "raw")
    return [{name: row[name] for name in names} for row in effective.rows]


def _decisions(effective: Effective) -> list[Row]:
    names = ("point", "stage", "verdict", "n", "round", "geometric_mean_rlu", "p_conform", "limit_rlu",
             "release_level_rlu")
    return [{**{name: one[name] for name in names}, "reason": one["reason"]["code"]}
            for one in effective.data["verdicts"]]


def _endings(effective: Effective) -> list[Row]:
    data = effective.data
    return [{"ending": data["ending"], "reason": data["reason"], "open_points": "\n".join(data["open_points"])}]


_MAKERS: Mapping[str, tuple[tuple[Table, Callable[[Effective], list[Row]]], ...]] = {
    "visit-planned": ((tables.VISITS, _visits), (tables.POINTS, _points)),
    "draw-revealed": ((tables.DRAWS, _draws),),
    "solution-mixed": ((tables.SOLUTIONS, _solutions),),
    "step-carried-out": ((tables.STEPS, _steps),),
    "readings-taken": ((tables.READINGS, _readings),),
    "visit-decided": ((tables.DECISIONS, _decisions),),
    "visit-ended": ((tables.ENDINGS, _endings),),
}
