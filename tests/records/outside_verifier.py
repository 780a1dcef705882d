"""Tells from an evidence bundle alone whether a visit record is proved under a trusted key, and how it stands."""

import base64
import hashlib
import json
import re
from datetime import datetime

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

UUID = r"[0-9a-fA-F]{8}(-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}"
MOMENT = r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{6}Z"


def need(condition: bool, rule: str) -> None:
    if not condition:
        raise ValueError(rule)


def sha(*parts: bytes) -> bytes:
    return hashlib.sha256(b"".join(parts)).digest()


def unhex(value: object) -> bytes:
    need(isinstance(value, str) and re.fullmatch("[0-9a-f]{64}", value) is not None, "a hash is 64 small digits")
    return bytes.fromhex(value)


def ordered(pairs: list) -> dict:
    result = dict(sorted(pairs, key=lambda pair: pair[0].encode("utf-16-be")))
    need(len(result) == len(pairs), "no key occurs twice")
    return result


def whole(digits: str) -> int:
    # Also called for floats and NaN, at which int() raises.
    need(abs(int(digits)) < 2**53, "whole numbers lie within 2^53 - 1")
    return int(digits)


def parse(text: str) -> object:
    return json.loads(text, object_pairs_hook=ordered, parse_int=whole, parse_float=whole, parse_constant=whole)


def canonical(text: object) -> object:
    value = parse(text)  # the keys of its objects are sorted as they are read
    # Encoding raises at half a surrogate pair, which json reads without complaint.
    need(json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode() == text.encode(), "canonical form")
    return value


def keys(value: object, names: str) -> dict:
    need(isinstance(value, dict) and set(value) == set(names.split()), f"exactly these keys: {names}")
    return value


def root(leaves: list[bytes]) -> bytes:
    if len(leaves) < 2:
        return leaves[0] if leaves else sha()  # RFC 6962: the tree over nothing is the hash of nothing
    half = 1 << ((len(leaves) - 1).bit_length() - 1)
    return sha(b"\x01", root(leaves[:half]), root(leaves[half:]))


def root_from_proof(leaf: bytes, index: int, size: int, proof: list[bytes]) -> bytes:
    last, node = size - 1, leaf
    for neighbour in proof:
        need(last > 0, "the proof is too long")
        if index & 1 or index == last:
            node = sha(b"\x01", neighbour, node)
            while index and not index & 1:  # no neighbour at these levels: the right edge of a ragged tree
                index, last = index >> 1, last >> 1
        else:
            node = sha(b"\x01", node, neighbour)
        index, last = index >> 1, last >> 1
    need(last == 0, "the proof is too short")
    return node


def read_head(parts: dict, trusted: set[str]) -> dict:
    keys(parts, "body signature certificate")
    head = keys(canonical(parts["body"]), "schema organisation_id sequence hash tree utc key")
    need(head["schema"] == "tersum/signed-head/1", "schema of the head")
    need(re.fullmatch(UUID, head["organisation_id"]) is not None, "organisation_id is a UUID")
    need(re.fullmatch(MOMENT, head["utc"]) and datetime.fromisoformat(head["utc"]), "utc")
    need(type(head["sequence"]) is int and head["sequence"] >= 1, "sequence of the head")
    key, _, _ = [unhex(head[name]).hex() for name in ("key", "hash", "tree")]
    need(any(told in (key, key[:32]) for told in trusted), "the key is not trusted")
    (certificate,) = x509.load_pem_x509_certificates(parts["certificate"].encode())
    public = certificate.public_key()
    need(isinstance(public, ec.EllipticCurvePublicKey) and public.curve.name == "secp256r1", "a key on P-256")
    need(sha(public.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)).hex() == key, "another key")
    signature = base64.b64decode(parts["signature"], validate=True)
    need(base64.b64encode(signature).decode() == parts["signature"], "base64 with padding")
    public.verify(signature, b"tersum/signed-head/1\n" + parts["body"].encode(), ec.ECDSA(SHA256()))
    return head


def read_fact(parts: dict, head: dict) -> dict:
    keys(parts, "body rows proof")
    fact, rows, proof = canonical(parts["body"]), parts["rows"], parts["proof"]
    need(isinstance(rows, list) and isinstance(proof, list), "rows and proof are lists")
    need(isinstance(fact["type"], str) and isinstance(fact["data"], dict), "type and data")
    need(fact["organisation_id"] == head["organisation_id"], "another organisation")
    number, data = fact["sequence"], fact["data"]
    need(type(number) is int and 1 <= number <= head["sequence"], "sequence of a fact")
    hashed = sha(b"tersum/fact/1\n", parts["body"].encode())
    top = root_from_proof(sha(b"\x00", hashed), number - 1, head["sequence"], [unhex(step) for step in proof])
    need(top.hex() == head["tree"], "the fact is not in the tree")
    need(number < head["sequence"] or hashed.hex() == head["hash"], "hash of the last fact")
    for row in rows:
        canonical(row)
    if "merkle_root" in data:
        need(type(data["count"]) is int and data["count"] == len(rows), "count of rows")  # True == 1
        need(root([sha(b"\x00", row.encode()) for row in rows]).hex() == data["merkle_root"], "rows")
    else:
        need(not rows, "rows without a root")
    visit = data.get("visit_id")
    need(isinstance(visit, str) or (visit is None and fact["type"] == "correction"), "visit_id")
    return fact


def standing(body: bytes, trusted: set[str], pdf: bytes | None) -> str:
    bundle = keys(parse(body.decode("utf-8")), "schema number head facts")
    number, facts = bundle["number"], bundle["facts"]
    need(bundle["schema"] == "tersum/evidence-bundle/1" and isinstance(number, str), "schema and number")
    head = read_head(bundle["head"], trusted)
    need(isinstance(facts, list), "facts are a list")
    facts = [read_fact(fact, head) for fact in facts]
    places = [fact["sequence"] for fact in facts]
    need(all(one < other for one, other in zip(places, places[1:], strict=False)), "sequences rise")
    need(len({fact["data"].get("visit_id") for fact in facts} - {None}) == 1, "one visit")
    issued = [fact for fact in facts if fact["type"] == "record-issued"]
    (record,) = [fact for fact in issued if fact["data"].get("number") == number]
    told = [record["data"].get(name) for name in ("pdf_bytes", "pdf_sha256")]
    need(pdf is None or (type(told[0]) is int and told == [len(pdf), sha(pdf).hex()]), "another PDF")
    after = [fact for fact in facts if fact["sequence"] > record["sequence"]]
    if any(fact["type"] == "record-withdrawn" and fact["data"].get("number") == number for fact in after):
        return "withdrawn"
    return "replaced" if any(fact["type"] == "record-issued" for fact in after) else "in-force"


def accepts(body: bytes, trusted: set[str], pdf: bytes | None = None) -> str | None:
    """Return "in-force", "replaced" or "withdrawn" if the bundle proves its record, else None."""
    try:
        return standing(body, trusted, pdf)
    except Exception:  # noqa: BLE001  whatever cannot be read is no bundle
        return None
