"""The outcome of a visit: what all its points say together, what is left to do, and how it ended."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tersum.errors import N_
from tersum.evidence.conformity import all_conform
from tersum.visit.decision import (
    CLEAN_AGAIN,
    COULD_NOT,
    DONE,
    NO_LIMIT_YET,
    NOT_COUNTED,
    NOT_READ,
    SWAB_AGAIN,
    Decision,
)
from tersum.visit.fields import Fields

# Worst first: what a person should see and do before the rest.
ORDER = (COULD_NOT, CLEAN_AGAIN, SWAB_AGAIN, NOT_COUNTED, NOT_READ, NO_LIMIT_YET, DONE)
FINISHED = "finished"
OPEN = "open"
ENDINGS = (FINISHED, "handed-over-with-open-points", "stopped", "not-measured")
_CORRELATION = 0.3


@dataclass(frozen=True)
class Statement:
    """All points together. The probabilities are None where a point has none.

    ``all_conform_independent`` multiplies; ``all_conform_correlated`` has errors correlated by 0.3, as one meter and
    one lot bring; ``all_conform_shifted`` has every true value 20 % higher.
    """

    swabbed: int
    done: int
    planned: int
    all_conform_independent: float | None
    all_conform_correlated: float | None
    all_conform_shifted: float | None


@dataclass(frozen=True)
class Ending:
    """How the visit ended: finished, or honestly not."""

    kind: str
    reason: str = ""
    open_points: tuple[str, ...] = ()


def statement(decisions: Sequence[Decision], shifted: Sequence[float] | None = None) -> Statement:
    """Return what all decisions say together; ``shifted`` are the probabilities with true values 20 % higher."""
    probabilities = [one.p_conform for one in decisions]
    known = [one for one in probabilities if one is not None]
    complete = bool(decisions) and len(known) == len(decisions)
    return Statement(
        swabbed=sum(one.n > 0 for one in decisions), done=sum(one.verdict == DONE for one in decisions),
        planned=len(decisions),
        all_conform_independent=round(float(all_conform(known)), 4) if complete else None,
        all_conform_correlated=round(float(all_conform(known, correlation=_CORRELATION)), 4) if complete else None,
        all_conform_shifted=round(float(all_conform(list(shifted))), 4) if complete and shifted else None)


def work_list(decisions: Sequence[Decision]) -> tuple[Decision, ...]:
    """Return the points that are not done, worst first, in the order given within one verdict."""
    return tuple(sorted((one for one in decisions if one.verdict != DONE), key=lambda one: ORDER.index(one.verdict)))


def ending_from(table: Mapping[str, object]) -> Ending | None:
    """Return the ``ending`` table of a visit file, or None; raise :class:`Faults` with everything wrong in it."""
    if "ending" not in table:
        return None
    fields = Fields(table["ending"], "ending")
    kind = fields.text("kind", choices=ENDINGS)
    ending = Ending(kind, fields.text("reason", most=500) if kind != FINISHED else "")
    fields.close()
    fields.finish()
    return ending


def ended(decisions: Sequence[Decision], ending: Ending | None) -> Ending:
    """Return how the visit stands: finished where every planned point is done, else as stated, else open.

    Raises
    ------
    Faults
        If the file says finished and points are open, or says open and none is.
    """
    left = tuple(one.point for one in work_list(decisions))
    if ending is None:
        return Ending(OPEN if left else FINISHED, "", left)
    if (ending.kind == FINISHED) == bool(left):
        fields = Fields({}, "ending")
        fields.refuse("kind", ending.kind,
                      N_("another ending, with its reason: {open} points are open") if left
                      else N_("finished, or no ending at all: every planned point is done"), open=len(left))
        fields.finish()
    return Ending(ending.kind, ending.reason, left)
