"""Seals everything of a fact but who did it."""

import json

from tersum.records import facts

WHAT = "the hash leaves out who did it, so that a fact can be put on somebody else"
BREAKS = ["tests/records/test_tampering.py::test_every_field_of_every_fact_is_sealed[visit-ended]"]


def apply(monkeypatch):
    honest = facts.seal

    def seal(body):
        try:
            envelope = json.loads(body)
            envelope.pop("actor_id")
        except (ValueError, LookupError, AttributeError):
            return honest(body)
        return honest(json.dumps(envelope, sort_keys=True).encode())

    monkeypatch.setattr(facts, "seal", seal)
