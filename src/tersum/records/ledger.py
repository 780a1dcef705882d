"""The check of a ledger: every fact, row, table and personal value against what was sealed, each fault named."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, select

from tersum.errors import N_, OutOfRange
from tersum.records.facts import Head
from tersum.records.findings import Finding
from tersum.records.inspection import Inspection, Recompute
from tersum.records.schema import HASH
from tersum.records.store import Store
from tersum.records.tables import FACTS


def check(store: Store, remembered: Sequence[Head] = (), *, recompute: Recompute | None = None) -> list[Finding]:
    """Return everything in a store that is not as it was sealed; an empty list if nothing is.

    Parameters
    ----------
    store : Store
        Read only, as one state throughout.
    remembered : sequence of Head
        Heads kept outside: from visit records, backups, earlier outputs. Only they can show a cut-off tail or a
        history written anew.
    recompute : callable, optional
        Given a ``visit-decided`` fact and the facts of its visit that came before it, by fact id, corrections
        applied: returns the verdict rows it should hold.

    Returns
    -------
    list of Finding
        In the order of the facts. One act can leave several: a changed body also breaks the link to it.
    """
    with store.database.reading() as connection, _any_text(connection):
        inspection = Inspection(store.organisation_id, connection, recompute)
        return [*inspection.findings(), *_against(store, connection, remembered)]


def head_from(text: str) -> Head:
    """Return a head from ``SEQUENCE:HASH``, as every output writes it.

    Examples
    --------
    >>> head_from("7:" + "0" * 64).sequence
    7
    """
    number, _, kept = text.strip().partition(":")
    if not number.isascii() or not number.isdecimal() or HASH.faults("head", kept) or not 0 < int(number[:16]):
        raise OutOfRange("head", text, N_("number and hash of a fact, as in 7:0123...cdef (64 hexadecimal digits)"))
    return Head(int(number), kept)


@contextmanager
def _any_text(connection: Connection) -> Iterator[None]:
    """Let text that is no text be read all the same: SQLite keeps it, and it is to be told, not to end the check."""
    driver: Any = connection.connection.dbapi_connection
    before = getattr(driver, "text_factory", None)
    if before is not None:
        driver.text_factory = lambda data: data.decode("utf-8", "backslashreplace")
    try:
        yield
    finally:
        if before is not None:
            driver.text_factory = before


def _against(store: Store, connection: Connection, remembered: Sequence[Head]) -> Iterator[Finding]:
    for head in remembered:
        row = connection.execute(select(FACTS.c.hash, FACTS.c.fact_id, FACTS.c.type).where(
            FACTS.c.organisation_id == store.organisation_id, FACTS.c.sequence == head.sequence)).first()
        if row is None:
            yield Finding("tail-cut-off", head.sequence, parameters={"remembered": str(head)})
        elif row.hash != head.hash:
            yield Finding("not-the-remembered-fact", head.sequence, row.fact_id, row.type,
                          {"remembered": str(head), "found": row.hash})
