"""From rules of thumb of the trade to the decision and the dilution: put in from outside, since nothing of it ships."""

from __future__ import annotations

from typing import Any

from published.adapters import Question, adapts
from tersum.chemistry.dilution import mixture
from tersum.chemistry.ratio import parse_ratio
from tersum.errors import TersumError
from tersum.evidence.reduction import log10_from_percent
from tersum.visit.decision import LimitInForce, Terms
from tersum.visit.readings import Reading
from tersum.visit.rules import decide_point


def _reading(stage: str, rlu: float) -> Reading:
    return Reading("point", stage, rlu, rlu, str(rlu))


@adapts("practice-limit", "limit_rlu", "sd_log10", "looks", "reading_rlu")
def one_swab_against_a_limit(question: Question) -> dict[str, Any]:
    given = question.inputs
    terms = Terms(looks=given["looks"], spread_log10=given["sd_log10"], spread_basis="stated")
    limit = LimitInForce(given["limit_rlu"], "option", "rule of thumb")
    decided = [decide_point("point", [_reading("cleaned", rlu)], terms=terms, limit=limit)
               for rlu in given["reading_rlu"]]
    return {"verdict": [one.verdict for one in decided], "release_level_rlu": decided[0].release_level_rlu}


@adapts("practice-reduction", "percent", "sd_log10", "before_rlu", "after_rlu")
def one_pair_against_a_reduction(question: Question) -> dict[str, Any]:
    given = question.inputs
    terms = Terms(rule="limit and reduction", spread_log10=given["sd_log10"], spread_basis="stated",
                  reduction_target_log10=float(log10_from_percent(given["percent"])))
    found = [decide_point("point", [_reading("as_found", before), _reading("cleaned", after)], terms=terms,
                    limit=None).reduction
             for before, after in zip(given["before_rlu"], given["after_rlu"], strict=True)]
    return {"met": [one.met for one in found], "percent": [one.percent for one in found]}


@adapts("practice-dilution", "ratio", "volume_ml", optional=("reading",))
def one_bucket(question: Question) -> dict[str, Any]:
    given = question.inputs
    try:
        ratio = parse_ratio(given["ratio"], reading=given.get("reading"))
    except TersumError as refusal:
        return {"refused": refusal.code}
    made = mixture(given["volume_ml"], ratio)
    return {"percent": ratio.percent, "concentrate_ml": made.concentrate_ml, "water_ml": made.water_ml,
            "parts_water": ratio.parts_water}
