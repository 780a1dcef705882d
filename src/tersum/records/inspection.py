"""One pass over the facts of a store, that names every fact, row, table and personal value that was changed."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, bindparam, select

from tersum.errors import TersumError
from tersum.records import canonical, facts, merkle, personal, projections
from tersum.records.effective import Effective, as_sealed, corrected, effective
from tersum.records.facts import Fact, Head
from tersum.records.findings import Finding
from tersum.records.kept_bytes import as_bytes
from tersum.records.prepared import Prepared
from tersum.records.tables import BATCH_ROWS, FACTS, PERSONAL_ROWS, SUBJECTS
from tersum.records.writing import columns

Recompute = Callable[[Effective, Mapping[str, Effective]], Sequence[Mapping[str, Any]]]

_FACTS = Prepared(select(FACTS).where(
    FACTS.c.organisation_id == bindparam("organisation")).order_by(FACTS.c.sequence))
_BATCH = Prepared(select(BATCH_ROWS.c.position, BATCH_ROWS.c.leaf_hash, BATCH_ROWS.c.body).where(
    BATCH_ROWS.c.organisation_id == bindparam("organisation"), BATCH_ROWS.c.fact_id == bindparam("fact"),
).order_by(BATCH_ROWS.c.position))


class Inspection:
    """One pass over the facts of a store, with what has been seen so far."""

    def __init__(self, organisation_id: str, connection: Connection, recompute: Recompute | None):
        self._organisation = organisation_id
        self._connection = connection
        self._recompute = recompute
        self._seen: dict[str, int] = {}
        self._corrections: dict[str, list[Fact]] = {}
        self._erased: set[str] = set()
        self._commitments: dict[str, str] = {}  # visit: commitment to its draw
        self._clocks: dict[str, str] = {}  # device: moment of its last fact
        self._before = Head(0, facts.FIRST)
        self._comparison = projections.Comparison(connection, organisation_id)
        self._batches: set[str] = set()
        self._readable = True

    def findings(self) -> Iterator[Finding]:
        self._look_ahead()
        names = FACTS.columns.keys()
        for row in _FACTS.each(self._connection, {"organisation": self._organisation}):
            yield from self._row(dict(zip(names, row, strict=True)))
        if self._before.sequence == 0:
            yield Finding("no-facts")
        yield from self._rows_of_no_batch()
        yield from self._personal_rows()
        if self._readable:
            yield from self._comparison.left_over()

    def _look_ahead(self) -> None:
        """Collect corrections and erasures, which bear on facts before them."""
        types = FACTS.c.type.in_(("correction", "subject-erased"))
        query = select(FACTS.c.body).where(FACTS.c.organisation_id == self._organisation, types).order_by(
            FACTS.c.sequence)
        for (body,) in self._connection.execute(query):
            try:
                fact = facts.read(body)
            except TersumError:
                continue  # named when its turn comes
            if fact.corrects is not None:
                self._corrections.setdefault(fact.corrects.fact_id, []).append(fact)
            elif fact.type == "subject-erased":
                self._erased.add(fact.data["subject_id"])

    def _row(self, row: Mapping[str, Any]) -> Iterator[Finding]:
        body = as_bytes(row["body"])
        # SQLite keeps any kind of value in any column; a number that is none is told by the comparison of columns.
        number = row["sequence"] if isinstance(row["sequence"], int) else self._before.sequence + 1
        named = (number, row["fact_id"], row["type"])
        if number != self._before.sequence + 1:
            yield Finding("facts-missing", *named, parameters={"after": self._before.sequence,
                                                               "count": number - self._before.sequence - 1})
        if facts.seal(body) != row["hash"] or not isinstance(row["body"], bytes):
            yield Finding("body-changed", *named, parameters=_claims(body))
        try:
            fact = facts.read(body)
        except TersumError as fault:
            self._readable = False
            yield Finding("not-a-fact", *named, parameters={"fault": str(fault)})
        else:
            yield from self._fact(number, row, fact)
        self._before = Head(number, row["hash"])

    def _fact(self, number: int, row: Mapping[str, Any], fact: Fact) -> Iterator[Finding]:
        named = (number, row["fact_id"], row["type"])
        for name, value in columns(fact).items():
            if name not in ("body", "hash") and row[name] != value:
                yield Finding("column-differs", *named, parameters={"column": name, "fact_says": value,
                                                                    "table_says": row[name]})
        if fact.envelope["previous_hash"] != self._before.hash:
            yield Finding("link-broken", *named, parameters={"before": self._before.sequence})
        for what in ("fact_id", "operation_id"):
            unique = str(fact.envelope[what])
            if unique in self._seen:
                yield Finding("repeated", *named, parameters={"what": what, "first": self._seen[unique]})
            self._seen.setdefault(unique, number)
        utc, device = fact.envelope["when"]["utc"], fact.envelope["device_id"]
        if utc < self._clocks.get(device, ""):
            yield Finding("clock-went-back", *named, {"utc": utc, "before": self._clocks[device]}, grave=False)
        self._clocks[device] = utc
        if "merkle_root" in fact.data:
            batch = self._batch(row["fact_id"])
            fact = replace(fact, rows=tuple(body for _, _, body in batch))
            wrong = [*self._sealed_batch(named, fact, batch)]
            yield from wrong
            if wrong:
                self._readable = False
                return
        yield from self._personal(named, fact)
        yield from self._answers(named, fact)
        yield from self._tables(fact)

    def _batch(self, fact_id: str) -> list[tuple[int, str, bytes]]:
        self._batches.add(fact_id)
        return [(position, leaf, as_bytes(body)) for position, leaf, body in
                _BATCH.rows(self._connection, {"organisation": self._organisation, "fact": fact_id})]

    def _sealed_batch(self, named: tuple[int, str, str], fact: Fact,
                      batch: list[tuple[int, str, bytes]]) -> Iterator[Finding]:
        if len(batch) != fact.data["count"]:
            yield Finding("batch-rows-missing", *named, parameters={"sealed": fact.data["count"], "found": len(batch)})
        # The hash kept beside a row names the row; only the root, which the fact seals, proves it.
        wrong = [place for place, (position, leaf, body) in enumerate(batch)
                 if position != place or merkle.leaf_hash(body).hex() != leaf]
        if wrong or merkle.root(fact.rows).hex() != fact.data["merkle_root"]:
            yield Finding("batch-changed", *named, parameters={"row": wrong[0] if wrong else None})
        elif faults := facts.row_faults(fact):
            yield Finding("not-a-fact", *named, parameters={"fault": str(faults[0])})

    def _personal(self, named: tuple[int, str, str], fact: Fact) -> Iterator[Finding]:
        held = [*personal.commitments(fact.data)]
        for body in fact.rows:
            held += personal.commitments(canonical.parsed(body))
        for one in held:
            if one["subject_id"] in self._erased:
                continue
            kept = personal.at_version(self._connection, self._organisation, one)
            if kept is None:
                yield Finding("personal-value-gone", *named, parameters=dict(one))
            elif kept != one["hmac"]:
                yield Finding("personal-value-differs", *named, parameters=dict(one))

    def _answers(self, named: tuple[int, str, str], fact: Fact) -> Iterator[Finding]:
        """Check what can be computed again: the draw from its seed, the verdicts from the facts before them."""
        visit = str(fact.data.get("visit_id"))
        if fact.type == "visit-planned" and fact.data["draw"]:
            self._commitments[visit] = fact.data["draw"]["commitment"]
        if fact.type == "draw-revealed" and self._commitments.get(visit) != _draw_commitment(fact.data["seed"]):
            yield Finding("draw-differs", *named, parameters={"visit_id": visit})
        if fact.type == "visit-decided" and self._recompute is not None:
            yield from self._verdicts(named, fact, self._recompute)

    def _verdicts(self, named: tuple[int, str, str], fact: Fact, recompute: Recompute) -> Iterator[Finding]:
        query = select(FACTS.c.body, FACTS.c.fact_id).where(
            FACTS.c.organisation_id == self._organisation, FACTS.c.visit_id == fact.data["visit_id"],
            FACTS.c.sequence < named[0]).order_by(FACTS.c.sequence)
        try:
            before = effective(facts.read(row.body, [body for _, _, body in self._batch(row.fact_id)])
                               for row in self._connection.execute(query).all())
            rows = canonical.normalised([dict(row) for row in recompute(as_sealed(fact), before)])
        except (TersumError, LookupError) as fault:
            yield Finding("verdict-not-computable", *named, parameters={"fault": str(fault) or type(fault).__name__})
            return
        if rows != fact.data["verdicts"]:
            yield Finding("verdict-differs", *named, parameters=_first_difference(rows, fact.data["verdicts"]))

    def _tables(self, fact: Fact) -> Iterator[Finding]:
        """Compare the rows that pages read with the fact and its corrections."""
        if fact.corrects is not None:
            return
        try:
            now = as_sealed(fact)
            for correction in self._corrections.get(fact.fact_id, ()):
                now = corrected(now, correction.data)
        except TersumError:
            self._readable = False  # batch rows or corrections that were changed; they are named where they stand
            return
        yield from self._comparison.of(now)

    def _rows_of_no_batch(self) -> Iterator[Finding]:
        query = select(BATCH_ROWS.c.fact_id).distinct().where(BATCH_ROWS.c.organisation_id == self._organisation)
        for (fact_id,) in self._connection.execute(query).all():
            if fact_id not in self._batches:
                yield Finding("batch-rows-of-no-fact", self._seen.get(fact_id), fact_id)

    def _personal_rows(self) -> Iterator[Finding]:
        """Look for values that came back after an erasure, as an old backup would bring them."""
        for table in (SUBJECTS, PERSONAL_ROWS):
            query = select(table.c.subject_id).distinct().where(table.c.organisation_id == self._organisation)
            for (subject_id,) in self._connection.execute(query).all():
                if subject_id in self._erased:
                    yield Finding("erased-but-there", parameters={"subject_id": subject_id, "table": table.name})


def _claims(body: bytes) -> dict[str, object]:
    """Return what a changed body claims to be, as far as it can still be read."""
    try:
        envelope = json.loads(body)
        return {"claims": f"{envelope['sequence']} {envelope['type']}"}
    except (ValueError, LookupError, TypeError):
        return {"claims": "unreadable"}


def _draw_commitment(seed: str) -> str:
    # The visit room brings the statistics with it, a second to import, and only a draw needs it here.
    from tersum.visit.plan import commitment  # noqa: PLC0415

    return commitment(bytes.fromhex(seed))


def _first_difference(should: object, found: object, path: str = "") -> dict[str, object]:
    if isinstance(should, dict) and isinstance(found, dict) and should.keys() == found.keys():
        name = next(name for name in should if should[name] != found[name])
        return _first_difference(should[name], found[name], f"{path}/{name}")
    if isinstance(should, list) and isinstance(found, list) and len(should) == len(found):
        place = next(place for place in range(len(should)) if should[place] != found[place])
        return _first_difference(should[place], found[place], f"{path}/{place}")
    return {"path": path, "computed": should, "sealed": found}
