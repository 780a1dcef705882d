"""Reading DECISIONS.json: what ``tersum decide --json`` printed, or ``tersum visit run`` wrote, as decisions again."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import BinaryIO

from tersum.errors import N_
from tersum.fields import Fields
from tersum.records.intake import RowFault, refusal
from tersum.records.toml_file import placed
from tersum.visit.decision import VERDICTS, Decision, Reason, ReductionStatement
from tersum.visit.readings import STAGES

SCHEMA = "tersum/decisions/1"
LARGEST_BYTES = 1 << 24
MOST_POINTS = 10_000
_OPERATORS = ("=", "<=", ">=", "between")


def read_decisions(stream: BinaryIO, *, file: str) -> tuple[Decision, ...]:
    """Return the decisions of a file; their reasons and remarks are left out, since nothing drawn shows them.

    Raises
    ------
    RowFault
        If the file is too large or not JSON.
    Faults
        Everything that is wrong with its points, all at once.
    """
    fields = Fields(_object(stream, file))
    fields.text("schema", choices=[SCHEMA])
    decisions = tuple(_decision(one) for one in fields.tables("points", most=MOST_POINTS))
    if fields.faults:
        raise placed(file, fields.faults)
    return decisions


def _object(stream: BinaryIO, file: str) -> Mapping[str, object]:
    data = stream.read(LARGEST_BYTES + 1)
    if len(data) > LARGEST_BYTES:
        raise RowFault(file, refusal("too-large", N_("the file is larger than {most} bytes; accepted: {accepted}."), "",
                                     "", N_("what tersum decide --json prints"), most=LARGEST_BYTES))
    try:
        found = json.loads(data.decode("utf-8-sig"), parse_constant=_no_number)
    except (ValueError, RecursionError) as wrong:
        raise RowFault(file, refusal("not-json", N_("the file is not JSON ({why}); accepted: {accepted}."), "", "",
                                     N_("what tersum decide --json prints"), why=wrong)) from None
    return {"": None} if not isinstance(found, Mapping) else _without_nothing(found)


def _no_number(name: str) -> float:
    raise ValueError(f"{name} is no number")


def _without_nothing(table: Mapping[str, object]) -> dict[str, object]:
    """Return a table with its tables, less the keys that say null."""
    kept: dict[str, object] = {}
    for key, value in table.items():
        if isinstance(value, Mapping):
            kept[key] = _without_nothing(value)
        elif isinstance(value, list):
            kept[key] = [_without_nothing(one) if isinstance(one, Mapping) else one for one in value]
        elif value is not None:
            kept[key] = value
    return kept


def _decision(fields: Fields) -> Decision:
    n = fields.whole("n")
    mean = fields.optional_number("geometric_mean_rlu", above=0.0)
    return Decision(
        point=fields.text("point"), stage=fields.text("stage", choices=STAGES),
        verdict=fields.text("verdict", choices=VERDICTS), reason=Reason("not-read-from-the-file"), n=n,
        round=fields.whole("round", 1, least=1), geometric_mean_rlu=mean,
        mean_operator=fields.text("mean_operator", "=" if mean is not None or not n else "between",
                                  choices=_OPERATORS),
        p_conform=fields.optional_number("p_conform", least=0.0, most=1.0),
        limit_rlu=fields.optional_number("limit_rlu", above=0.0),
        release_level_rlu=fields.optional_number("release_level_rlu", above=0.0),
        looks_left=fields.whole("looks_left", 0), reduction=_reduction(fields.table("reduction", required=False)))


def _reduction(fields: Fields) -> ReductionStatement | None:
    operator = fields.optional_text("operator", choices=("=", "<=", ">=", "?"))
    if operator is None:
        return None
    return ReductionStatement(
        fields.optional_number("factor", above=0.0), fields.optional_number("percent"),
        fields.optional_number("log10"), fields.optional_number("low"), fields.optional_number("high"), operator,
        fields.optional_text("met"))
