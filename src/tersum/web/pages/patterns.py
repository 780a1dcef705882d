"""Each fragment of the pages with sample data: for whoever changes one, and for the tests that look at them."""

from __future__ import annotations

from dataclasses import replace

from starlette.requests import Request
from starlette.responses import Response

from tersum.records.visit_list import ListedVisit
from tersum.visit.decision import VERDICTS, Decision, Reason, Terms
from tersum.visit.plan import Instrument, Plan, SamplingPoint
from tersum.visit.readings import Reading
from tersum.visit.walk import Standing, walk
from tersum.web import words
from tersum.web.pages.today import OpenVisit
from tersum.web.rendering import page

_POINT = SamplingPoint("window ledge, row 2", "smooth", "high", True, "plastic")
_ODD = SamplingPoint("מסעד יד <b>&amp;</b> entry handrail on the far side of the second row", "rough", "low", False)
_PLAN = Plan("sample", "example", "Sample place", "vehicle", "Etc/UTC", True, (_POINT, _ODD), 0, (), Terms(),
             Instrument("Demo Meter", "Demo Swab"), ())
_FAULTS = {"sample-text": "The number has an exponent: got 1e3.", "form": "A fault of no field."}


def shown(request: Request) -> Response:
    """Show the fragments."""
    readings = (Reading(_POINT.id, "cleaned", 41.0, 41.0, "41", surface="smooth"),)
    walked = walk(_PLAN, None, readings)
    listed = ListedVisit("example", "0", "sample", "Sample place", "vehicle", "2026-03-02T09:14:00.000000Z",
                         "2026-03-02T10:14:00.000000Z")
    return page(request, "patterns/patterns.html", standings=[*map(_sample, VERDICTS), _odd()], faults_of=_FAULTS,
                last=readings[0], decision=_decision("done"),
                opened=OpenVisit(listed, _PLAN, walked, words.task(_PLAN, walked, walked.task)),
                ended=replace(listed, ending="finished"))


def _decision(verdict: str) -> Decision:
    mean = None if verdict in ("not-read", "not-counted") else 87.2
    limit, level = (None, None) if verdict == "no-limit-yet" else (240.0, 138.6)
    return Decision(_POINT.id, "cleaned", verdict, Reason("no-reading"), 0 if mean is None else 1, 1, mean, "=",
                    None, limit, level, 1, None)


def _sample(verdict: str) -> Standing:
    return Standing(1, _POINT, (), _decision(verdict), None)


def _odd() -> Standing:
    return Standing(2, _ODD, (), replace(_decision("clean-again"), geometric_mean_rlu=9999.0, mean_operator=">="), None)
