"""What an efficacy test says, in plain sentences: its answer, why it is none, what it rests on, what it leaves open."""

from __future__ import annotations

import math
from collections.abc import Mapping

from tersum.catalogue import load
from tersum.documents.numbers import number_text
from tersum.documents.text import _, ngettext
from tersum.errors import N_
from tersum.lethality.efficacy import Efficacy, Failing, requirement
from tersum.lethality.label_claims import Claim
from tersum.lethality.log_reduction import LogReduction
from tersum.lethality.residual_risk import DoseResponse

ANSWERS: Mapping[str, str] = {
    "met": N_("met"), "not-met": N_("not met"), "cannot-tell": N_("cannot tell"),
    "not-assessable": N_("not assessable: the control was too low to show it"),
    "invalid": N_("invalid: neither met nor not met, the test has to be run again"),
}
FAILINGS: Mapping[str, str] = {
    "controls-missing": N_("There are no validation controls."),
    "control-carriers-missing": N_("The control carriers were not counted."),
    "distribution-test-missing": N_("There was no distribution test."),
    "validation-suspension": N_("The validation suspension is {value} CFU/mL; accepted: {range}."),
    "control-a": N_("Control A (conditions of the test) is {value} CFU/mL; accepted: {range}."),
    "control-b": N_("Control B (neutraliser) is {value} CFU/mL; accepted: {range}."),
    "control-c": N_("Control C (method) is {value} CFU/mL; accepted: {range}."),
    "test-suspension": N_("The test suspension is {value} CFU/mL; accepted: {range}."),
    "carriers": N_("{value} carriers were tested; accepted: {range}."),
    "carrier-density": N_("The control carriers held {value} log10 CFU; accepted: {range}."),
    "transfer-control": N_("The wipe with water carried {value} CFU to a field; accepted: {range}: it shows no "
                           "transfer that a product could prevent."),
    "room-size": N_("The room is {value} m3; accepted: {range}, or a small chamber."),
    "neutraliser-effectiveness": N_("With neutraliser and product {value} of the untouched cells came back; accepted: "
                                    "{range}: the product goes on working in the plate, and the reduction reads too "
                                    "high."),
    "neutraliser-toxicity": N_("With the neutraliser alone {value} of the untouched cells came back; accepted: "
                               "{range}: the neutraliser itself harms."),
    "neutraliser-replicates": N_("The neutraliser was checked in {value} replicates; accepted: {range}."),
}
FLAGS: Mapping[str, str] = {
    "within-the-spread-between-laboratories": N_("It scrapes past: between laboratories such results have differed by "
                                                 "a standard deviation of {low} to {high} log10."),
    "lower-limit-below-the-requirement": N_("The mean reaches the requirement, its lower 95 % limit does not: this "
                                            "test alone does not show it."),
    "no-replicates": N_("No replicates: the scatter, and so any lower limit, is unknown."),
    "interval-of-counting-alone": N_("The lower limit holds the chance of counting alone, no other scatter."),
    "carriers-without-growth-taken-at-their-limit": N_("Carriers without growth were taken at the detection limit: the "
                                                       "mean is a bound."),
    "range-of-carrier-density-not-known": N_("The accepted density of the carriers is not known here: it was not "
                                             "judged."),
    "one-plate-below-the-range": N_("One plate lies below the countable range, another in it: the less favourable "
                                    "reading was taken. Look the rule up in the edition in force."),
    "one-plate-above-the-range": N_("One plate lies above the countable range, another in it: the less favourable "
                                    "reading was taken. Look the rule up in the edition in force."),
    "dilutions-do-not-agree": N_("Two dilutions of the suspension do not agree: their quotient is not 5 to 15."),
    "spread": N_("It spreads: more than the accepted number was carried on to the other fields, whatever the reduction "
                 "on the first."),
    "distribution-not-met": N_("The distribution test was not met: it did not work everywhere in the room."),
    "neutraliser-not-checked": N_("No neutraliser check is stated: product left in the plates would make the reduction "
                                  "read too high."),
    "validation-controls-not-judged": N_("The method's own validation controls are not judged here: their ranges are "
                                         "not known."),
    "fewer-than-three-batches": N_("Fewer than three batches: the method asks for three, on three days."),
    "effect-in-a-dilution": N_("An effect was seen in a dilution: this claim asks for none in any."),
    "range-of-the-suspension-as-stated-in-the-file": N_("The range of the suspension is the one that the file states."),
    "assay-wider-than-half-a-log": N_("The assay is wide: the 95 % limits of a titre lie beyond half a log10."),
    "shares-do-not-fall": N_("The shares of wells do not fall with dilution: look at the plates again."),
    "next-stronger-dilution-assumed-all-positive": N_("No dilution was all positive: the next stronger one was taken "
                                                      "as such."),
    "next-weaker-dilution-assumed-all-negative": N_("No dilution was all negative: the next weaker one was taken as "
                                                    "such."),
    "no-half-way-point": N_("No dilution lies at the half-way point: the titre is a bound."),
    "log-of-mean": N_("Logarithm of the mean of the treated carriers, which a risk goes by; it has no interval here."),
    "mean-of-logs": N_("Mean of the logarithms; the logarithm of the mean can lie a log10 lower on uneven carriers."),
    "one-strength-only": N_("Suspension tests at one strength only: two or more are asked for (rule from memory)."),
    "no-strength-below-the-requirement": N_("No strength lies below the requirement: the series does not show the "
                                            "range of activity (rule from memory)."),
}
RULES: Mapping[str, str] = {
    "lowest_count": N_("range of plate counts"), "highest_count": N_("range of plate counts"),
    "lowest_suspension": N_("density of the test suspension"),
    "highest_suspension": N_("density of the test suspension"),
    "lowest_validation": N_("validation suspension"), "highest_validation": N_("validation suspension"),
    "control_share": N_("controls A, B and C"), "strong_control_share": N_("control B against a dense suspension"),
    "test_share": N_("share of the suspension in the mixture"), "neutralisation": N_("dilution by the neutraliser"),
    "most_spread": N_("most spread by a wipe"), "least_transfer": N_("least transfer by a wipe with water"),
    "carriers": N_("number of carriers"), "most_positive": N_("most carriers with growth"),
    "least_share": N_("least share of a neutraliser check"),
    "least_replicates": N_("replicates of a neutraliser check"),
    "required": N_("required reduction"),
}
CLAIM_CAUTIONS: Mapping[str, str] = {
    "label-names-the-organisms": N_("The label decides: it names the organisms, the strength, the time and the "
                                    "temperature."),
    "never-across-actives": N_("What holds for one active holds for no other."),
    "clean-first": N_("Clean first, rinse the cleaner off, then disinfect: visible soil, biofilm and porous fabric lie "
                      "outside every claim for hard surfaces."),
    "claim-needs-both-steps": N_("A European claim needs a suspension test and a surface test (2/1 and 2/2)."),
}
COVERAGE: Mapping[str, str] = {"covered": N_("{claim} covers {organism}"),
                               "not-covered": N_("{claim} does not cover {organism}"),
                               "cannot-tell": N_("cannot tell whether {claim} covers {organism}: read the label")}
TEACHING = N_("A figure to teach with: it says nothing of a surface and nothing of a person, and no limit follows from "
              "it.")
RISK_CAUTIONS: Mapping[str, str] = {
    "dose-is-not-surface-density": N_("A dose is what was taken in: no count per cm2 says how much that is."),
    "healthy-adults-or-animals-one-strain": N_("The curve is of one strain in animals or healthy adults: not of the "
                                               "sick, the old or the very young."),
    "total-count-is-no-pathogen-count": N_("A total count, or a reading in RLU, is no count of this organism."),
    "one-route-only": N_("It holds for the one way in that was studied."),
    "approximation-poor": N_("The beta-Poisson formula is a poor approximation with these parameters."),
}
CURVES: Mapping[str, str] = {"exponential": N_("exponential"), "beta-poisson": N_("beta-Poisson")}
NEARLY_ALL = 0.999  # above it, and below the other, no figure is shown: the curves are not known so far out
HARDLY_ANY = 1e-6
LABORATORY = N_("A laboratory result at its own strength, time, temperature and soil. For work the label, the safety "
                "data sheet, local codes and licensed practice decide.")


def reduction_text(reduction: LogReduction) -> str:
    """Return a reduction with its operator, in the reader's words where nothing is known.

    >>> from tersum.lethality.log_reduction import more_than
    >>> reduction_text(more_than(5.386))
    '> 5.38'
    """
    return _("unknown") if reduction.operator == "?" else reduction.text()


def answer_text(found: Efficacy) -> str:
    """Return the answer in words."""
    return _(ANSWERS[found.answer])


def failing_text(failing: Failing) -> str:
    """Return why a test is invalid.

    >>> failing_text(Failing("control-b", 47.0, 48.0, float("inf")))
    'Control B (neutraliser) is 47 CFU/mL; accepted: 48 or more.'
    """
    return _(FAILINGS[failing.code]).format(value=_amount(failing.value), range=_range(failing))


def flag_text(code: str, found: Efficacy | None = None) -> str:
    """Return one flag as a sentence."""
    low, high = found.between_laboratories_log10 if found is not None else (math.nan, math.nan)
    return _(FLAGS[code]).format(low=number_text(low), high=number_text(high))


def reduction_line(found: Efficacy) -> str:
    """Return reduction, requirement and lower limit in one line."""
    parts = [_("log10 reduction {reduction}").format(reduction=reduction_text(found.reduction))]
    if not math.isnan(found.required_log10):
        asked = _("asked: {required}") if requirement(found.test).known != "secondary" else _(
            "asked: {required}, known through a text about the standard")
        parts.append(asked.format(required=number_text(found.required_log10)))
    if "most_positive" in found.details:
        parts.append(_("carriers with growth in the worst batch: {positive}, accepted: up to {most}").format(
            positive=number_text(found.details["positive"]), most=number_text(found.details["most_positive"])))
    lower = found.details.get("lower_log10", math.nan)
    if not math.isnan(lower):
        # Rounded down: a limit that reads 5.00 has to be 5.
        parts.append(_("lower 95 % limit: {lower}").format(lower=number_text(math.floor(lower * 100.0) / 100.0)))
    return "; ".join(parts)


def memory_line(found: Efficacy) -> str:
    """Return which rules are from memory; empty where none is."""
    if not found.from_memory:
        return ""
    named = dict.fromkeys(rule_text(one) for one in found.from_memory)
    return ngettext("From memory, not read in the standard: {rules}. Confirm it before the result is used.",
                    "From memory, not read in the standard: {rules}. Confirm them before the result is used.",
                    len(named)).format(rules=", ".join(named))


def rule_text(name: str) -> str:
    """Return a rule's name in words: a requirement by its test, a number of a method by what it limits.

    >>> rule_text("EN 16615.most_spread"), rule_text("EN 1650 yeasticidal")
    ('most spread by a wipe', 'required reduction')
    """
    key = name.rpartition(".")[2]
    return _(RULES.get(key, RULES["required"]))


def result_lines(found: Efficacy) -> list[str]:
    """Return everything one result says, the answer first."""
    return [answer_text(found), reduction_line(found), *map(failing_text, found.failing),
            *(flag_text(code, found) for code in found.flags), *filter(None, [memory_line(found)])]


def claim_lines(found: Claim) -> list[str]:
    """Return what a claim word covers and what not."""
    lines = [_("{claim} covers: {names}").format(claim=found.word, names=", ".join(found.covers)),
             _("it does not cover: {names}").format(names=", ".join(found.not_covered))]
    if found.known == "memory":
        lines.append(_("From memory, not read in the standard."))
    return lines


def curve_text(curve: DoseResponse) -> str:
    """Return which curve it is and how it is known."""
    model = _(CURVES[curve.model])
    if not curve.name:
        return _("Your own parameters, {model}: nobody checked them here.").format(model=model)
    source = load.sources()[curve.source].title
    if curve.known == "memory":
        return _("{name}: {model}; {source}, from memory").format(name=curve.name, model=model, source=source)
    return _("{name}: {model}; {source}").format(name=curve.name, model=model, source=source)


def probability_text(probability: float) -> str:
    """Return a probability of a curve, never as nothing and never as certain.

    >>> probability_text(0.1170), probability_text(1.0), probability_text(1e-9)
    ('0.117', '> 0.999', '< 0.000001')
    """
    if probability > NEARLY_ALL:
        return f"> {number_text(NEARLY_ALL)}"
    return number_text(probability) if probability >= HARDLY_ANY else f"< {number_text(HARDLY_ANY)}"


def _range(failing: Failing) -> str:
    least, most = failing.least, failing.most
    if least == most:
        return _amount(least)
    if math.isinf(most):
        return _("{least} or more").format(least=_amount(least))
    return _("{least} to {most}").format(least=_amount(least), most=_amount(most))


def _amount(value: float) -> str:
    return f"{value:.2e}" if math.isfinite(value) and abs(value) >= 1e5 else number_text(value)
