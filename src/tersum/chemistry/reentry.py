"""When a space may be entered again: never a countdown, always the longest of label, model, and dry and aired."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tersum.chemistry.accepted import Checks
from tersum.errors import N_

CANNOT_TELL, NOT_BEFORE, NEVER = "cannot-tell", "not-before", "never"
NO_VENTILATION, NO_LIMIT, NO_LABEL, NOT_DRY, NOT_AIRED = (
    "ventilation-not-known", "limit-not-known", "label-silent", "not-seen-dry-or-rinsed", "not-aired")
NOTHING_AIRS = "nothing-airs-it"


@dataclass(frozen=True)
class ReEntry:
    """The answer, the least number of minutes after the work began where there is one, and what stands against it.

    ``not-before`` with no open reason means: not before so many minutes, and only if nothing has changed. There is no
    answer that says when it is free of risk.
    """

    answer: str
    least_min: float | None
    decides: str
    open: tuple[str, ...]


def re_entry(*, label_min: float | None, model_min: float | None, ventilation_known: bool,
             dry_or_rinsed: bool | None = None, aired: bool | None = None) -> ReEntry:
    """Return what can be told of entering again.

    Parameters
    ----------
    label_min : float or None
        What the product's label asks, min from the beginning of the work; 0 where it was read and asks nothing, None
        where it was not read: then nothing can be told.
    model_min : float or None
        What the box model gives for the public, min; infinite without ventilation, None where it can give nothing.
    ventilation_known : bool
        Whether the air changes were measured or stated; an assumed figure is not known.
    dry_or_rinsed, aired : bool or None
        What was seen; None is not seen.

    Examples
    --------
    >>> re_entry(label_min=30.0, model_min=45.0, ventilation_known=True, dry_or_rinsed=True, aired=True)
    ReEntry(answer='not-before', least_min=45.0, decides='model', open=())
    >>> re_entry(label_min=30.0, model_min=45.0, ventilation_known=False).answer
    'cannot-tell'
    """
    checks = Checks()
    for field, value in (("label_min", label_min), ("model_min", None if model_min == math.inf else model_min)):
        if value is not None:
            checks.number(field, value, N_("0 min or more"), low=0.0)
    checks.done()
    missing = [code for code, there in ((NO_VENTILATION, ventilation_known), (NO_LABEL, label_min is not None),
                                        (NO_LIMIT, not ventilation_known or model_min is not None)) if not there]
    unseen = [code for code, seen in ((NOT_DRY, dry_or_rinsed), (NOT_AIRED, aired)) if not seen]
    least = max((one for one in (label_min, model_min if ventilation_known else None) if one is not None), default=None)
    if ventilation_known and model_min == math.inf:
        return ReEntry(NEVER, None, "model", (NOTHING_AIRS, *missing, *unseen))
    if missing:  # the longest of three is not known while one of them is not
        return ReEntry(CANNOT_TELL, least, "nothing", (*missing, *unseen))
    decides = "label" if label_min is not None and least == label_min else "model"
    return ReEntry(NOT_BEFORE, least, decides, (*missing, *unseen))
