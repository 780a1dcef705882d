"""Sample facts made by walking the schemas: every field of every type is there, and a kind nobody knows fails."""

import copy
from datetime import UTC, datetime, timedelta

from tersum.records import fact_types, schema
from tersum.records.facts import Corrects, Entry
from tersum.records.store import open_store
from tersum.visit.plan import commitment

SEED = "5e" * 32
BY_PATTERN = {schema.UUID.pattern: "01a2125f-08f3-7365-b049-9acb499e37f4", schema.HASH.pattern: "ab" * 32,
              schema.CODE.pattern: "some-code", fact_types.WHEN.required["offset"].pattern: "+00:00",
              fact_types.CHANGE.required["path"].pattern: "/data/step", "": "text as typed é"}


def sample(kind):
    """Return a value of a kind with every optional field in it."""
    if isinstance(kind, schema.Record):
        return {name: sample(one) for name, one in {**kind.required, **kind.optional}.items()}
    if isinstance(kind, schema.ListOf):
        return [sample(kind.kind)]
    if isinstance(kind, schema.MapOf):
        return {"one": sample(kind.kind)}
    if isinstance(kind, schema.Maybe):
        return sample(kind.kind)
    if isinstance(kind, schema.Text):
        return BY_PATTERN[kind.pattern]
    plain = {schema.DecimalText: "0.5", schema.Whole: 3, schema.Flag: True, schema.Free: {"any": ["thing", 1, None]},
             schema.Instant: "2026-03-02T09:14:00.000000Z"}
    return kind.words[0] if isinstance(kind, schema.OneOf) else copy.deepcopy(plain[type(kind)])


def leaves(kind, value, path=()):
    """Yield the path of every field that a schema names, and fail where the value lacks one."""
    if isinstance(kind, schema.Maybe):
        yield from leaves(kind.kind, value, path)
    elif isinstance(kind, schema.Record):
        names = {**kind.required, **kind.optional}
        assert set(value) == set(names), f"{path}: the sample covers {sorted(value)}, the schema names {sorted(names)}"
        for name, one in names.items():
            yield from leaves(one, value[name], (*path, name))
    elif isinstance(kind, schema.ListOf | schema.MapOf):
        keys = range(len(value)) if isinstance(kind, schema.ListOf) else list(value)
        assert keys, f"{path}: the sample has nothing here"
        for key in keys:
            yield from leaves(kind.kind, value[key], (*path, key))
    else:
        yield path


def changed(value):
    """Return a value that differs from the one given and is of the same JSON type."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
    if isinstance(value, str):
        return value[:-1] + ("1" if value[-1:] != "1" else "2")
    if isinstance(value, list):
        return [*value, 1]
    if isinstance(value, dict):
        return {**value, "more": 1}
    return "something"


def with_change(whole, path):
    """Return a deep copy in which the value at ``path`` is another one."""
    whole = copy.deepcopy(whole)
    here = whole
    for step in path[:-1]:
        here = here[step]
    here[path[-1]] = changed(here[path[-1]])
    return whole


class Clock:
    """A clock that goes on a minute at every look."""

    def __init__(self):
        self.now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def __call__(self):
        self.now += timedelta(minutes=1)
        return self.now


def step(store, visit_id, name="wipe"):
    """Return an entry of the smallest useful kind."""
    return Entry("step-carried-out", {"visit_id": visit_id, "step": name, "started_utc": "2026-03-02T09:14:00.000000Z",
                                      "finished_utc": None}, actor_id=store.device_id, operation_id=store.new_id())


def filled(home):
    """Return a store with a fact of every type, every field of every schema filled."""
    store = open_store(home, "example-minibuses", create=True, clock=Clock(), zone="Europe/Lisbon")
    with store.writing() as writing:
        subject = writing.remember_subject("person", {"some-code": "Invented Person"})
        held = writing.commitment(subject, "some-code")
    visit_id = store.new_id()
    step_fact = None
    for kind in fact_types.TYPES.values():
        if kind.name in ("organisation-opened", "subject-erased"):
            continue
        data = _true(sample(kind.data), held)
        if "visit_id" in data:
            data["visit_id"] = visit_id
        if kind.name == "visit-planned":
            data["draw"]["commitment"] = commitment(bytes.fromhex(SEED))
        if kind.name == "draw-revealed":
            data["seed"] = SEED
        corrects = None
        if kind.corrects:
            corrects = Corrects(step_fact.fact_id, "typing-error")
            data["changes"] = [{"path": "/data/step", "was": step_fact.data["step"], "is": "rinse"}]
            data["withdrawn"] = False
        rows = [_true(sample(kind.row), held) for _ in range(3)] if kind.row else []
        fact = store.append(Entry(kind.name, data, actor_id=subject, operation_id=store.new_id(), rows=rows,
                                  corrects=corrects))
        step_fact = fact if kind.name == "step-carried-out" else step_fact
    other = store.remember_subject("person", {"name": "Another Invented Person"})
    store.erase_subject(other, basis="request", actor_id=subject, operation_id=store.new_id())
    return store


def _true(value, held):
    """Put the real commitment wherever the schema has one; an invented one is refused."""
    if isinstance(value, dict):
        return dict(held) if set(value) == set(held) else {name: _true(one, held) for name, one in value.items()}
    return [_true(one, held) for one in value] if isinstance(value, list) else value
