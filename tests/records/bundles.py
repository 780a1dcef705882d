"""Evidence bundles to test with: one of an organisation with several visits, and ways of damaging one."""

import base64
import hashlib
import json
import random
from datetime import UTC, datetime

from records.samples import Clock, sample, step
from tersum.records import fact_types
from tersum.records.bundle import evidence_bundle
from tersum.records.canonical import canonical
from tersum.records.facts import Corrects, Entry
from tersum.records.keys import signing_key
from tersum.records.store import open_store
from tersum.records.tree_head import TreeHead, signed_head

MOMENT = datetime(2026, 3, 3, 12, 0, tzinfo=UTC)
READING = {(one.name, one.version): one for one in fact_types.TYPES.values()}["readings-taken", 1].row


def issued(store, visit, number, pdf):
    return store.append(Entry("record-issued", {
        "visit_id": visit, "number": number, "key_id": "0" * 32, "decision": store.new_id(), "ended": None,
        "issued_utc": "2026-03-02T10:00:00.000000Z", "pdf_sha256": hashlib.sha256(pdf).hexdigest(),
        "pdf_bytes": len(pdf)}, actor_id=store.device_id, operation_id=store.new_id()))


def an_organisation(home, seed=0, visits=4):
    """Return an open store with visits of different lengths, and the numbers of their records with their PDFs."""
    made = random.Random(seed)
    store = open_store(home, f"example-{seed}", create=True, clock=Clock(), zone="Europe/Lisbon")
    pdfs = {}
    for count in range(visits):
        visit = store.new_id()
        done = [store.append(step(store, visit, name=f"wipe {place} é")) for place in range(made.randrange(1, 5))]
        if made.random() < 0.7:
            # The sample's own commitments are of nobody in this store, so readings stand without their optional part.
            rows = [{name: sample(kind) for name, kind in READING.required.items()}
                    for _row in range(made.randrange(1, 6))]
            store.append(Entry("readings-taken", {"visit_id": visit}, rows=rows, actor_id=store.device_id,
                               operation_id=store.new_id()))
        if made.random() < 0.5:
            store.append(Entry("correction", {
                "changes": [{"path": "/data/step", "was": done[0].data["step"], "is": "rinse"}], "withdrawn": False,
                "visit_id": visit}, corrects=Corrects(done[0].fact_id, "typing-error"), actor_id=store.device_id,
                operation_id=store.new_id()))
        number, pdf = f"R-{count}", f"%PDF {seed} {count}".encode()
        issued(store, visit, number, pdf)
        pdfs[number] = pdf
        if made.random() < 0.3:
            issued(store, visit, f"{number}-again", pdf + b" again")
            pdfs[f"{number}-again"] = pdf + b" again"
        if made.random() < 0.3:
            store.append(Entry("record-withdrawn", {"visit_id": visit, "number": number, "reason": "other",
                                                    "replaced_by": None}, actor_id=store.device_id,
                               operation_id=store.new_id()))
    return store, pdfs


def a_bundle(home, store, number):
    """Return a bundle, its key's digits and the key."""
    key = signing_key(home, now=MOMENT)
    return evidence_bundle(store, key, number, moment=MOMENT), key


def resealed(given, signer, **changes):
    """Return a bundle whose head says something else and is signed by the right key: the work of an insider."""
    says = json.loads(given["head"]["body"]) | changes
    head = TreeHead(**{name: value for name, value in says.items() if name != "schema"})
    return given | {"head": signed_head(head, signer)}


def flipped(text, made):
    """Return a text with one character changed into another of the same kind."""
    place = made.randrange(len(text))
    old = text[place]
    new = made.choice([one for one in ("0123456789" if old.isdigit() else "abcdef") if one != old.lower()])
    return text[:place] + new + text[place + 1:]


def damaged(given, key, other, made):
    """Return a bundle that breaks one rule of the format, chosen by ``made``, and the name of the damage."""
    one = json.loads(json.dumps(given))
    facts = one["facts"]
    place = made.randrange(len(facts))
    kind = made.choice(DAMAGES)
    if kind == "body":
        facts[place]["body"] = flipped(facts[place]["body"], made)
    elif kind == "blank":
        facts[place]["body"] = facts[place]["body"].replace(":", ": ", 1)
    elif kind == "dropped-proof" and facts[place]["proof"]:
        facts[place]["proof"].pop(made.randrange(len(facts[place]["proof"])))
    elif kind == "longer-proof":
        facts[place]["proof"].append("0" * 64)
    elif kind == "proof" and facts[place]["proof"]:
        facts[place]["proof"][-1] = flipped(facts[place]["proof"][-1], made)
    elif kind == "row":
        facts[place]["rows"].append("{}")
    elif kind == "swapped" and len(facts) > 1:
        facts[0], facts[-1] = facts[-1], facts[0]
    elif kind == "doubled":
        facts.insert(place, facts[place])
    elif kind == "no-record":
        one["facts"] = [fact for fact in facts if '"record-issued"' not in fact["body"]] or facts[:0]
    elif kind == "number":
        one["number"] += "x"
    elif kind == "signature":
        raw = bytearray(base64.b64decode(one["head"]["signature"]))
        raw[-1] ^= 1
        one["head"]["signature"] = base64.b64encode(raw).decode()
    elif kind == "head":
        one["head"]["body"] = flipped(one["head"]["body"], made)
    elif kind == "other-key":
        one = resealed(one, other, key=other.fingerprint)
    elif kind == "key-of-another":
        one["head"]["certificate"] = resealed(one, other, key=other.fingerprint)["head"]["certificate"]
    elif kind == "shorter-tree":
        one = resealed(one, key, sequence=max(1, json.loads(facts[-1]["body"])["sequence"] - 1))
    elif kind == "other-tree":
        one = resealed(one, key, tree="0" * 64)
    elif kind == "other-organisation":
        one = resealed(one, key, organisation_id="01a2125f-08f3-7365-b049-9acb499e37f4")
    elif kind == "more-keys":
        one["note"] = "hello"
    elif kind == "schema":
        one["schema"] = "tersum/evidence-bundle/2"
    else:  # a fact put together anew: right in itself, and never sealed
        body = json.loads(facts[place]["body"])
        body["data"] = body["data"] | {"note": "never sealed"}
        facts[place]["body"] = canonical(body).decode()
        kind = "invented"
    return one, kind


DAMAGES = ("body", "blank", "dropped-proof", "longer-proof", "proof", "row", "swapped", "doubled", "no-record",
           "number", "signature", "head", "other-key", "key-of-another", "shorter-tree", "other-tree",
           "other-organisation", "more-keys", "schema", "invented")
