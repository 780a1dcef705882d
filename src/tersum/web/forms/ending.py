"""The form that ends a visit: finished, or honestly not, with its reason."""

from __future__ import annotations

from dataclasses import dataclass, field

from tersum.documents.text import _
from tersum.errors import TersumError
from tersum.records.columns import name as name_in
from tersum.visit.outcome import FINISHED
from tersum.web.sending import OPERATION, Form

LONGEST_REASON = 500


@dataclass(frozen=True)
class EndingForm:
    """What was chosen and typed, and what is wrong with it."""

    operation_id: str
    kind: str
    reason: str
    faults: dict[str, str] = field(default_factory=dict)


def ending_form(form: Form, kinds: tuple[str, ...]) -> EndingForm:
    """Return a form with its faults; ``kinds`` are the endings that fit the visit."""
    kind, reason = form.get("kind", ""), form.get("reason", "")
    faults = {}
    if kind not in kinds:
        faults["kind"] = _("Choose how the visit ends.")
    if kind != FINISHED:
        try:
            reason = name_in(" ".join(reason.split()), _("The reason"), longest=LONGEST_REASON)
        except TersumError as fault:
            faults["reason"] = fault.sentence(_)
    return EndingForm(form[OPERATION], kind, reason, faults)
