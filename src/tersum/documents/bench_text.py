"""What the chemist's bench says: the codes of solution chemistry as sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tersum.chemistry.flags import Flag
from tersum.documents.numbers import number_text
from tersum.documents.text import _
from tersum.errors import N_

# One sentence per code; {about} is a name, {number} what the code carries.
FLAGS: Mapping[str, str] = {
    # pH of a solution
    "ionic-strength-high": N_("Ionic strength {number} mol/kg is above 0.5: the pH may be off by 0.05 or more."),
    "constant-outside-its-range": N_("The constant of {about} was not measured at {number} °C: it is extrapolated."),
    "constant-without-temperature": N_("The constant of {about} is known at one temperature only; its uncertainty of "
                                       "{number} does not cover others."),
    "not-dilute": N_("{about}, {number} mol/kg, is no dilute solution: constants and activities are those of water."),
    "left-out": N_("{about} was left out: nothing is known of it as an acid or base."),
    # meter
    "slope-low": N_("Slope {number} % is below what is accepted."),
    "slope-high": N_("Slope {number} % is above what is accepted: look for a wrong or old buffer."),
    "offset": N_("Offset {number} mV at pH 7 is beyond what is accepted."),
    "not-straight": N_("A buffer lies {number} pH off the line through all of them."),
    "outside-the-buffers": N_("pH {number} lies outside the buffers: calibrate with buffers on both sides."),
    "sample-not-at-buffer-temperature": N_("The sample is {number} K from the buffers' temperature. Compensation "
                                           "corrects the electrode, not the sample."),
    "low-conductivity": N_("Conductivity {number} µS/cm is below 100: a glass electrode needs special technique."),
    "outside-accurate-range": N_("pH {number} lies outside 2 to 12, where a glass electrode is accurate."),
    "calibration-not-good": N_("The calibration on record is not good ({about})."),
    # condensate
    "temperatures-differ": N_("The two samples were read {number} K apart in temperature."),
    "solution-no-weak-acid": N_("The solution's pH is none that acetic acid gives in this water: there is no acid to "
                                "follow."),
    "henry-extrapolated": N_("The volatility of {about} at {number} °C is extrapolated: good to a factor of 2."),
    # titration
    "titre-small": N_("The smallest titre uses {number} of the burette: take a larger sample."),
    "blank-large": N_("The blank of {number} mL is more than a tenth of the titre."),
    "no-blank": N_("No blank was taken off: what the reagents use up counts as strength."),
    # decay
    "scatter-beyond-method": N_("The points scatter by {number} about the best fit, more than twice what the method "
                                "should: look for a wrong point or another law."),
    "few-points": N_("Fewer than four points: no rate is fixed by them."),
    "little-loss": N_("Less than a fifth was lost over the series: no rate is fixed by it. Titrate for longer."),
    "no-loss-shown": N_("The series does not show a loss beyond its scatter."),
    "beyond-the-series": N_("The use-by lies beyond the last titration at {number} h: it is extrapolated."),
    "moved-in-temperature": N_("Rates were moved to {number} °C by Arrhenius: good where only temperature differs."),
    "published-half-life-shorter": N_("Published half-life of {about}: {number} h, shorter than this use-by. Titrate."),
    # steam
    "power-to-spare": N_("The power would make more steam than the machine uses."),
    "below-the-boil": N_("The power does not bring that much water to the boil."),
    "not-in-the-catalogue": N_("{about} is not in the catalogue: nothing can be said of it in a boiler."),
    "gives-off-chlorine": N_("{about}: never in a boiler, it gives off chlorine."),
    "flammable-vapour": N_("{about}: never in a boiler, its vapour burns."),
    "no-permission-of-the-machine-maker": N_("No written permission of the machine's maker is on file."),
    "no-permission-of-the-product-maker": N_("No written permission of the product's maker is on file."),
    "decomposes-and-builds-pressure": N_("{about} decomposes on hot metal and can build up pressure; it grows stronger "
                                         "as water leaves."),
    "corrodes-and-stays-behind": N_("{about} corrodes the boiler, and what does not evaporate stays in it."),
    "foams-and-carries-over": N_("{about} foams: water is carried over with the steam."),
    "leaves-with-the-steam": N_("{about} leaves with the first steam, far stronger than in the water."),
}
CAUTIONS: Mapping[str, str] = {
    "laboratory-work": N_("Laboratory work: a trained person, the safety data sheets, goggles, gloves, a fume hood."),
    "cold-dilute-sulfuric-acid": N_("In dilute sulfuric acid on ice, below 10 °C."),
    "not-beside-organics-or-other-reducers": N_("Permanganate reads too high beside organics and other reducers: use "
                                                "cerium(IV)."),
    "starch-near-the-end": N_("Add the starch near the end."),
    "standardise-monthly": N_("Standardise the thiosulfate monthly."),
    "to-ph-8.2": N_("Titrate to pH 8.2."),
    "carbonate-free-water": N_("Use water free of carbonate."),
    "peroxide-first-and-cold": N_("Peroxide first, cold; then at once the peracid in the same flask."),
    "excess-iodide-at-once": N_("Add the iodide in excess and at once."),
    "finish-within-a-minute": N_("Finish within about a minute: peroxide reacts with iodide too, only slowly."),
    "returning-blue-is-peroxide": N_("Blue that returns is peroxide, not the end point."),
    "acid-after-the-iodide": N_("Add the acid after the iodide, never before: chlorine."),
    "small-sample-gives-off-chlorine": N_("Take a small sample: it gives off chlorine in acid."),
    "peracid-interferes-above-ph-7-destroy-it-first": N_("Peracid counts as acid above pH 7: destroy it first."),
}
SETTLES: Mapping[str, str] = {
    "redox-titration-of-both": N_("titrate peroxide and peracid in the boiler and in the condensate, with blanks"),
    "total-acid-of-both": N_("titrate the total acid of both, peracid destroyed first"),
    "conductivity-of-both": N_("measure the conductivity of both: salts in the condensate are droplets carried over"),
    "water-weighed-in-and-out": N_("weigh the water in and out"),
    "active-oxygen-balance": N_("balance the oxidisers: before = after + residue + decomposed"),
    "gas-volume": N_("measure the gas given off"),
    "control-run-with-plain-acid": N_("run the same water with acetic acid alone"),
}
WORDS: Mapping[str, str] = {
    # comparisons of a pH
    "as-predicted": N_("as predicted"), "more-acid": N_("more acid than predicted"),
    "less-acid": N_("less acid than predicted"),
    "fits": N_("one acid fits the readings"),
    "does-not-fit": N_("no one acid fits the readings: look at the product, the water or the dilutions"),
    # meter
    "good": N_("good"), "clean-and-repeat": N_("clean the electrode and repeat"),
    "replace": N_("replace the electrode"),
    "steady": N_("steady"), "falling": N_("falling"), "rising": N_("rising"), "cannot-tell": N_("cannot tell"),
    # condensate
    "consistent-with": N_("consistent with"), "not-consistent-with": N_("not consistent with"),
    "dilution-or-distillation": N_("dilution or distillation"), "entrainment": N_("droplets carried over"),
    "conversion-to-acid": N_("peracid turned into acid"),
    # titration
    "accepted": N_("the replicates agree: mean"), "third-needed": N_("the two do not agree: titrate a third"),
    "median-of-replicates": N_("the replicates do not agree: median"),
    "single": N_("one titration, nothing to compare"),
    "meets": N_("meets it"), "below": N_("below it"),
    # decay
    "computed": N_("from the series"), "label": N_("the label's life, which is shorter"),
    "lower-bound-only": N_("it held at least so long; no rate is fixed"),
    "below-floor-at-start": N_("it is below the floor from the start"), "both-fit": N_("both orders fit"),
    # steam
    "wet-steam": N_("wet steam"), "water-carried-over": N_("mostly water carried over"), "no-steam": N_("no steam"),
    "superheated": N_("dry, superheated"), "measured": N_("carry-over as measured"),
    "carry-over-unknown": N_("unknown: the carry-over was not measured"),
    "plain-water": N_("plain water: nothing to ask"),
    "permitted-in-writing": N_("permitted in writing by both makers"), "refused": N_("refused"),
    # tank
    "discard": N_("discard what is left and mix afresh"), "may-top-up": N_("may be topped up"),
}


def flag_text(flag: Flag) -> str:
    """Return one flag as a sentence.

    >>> flag_text(Flag("slope-low", "", 93.24))
    'Slope 93.2 % is below what is accepted.'
    """
    about = word(flag.about) if flag.code == "calibration-not-good" else flag.about
    return _(FLAGS[flag.code]).format(about=about, number=number_text(flag.number))


def flag_texts(flags: Iterable[Flag]) -> list[dict[str, object]]:
    """Return flags as the items of a JSON list: code, name, number and sentence."""
    return [{"code": one.code, "about": one.about, "number": one.number, "sentence": flag_text(one)} for one in flags]


def caution_text(code: str) -> str:
    """Return a caution of the laboratory."""
    return _(CAUTIONS[code])


def settle_text(code: str) -> str:
    """Return a measurement that would settle a question."""
    return _(SETTLES[code])


def word(code: str) -> str:
    """Return an answer's code in words; one without words of its own as it stands.

    >>> word("clean-and-repeat"), word("2")
    ('clean the electrode and repeat', '2')
    """
    return _(WORDS[code]) if code in WORDS else code
