"""What a check of the ledger found: a code, the fact it names, and the numbers of the case."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


@dataclass(frozen=True)
class Finding:
    """One thing that is not as it was sealed. A remark (``grave`` False) is worth a look and breaks no seal."""

    code: str
    sequence: int | None = None
    fact_id: str | None = None
    type: str | None = None
    parameters: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}))
    grave: bool = True
