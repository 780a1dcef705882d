"""Whether a neutraliser stops the product and does no harm itself: without it a count reads too low."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tersum.arguments import row
from tersum.errors import N_, OutOfRange
from tersum.lethality.efficacy import Failing, memorised, outside, rules_of

ACCEPTED = "accepted"
NOT_ACCEPTED = "not-accepted"


@dataclass(frozen=True)
class NeutraliserCheck:
    """Share of the viability control that the two arms recover, and whether both are enough.

    ``effectiveness`` (neutraliser, product, few cells) low: the product goes on in the dilution, and every reduction
    reads too high. ``toxicity`` (neutraliser, cells) low: the neutraliser itself harms. Cells that were never exposed
    are used, so that injured ones may be lost all the same.
    """

    answer: str
    effectiveness: float
    toxicity: float
    failing: tuple[Failing, ...]
    from_memory: tuple[str, ...]


def neutraliser_check(effectiveness: Sequence[float], toxicity: Sequence[float],
                      viability: Sequence[float]) -> NeutraliserCheck:
    """Return whether a neutraliser is accepted.

    Parameters
    ----------
    effectiveness, toxicity, viability : sequence of float
        Counts of the replicates of each arm, CFU, 0 or more; viability above 0.

    Raises
    ------
    OutOfRange
        For counts that are none, and a viability arm without growth.

    Source
    ------
    ASTM E1054: three replicates or more (read); each arm at least half of viability (memory).

    Examples
    --------
    >>> found = neutraliser_check([40, 45, 50], [60, 58, 62], [61, 60, 59])
    >>> found.answer, round(found.effectiveness, 2)
    ('accepted', 0.75)
    """
    rules = rules_of("neutraliser")
    arms = [row(name, values, at_least=0.0) for name, values in (
        ("effectiveness", effectiveness), ("toxicity", toxicity), ("viability", viability))]
    control = float(arms[2].mean())
    if control == 0.0:
        raise OutOfRange("viability", 0, N_("a viability arm that grew"))
    least = rules["least_share"].number
    shares = [float(one.mean()) / control for one in arms[:2]]
    failing = [fault for code, share in zip(("effectiveness", "toxicity"), shares, strict=True)
               for fault in outside(code, share, least, float("inf"))]
    failing += outside("replicates", min(one.size for one in arms), rules["least_replicates"].number, float("inf"))
    return NeutraliserCheck(NOT_ACCEPTED if failing else ACCEPTED, shares[0], shares[1], tuple(failing),
                            memorised([rules[name] for name in rules]))
