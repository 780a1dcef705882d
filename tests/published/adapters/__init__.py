"""Adapters: from the inputs of a check case to the public functions of Tersum, and back to result names.

How to write one
----------------
One file per science (``evidence.py``, ``chemistry.py``); every module of this folder is loaded by the runner. A
function is put on the list with :func:`adapts`, by topic and by the set of input names, never by the id of a case::

    @adapts("reduction", "before", "after", "blank", optional=("unit",))
    def reduction_with_blank(question: Question) -> dict[str, object]:
        found = reduction(...)                 # a public function of tersum.*
        return {"net_percent": found.percent}  # result name: number, text, truth value or list of these

An adapter unpacks inputs, names units and calls public functions; it does no arithmetic of its own. It may return more
results than a case asks for: the runner compares those that the case names, and a named result that did not come back
fails. It may look at ``question.units`` (units of the *inputs* only) and, where one set of inputs fits two methods
(Wilson or Clopper-Pearson), at ``question.source``, which names the method. It never sees what should come out: the
runner hands over a copy of the inputs and looks at ``expected`` and ``tolerance`` only afterwards.

``CLAIMED`` lists the topics Tersum claims: a case of a claimed topic that no adapter fits fails, a case of any other
topic is skipped with that reason.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

# The topics claimed, by the adapter file that answers them. A new topic is one line here.
CLAIMED: dict[str, tuple[str, ...]] = {
    "evidence": (
        "atp-evidence",
        "censoring",
        "counts",
        "family-decision",
        "limit-setting",
        "outlier",
        "proportion",
        "reduction",
        "sample-size",
        "sampling-plan",
        "summary-statistics",
        "verdict",
    ),
    "trials": (
        "agreement",
        "calibration-regression",
        "monitoring",
        "multiplicity",
        "randomisation",
        "recovery",
        "roc",
        "treatment-comparison",
        "trend",
        "variance-components",
    ),
    "compatibility": ("h-compatibility",),
    "exposure": ("g-exposure",),
    "practice": ("practice-dilution", "practice-limit", "practice-reduction"),
    "efficacy": (
        "en.N",
        "en.N.consistency",
        "en.logred",
        "en.requirement",
        "en.validation",
        "en.validity",
        "en.wipe",
        "kinetics.fit.geeraerd",
        "kinetics.fit.linear",
        "kinetics.fit.weibull",
        "kinetics.fit.weibull_tail",
        "kinetics.logistic_dose",
        "kinetics.shoulder",
        "report.operator",
        "risk.beta_poisson",
        "risk.exponential",
        "us.carriers.decision",
        "us.carriers.quantal",
        "us.logred",
        "uv.table",
    ),
    "lethality": (
        "counts.below_range",
        "counts.detection_limit",
        "counts.dispersion_index",
        "counts.log_of_zero",
        "counts.poisson_interval",
        "counts.rounding",
        "counts.single_dilution",
        "counts.surface",
        "counts.surface.detection_limit",
        "counts.uncertainty",
        "counts.weighted_mean",
        "ct.chemical.D",
        "ct.concentration_exponent",
        "ct.decay",
        "ct.regression.cryptosporidium.chlorine_dioxide",
        "ct.regression.cryptosporidium.ozone",
        "ct.regression.giardia.free_chlorine",
        "ct.table.clo2.giardia",
        "ct.table.clo2.virus",
        "ct.table.giardia.free_chlorine",
        "ct.table.nh2cl.giardia",
        "ct.table.nh2cl.virus",
        "ct.table.o3.giardia",
        "ct.table.o3.virus",
        "ct.table.virus.free_chlorine",
        "ct.temperature",
        "ct.virus.peracetic_acid",
        "heat.A0.constant",
        "heat.A0.required_time",
        "heat.A0.trace",
        "heat.A0.uncertainty",
        "heat.D",
        "heat.F",
        "heat.F0.constant",
        "heat.F0.reference",
        "heat.z",
        "mpn",
        "virus.conversion",
        "virus.detection_limit",
        "virus.plaque",
        "virus.tcid50",
    ),
    "chemistry": (
        "a-dilution",
        "a-hardness",
        "a-uncertainty",
    ),
    "hazard": ("f-clp",),
    "solution": (
        "b-acid-base",
        "b-buffers",
        "b-ph-meter",
        "c-henry",
        "c-inference",
        "d-titration",
        "e-kinetics",
        "i-steam",
    ),
}


@dataclass(frozen=True)
class Question:
    """What an adapter is told of a case: all but what should come out."""

    topic: str
    inputs: Mapping[str, Any]
    units: Mapping[str, str] = field(default_factory=dict)
    source: str = ""


Answer = Callable[[Question], dict[str, Any]]


class NoAdapter(LookupError):
    """No adapter, or more than one, fits the topic and the names of the inputs."""


@dataclass(frozen=True)
class _Entry:
    topic: str
    needed: frozenset[str]
    optional: frozenset[str]
    function: Answer

    def fits(self, question: Question) -> bool:
        names = frozenset(question.inputs)
        return self.topic == question.topic and self.needed <= names <= self.needed | self.optional


_ENTRIES: list[_Entry] = []


def adapts(topic: str, *needed: str, optional: tuple[str, ...] = ()) -> Callable[[Answer], Answer]:
    """Put a function on the list: cases of ``topic`` with the inputs ``needed``, with or without ``optional`` ones."""

    def put(function: Answer) -> Answer:
        _ENTRIES.append(_Entry(topic, frozenset(needed), frozenset(optional), function))
        return function

    return put


def is_claimed(topic: str) -> bool:
    return any(topic in topics for topics in CLAIMED.values())


def answer(question: Question) -> dict[str, Any]:
    """Return the results of the one adapter that fits, by name."""
    _load()
    fitting = [entry for entry in _ENTRIES if entry.fits(question)]
    if len(fitting) != 1:
        raise NoAdapter(f"{len(fitting)} adapters fit topic {question.topic!r} with inputs {sorted(question.inputs)}")
    return fitting[0].function(question)


def _load() -> None:
    for module in pkgutil.iter_modules(__path__):
        importlib.import_module(f"{__name__}.{module.name}")
