"""The outcome of a visit: what all its points say together, what is left to do, and how it ended."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tersum.errors import N_
from tersum.evidence.conformity import all_conform, drawn_stratum_share, with_shared_shift
from tersum.fields import Fields
from tersum.visit.decision import (
    CLEAN_AGAIN,
    COULD_NOT,
    DONE,
    NO_LIMIT_YET,
    NOT_COUNTED,
    NOT_READ,
    SWAB_AGAIN,
    Decision,
    Terms,
)

# Worst first: what a person should see and do before the rest.
ORDER = (COULD_NOT, CLEAN_AGAIN, SWAB_AGAIN, NOT_COUNTED, NOT_READ, NO_LIMIT_YET, DONE)
FINISHED = "finished"
OPEN = "open"
ENDINGS = (FINISHED, "handed-over-with-open-points", "stopped", "not-measured")
_CORRELATION = 0.3


@dataclass(frozen=True)
class Statement:
    """All points together. What cannot be computed, since a point has no probability, is None.

    ``all_conform_independent`` multiplies; ``all_conform_correlated`` has errors correlated by 0.3, as one meter and
    one lot bring; ``all_conform_shifted`` has every true value 20 % higher. ``stratum_at_least`` of the
    ``stratum_listed`` points that were not fixed conform, with 95 % confidence, by the draw; the fixed points and the
    points outside the list were not drawn and nothing is concluded from one to the other.
    """

    planned: int
    swabbed: int
    done: int
    no_limit: int = 0
    all_conform_independent: float | None = None
    all_conform_correlated: float | None = None
    all_conform_shifted: float | None = None
    stratum_listed: int = 0
    stratum_drawn: int = 0
    stratum_done: int = 0
    stratum_at_least: int = 0


@dataclass(frozen=True)
class Ending:
    """How the visit ended: finished, or honestly not."""

    kind: str
    reason: str = ""
    open_points: tuple[str, ...] = ()


def statement(decisions: Sequence[Decision], terms: Terms, *, drawn: Sequence[str] = (),
              listed: int = 0) -> Statement:
    """Return what all decisions say together.

    Parameters
    ----------
    decisions : sequence of Decision
        Every planned point, also those not read.
    terms : Terms
        The terms they were decided by.
    drawn : sequence of str
        The points that were drawn at random.
    listed : int
        How many points the draw was made from.
    """
    done = {one.point for one in decisions if one.verdict == DONE}
    said = Statement(len(decisions), sum(one.n > 0 for one in decisions), len(done),
                     sum(one.verdict == NO_LIMIT_YET for one in decisions))
    known = [one.p_conform for one in decisions if one.p_conform is not None]
    if decisions and len(known) == len(decisions):
        said = replace(
            said, all_conform_independent=round(all_conform(known), 4),
            all_conform_correlated=round(all_conform(known, correlation=_CORRELATION), 4),
            all_conform_shifted=round(all_conform([_shifted(one, terms) for one in decisions]), 4))
    unjudged = {one.point for one in decisions if one.verdict == NO_LIMIT_YET}
    if drawn and listed and not unjudged & set(drawn):
        share = drawn_stratum_share(listed, len(drawn), len(done & set(drawn)))
        said = replace(said, stratum_listed=listed, stratum_drawn=len(drawn), stratum_done=share.released,
                       stratum_at_least=share.at_least)
    return said


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
                      N_("another ending, with its reason; points still open: {open}") if left
                      else N_("finished, or no ending at all: every planned point is done"), open=len(left))
        fields.finish()
    return Ending(ending.kind, ending.reason, left)


def _shifted(decision: Decision, terms: Terms) -> float:
    """Return the probability that a point conforms if all true values lie 20 % higher."""
    if decision.geometric_mean_rlu is None or decision.limit_rlu is None or decision.mean_operator in (">=", "between"):
        return 0.0  # over range somewhere: the upper end is not known
    return float(with_shared_shift(
        math.log10(decision.geometric_mean_rlu), decision.n, limit_rlu=decision.limit_rlu,
        spread_log10=terms.spread_log10, degrees_of_freedom=terms.degrees_of_freedom))
