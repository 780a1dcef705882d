"""Observed wet time in words: was the label's contact time met, and what to do where it was not."""

from __future__ import annotations

from tersum.documents.numbers import apart
from tersum.documents.text import _, ngettext
from tersum.errors import N_
from tersum.lethality.wet_time import CANNOT_TELL, MET, NOT_MET, ContactMet

_MET = {
    MET: N_("Contact time met: wet for {low} min without a break; the label asks for {label} min."),
    NOT_MET: N_("Contact time not met: wet for {high} min at most without a break; the label asks for {label} min."),
    CANNOT_TELL: N_("Cannot tell whether the contact time was met: it dried unseen, somewhere between {low} and "
                     "{high} min; the label asks for {label} min."),
}


def met_lines(found: ContactMet) -> list[str]:
    """Return whether the label's time was met, and what to do where it was not."""
    wet = found.wet
    numbers = (wet.low_min, wet.high_min, found.label_min)
    low, high, label = (apart(one, numbers) for one in numbers)
    lines = [_(_MET[found.answer]).format(low=low, high=high, label=label)]
    if wet.times_dried:
        lines.append(ngettext("It dried or was wiped {n} time; each time the contact time starts again.",
                              "It dried or was wiped {n} times; each time the contact time starts again.",
                              wet.times_dried).format(n=wet.times_dried))
    if found.answer == MET:
        return lines
    if found.coats > 1:
        lines.append(_("Wet it again before it dries: {n} coats in all at this rate, or put on more at once. That is "
                       "an instruction for the work, no proof: watch the next pass too.").format(n=found.coats))
    else:
        lines.append(_("Treat it again, put on more, and watch it until it dries."))
    return lines


def met_cautions() -> list[str]:
    """Return what goes with every observed wet time."""
    return [_("Wet time is observed at the spot that dries first, for this product, surface and air."),
            _("A contact time that was met is carried out as planned; it is no measurement of organisms."),
            label_first()]


def label_first() -> str:
    """Return the deference that goes with every figure."""
    return _("The label, the safety data sheet, local rules and licensed practice go before anything computed here.")
