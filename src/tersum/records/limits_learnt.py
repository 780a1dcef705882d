"""Writing LIMITS.toml: learnt limits as a file that its own reader takes."""

from __future__ import annotations

import json
from collections.abc import Sequence

from tersum.records.limits_file import SCHEMA
from tersum.visit.plan import Limit


def limits_text_of(limits: Sequence[tuple[Limit, str]]) -> str:
    """Return the text of a file of limits, each with its note.

    Examples
    --------
    >>> print(limits_text_of([(Limit("Demo Meter", "Demo Swab", 100.0, "smooth", 81.0, "own", "computed"), "n 59")]))
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
    """
    lines = [f'schema = "{SCHEMA}"']
    for limit, note in limits:
        lines += ["", "[[limit]]"]
        lines += [f"{key} = {_written(getattr(limit, key))}"
                  for key in ("instrument", "swab", "area_cm2", "surface", "rlu", "basis", "known")]
        lines.append(f"note = {_written(note)}")
    return "\n".join(lines) + "\n"


def _written(value: object) -> str:
    # A JSON text is a TOML text too; names with control characters never come this far.
    return repr(value) if isinstance(value, float) else json.dumps(str(value), ensure_ascii=False)
