"""Writing LIMITS.toml: learnt limits as a file that its own reader takes."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import fields as fields_of

from tersum.records.limits_file import SCHEMA, Frozen
from tersum.visit.plan import Limit


def limits_text_of(limits: Sequence[tuple[Limit, str, Frozen | None]]) -> str:
    """Return the text of a file of limits, each with its note and what it was learnt from.

    Examples
    --------
    >>> frozen = Frozen("2026-03-02", "percentile", 95.0, 95.0, 59, 4, 1, "ab", 81.0)
    >>> print(limits_text_of([(Limit("Demo Meter", "Demo Swab", 100.0, "smooth", 81.0, "own", "computed"), "n 59",
    ...                        frozen)]))
    schema = "tersum/limits/1"
    <BLANKLINE>
    [[limit]]
    instrument = "Demo Meter"
    swab = "Demo Swab"
    area_cm2 = 100.0
    surface = "smooth"
    rlu = 81.0
    basis = "own"
    known = "computed"
    note = "n 59"
    <BLANKLINE>
    [limit.frozen]
    on = "2026-03-02"
    method = "percentile"
    share_pct = 95.0
    confidence_pct = 95.0
    points = 59
    vehicles = 4
    seed = 1
    readings_sha256 = "ab"
    anchor_rlu = 81.0
    <BLANKLINE>
    """
    lines = [f'schema = "{SCHEMA}"']
    for limit, note, frozen in limits:
        lines += ["", "[[limit]]"]
        lines += [f"{key} = {_written(getattr(limit, key))}"
                  for key in ("instrument", "swab", "area_cm2", "surface", "rlu", "basis", "known")]
        lines.append(f"note = {_written(note)}")
        if frozen is None:
            continue
        lines += ["", "[limit.frozen]"]
        lines += [f"{one.name} = {_written(getattr(frozen, one.name))}" for one in fields_of(frozen)]
    return "\n".join(lines) + "\n"


def _written(value: object) -> str:
    # A JSON text is a TOML text too; names with control characters never come this far.
    return repr(value) if isinstance(value, float | int) else json.dumps(str(value), ensure_ascii=False)
