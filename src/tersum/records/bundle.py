"""The evidence bundle: the facts of one visit with proofs into a signed head, checked with nothing but itself.

The format, for whoever writes a verifier: ``docs/methods/evidence-bundle.md``.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select

from tersum.errors import N_, OutOfRange
from tersum.records import canonical, facts, merkle
from tersum.records.facts import Fact
from tersum.records.keys import ID_DIGITS, SigningKey
from tersum.records.schema import HASH, UUID, Free, ListOf, MapOf, Record, Text, Whole
from tersum.records.store import Store
from tersum.records.tables import FACTS
from tersum.records.tree_head import TreeHead, head_signed, signed_head
from tersum.records.trouble import NoStore
from tersum.records.when import utc_text

SCHEMA = "tersum/evidence-bundle/1"
IN_FORCE, REPLACED, WITHDRAWN = "in-force", "replaced", "withdrawn"
NOT_A_BUNDLE, HEAD_WRONG, UNKNOWN_KEY = "not-a-bundle", "head-wrong", "unknown-key"
FACT_WRONG, NOT_IN_TREE, ROWS_WRONG = "fact-wrong", "not-in-tree", "rows-wrong"
OTHER_VISIT, NO_SUCH_RECORD, OTHER_PDF = "other-visit", "no-such-record", "other-pdf"
GENUINE = (IN_FORCE, REPLACED, WITHDRAWN)
_ANY = Text(longest=1 << 24)
# Of a fact no more than the format names: a verifier must not refuse a type that came after it.
_FACT = Record({"organisation_id": UUID, "sequence": Whole(1), "type": _ANY, "data": MapOf(Free())})
_SHAPE = Record({"schema": Text(SCHEMA, SCHEMA), "number": Text(longest=200),
                 "head": Record({"body": _ANY, "signature": _ANY, "certificate": _ANY}),
                 "facts": ListOf(Record({"body": _ANY, "rows": ListOf(_ANY), "proof": ListOf(HASH)}), 1)})


@dataclass(frozen=True)
class BundleCheck:
    """What a check of a bundle found: a code, the fact it is about, and the head if its signature holds."""

    code: str
    sequence: int = 0
    number: str = ""
    head: TreeHead | None = None
    replaced_by: str = ""

    @property
    def genuine(self) -> bool:
        """True where the record was issued as the bundle says, whether or not it still counts."""
        return self.code in GENUINE

    @property
    def counts(self) -> bool:
        """True where it also still counted when the head was signed."""
        return self.code == IN_FORCE


def evidence_bundle(store: Store, key: SigningKey, number: str, *, moment: datetime) -> dict[str, Any]:
    """Return the bundle of a visit record, with a head signed now.

    Parameters
    ----------
    store : Store
        Of the organisation that issued the record.
    key : SigningKey
        This installation's.
    number : str
        Of the record.
    moment : datetime
        When the head is signed, with an offset.

    Raises
    ------
    NoStore
        If no record of this number was issued.
    """
    issued = next((one for one in store.facts(type="record-issued") if one.data["number"] == number), None)
    if issued is None:
        raise NoStore(N_("There is no record {value}. Known: tersum record list."), field="number", value=number)
    with store.database.reading() as connection:
        hashes = [str(row.hash) for row in connection.execute(
            select(FACTS.c.hash).where(FACTS.c.organisation_id == store.organisation_id).order_by(FACTS.c.sequence))]
    leaves = [bytes.fromhex(one) for one in hashes]
    head = TreeHead(store.organisation_id, len(leaves), hashes[-1], merkle.root(leaves).hex(), utc_text(moment),
                    key.fingerprint)
    held = [one for one in store.facts(visit_id=issued.data["visit_id"]) if one.sequence <= len(leaves)]
    return {"schema": SCHEMA, "number": number, "head": signed_head(head, key),
            "facts": [{"body": one.body.decode(), "rows": [row.decode() for row in one.rows],
                       "proof": [step.hex() for step in merkle.inclusion_proof(leaves, one.sequence - 1)]}
                      for one in held]}


def checked_bundle(body: bytes, trusted: Collection[str], pdf: bytes | None = None) -> BundleCheck:
    """Return what a bundle proves, by the rules of its format and nothing else.

    Parameters
    ----------
    body : bytes
        The file.
    trusted : collection of str
        64 or 32 digits of each key that is trusted.
    pdf : bytes, optional
        The record itself.
    """
    given = _parsed(body)
    if given is None or _SHAPE.faults("", given):
        return BundleCheck(NOT_A_BUNDLE)
    head = head_signed(given["head"])
    if head is None:
        return BundleCheck(HEAD_WRONG)
    if not _trusts(trusted, head.key):
        return BundleCheck(UNKNOWN_KEY, head=head)
    held: list[Fact] = []
    for one in given["facts"]:
        wrong, fact = _held(one, head, held[-1].sequence if held else 0)
        if wrong or fact is None:
            return BundleCheck(wrong, fact.sequence if fact else 0, given["number"], head)
        held.append(fact)
    return _record(held, given["number"], head, pdf)


def _trusts(trusted: Collection[str], key: str) -> bool:
    return key in trusted or key[:ID_DIGITS] in trusted


def _parsed(body: bytes) -> Any:
    try:
        return json.loads(body.decode(), object_pairs_hook=_once)
    except (ValueError, RecursionError):
        return None


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len({key for key, _value in pairs}) != len(pairs):
        raise ValueError
    return dict(pairs)


def _held(one: Mapping[str, Any], head: TreeHead, before: int) -> tuple[str, Fact | None]:
    """Return what is wrong with one fact of a bundle, empty if nothing is, and the fact as far as it can be read."""
    try:
        rows = [row.encode() for row in one["rows"]]
        body = one["body"].encode()
        says = canonical.parsed(body)
        for row in rows:
            canonical.parsed(row)
    except (OutOfRange, UnicodeEncodeError):
        return FACT_WRONG, None
    if not isinstance(says, dict) or _FACT.faults("", {name: says.get(name) for name in _FACT.required}):
        return FACT_WRONG, None
    fact = Fact(body, facts.seal(body), says, tuple(rows))
    if fact.envelope["organisation_id"] != head.organisation_id or not before < fact.sequence <= head.sequence:
        return FACT_WRONG, fact
    proof = [bytes.fromhex(step) for step in one["proof"]]
    if not merkle.proves(proof, bytes.fromhex(fact.hash), fact.sequence - 1, head.sequence, bytes.fromhex(head.tree)):
        return NOT_IN_TREE, fact
    if fact.sequence == head.sequence and fact.hash != head.hash:
        return NOT_IN_TREE, fact
    return ("" if _rows_hold(fact, rows) else ROWS_WRONG), fact


def _rows_hold(fact: Fact, rows: Sequence[bytes]) -> bool:
    if "merkle_root" not in fact.data:
        return not rows
    count = fact.data.get("count")
    return type(count) is int and (count, fact.data["merkle_root"]) == (len(rows), merkle.root(rows).hex())


def _record(held: Sequence[Fact], number: str, head: TreeHead, pdf: bytes | None) -> BundleCheck:
    visits = {str(one.data.get("visit_id")) for one in held
              if one.type != "correction" or one.data.get("visit_id") is not None}
    if len(visits) != 1 or visits == {"None"}:
        return BundleCheck(OTHER_VISIT, head=head, number=number)
    issues = [one for one in held if one.type == "record-issued"]
    named = [one for one in issues if one.data.get("number") == number]
    if len(named) != 1:
        return BundleCheck(NO_SUCH_RECORD, head=head, number=number)
    issued = named[0]
    if pdf is not None and (hashlib.sha256(pdf).hexdigest(), len(pdf)) != (issued.data.get("pdf_sha256"),
                                                                           issued.data.get("pdf_bytes")):
        return BundleCheck(OTHER_PDF, issued.sequence, number, head)
    for one in held:
        if one.type == "record-withdrawn" and one.data.get("number") == number and one.sequence > issued.sequence:
            return BundleCheck(WITHDRAWN, one.sequence, number, head, str(one.data.get("replaced_by") or ""))
    later = issues[-1]
    if later.sequence > issued.sequence:
        return BundleCheck(REPLACED, later.sequence, number, head, str(later.data.get("number")))
    return BundleCheck(IN_FORCE, issued.sequence, number, head)
