"""How far two swabs of one surface differ, in plain sentences: with how sure that is, and what it leaves out."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tersum.documents.numbers import number_text
from tersum.documents.text import _, ngettext
from tersum.errors import N_
from tersum.evidence import reproducibility as parts
from tersum.evidence.duplicates import Pooled
from tersum.evidence.reproducibility import Reproducibility

_ENOUGH = 20
_TREND = 0.05
_NAMES = {"person": N_("people"), "day": N_("days"), "instrument": N_("instruments")}
_WHY = {
    parts.ONE_LEVEL: N_("Between {names}: not known, only one is named."),
    parts.NOT_CROSSED: N_("Between {names}: not known. They change with the surface and not on it: let two or more "
                          "swab the same surfaces, on three surfaces at least."),
    parts.CONFOUNDED: N_("Between {names}: not known. They change together with the {others}: nothing tells the two "
                         "apart."),
}


def pooled_blocks(found: Pooled, total: Reproducibility | None) -> list[list[str]]:
    """Return what planned duplicates show, a block each: repeatability, classes, level, and what comes on top."""
    blocks = [list(_together(found)), list(_classes(found)), list(_level(found)), list(_components(total))]
    return [block for block in blocks if block]


def aside_lines(unplanned: int, not_said: int, outside: int, single: int) -> list[str]:
    """Return what was left aside, and why."""
    lines = []
    if unplanned:
        lines.append(_("Rows left aside because they were not planned: {count}. A second swab taken because of the "
                       "first was chosen for its value.").format(count=unplanned))
    if not_said:
        lines.append(_("Rows left aside because they do not say whether they were planned: {count} (column planned: "
                       "yes or no; or --all-planned).").format(count=not_said))
    if outside:
        lines.append(_("Rows left aside because they lie outside the meter's range or below their blank: {count}. They "
                       "have no difference.").format(count=outside))
    if single:
        lines.append(_("Swabs that stand alone: {count}. Nobody swabbed that surface again on that day with that "
                       "meter.").format(count=single))
    return lines


def nothing_line() -> str:
    """Return why there is no repeatability, and what would be needed."""
    return _("Cannot tell: no surface has two planned swabs that differ. Needed are pairs of swabs on areas side by "
             "side, planned before anything is read: 20 of them, or 10 to begin with.")


def _together(found: Pooled) -> Iterator[str]:
    own = found.together
    yield _("Two swabs of one surface differ by a factor of {factor} or less in 95 of 100 cases: repeatability "
            "{spread} log10.").format(factor=number_text(found.factor, digits=2), spread=number_text(own.spread_log10))
    freedom = int(own.degrees_of_freedom)
    yield ngettext("From {cells} surface swabbed again, {freedom} degree of freedom; the true spread may be up to "
                   "{upper} log10 (95 % sure).",
                   "From {cells} surfaces swabbed again, {freedom} degrees of freedom; the true spread may be up to "
                   "{upper} log10 (95 % sure).", freedom).format(
                       cells=found.cells, freedom=freedom, upper=number_text(found.upper_log10))
    if freedom < _ENOUGH:
        yield _("{more} more would make {enough}, which is what to aim at.").format(
            more=_ENOUGH - freedom, enough=_ENOUGH)
    yield _("For INSTRUMENT.toml: spread_log10 = {spread}, degrees_of_freedom = {freedom}").format(
        spread=f"{own.spread_log10:.4f}", freedom=freedom)


def _classes(found: Pooled) -> Iterator[str]:
    if len(found.classes) < 2:
        return
    p = number_text(found.p_classes, digits=2)
    if math.isnan(found.p_classes):
        yield _("Too few surfaces of each class to compare the classes: taken together until shown to differ.")
    elif found.apart:
        yield _("The classes of surface scatter differently (p {p}): do not take them together, keep one repeatability "
                "for each.").format(p=p)
    else:
        yield _("The classes of surface are not shown to scatter differently (p {p}), and are taken together. That is "
                "no proof that they scatter alike.").format(p=p)
    for one in found.classes:
        text = _("{name}: {spread} log10, {freedom} degrees of freedom.")
        if math.isfinite(one.findable_ratio):
            text = _("{name}: {spread} log10, {freedom} degrees of freedom. A spread {ratio} times that of the rest "
                     "would be found three times in four.")
        yield text.format(name=one.name or _("(no surface named)"), spread=number_text(one.spread_log10),
                          freedom=one.degrees_of_freedom, ratio=number_text(one.findable_ratio, digits=2))


def _level(found: Pooled) -> Iterator[str]:
    if found.trend is None:
        yield _("Whether low readings scatter more is not tested: that takes ten surfaces.")
    elif found.trend.p_grows_low < _TREND:
        yield _("Low readings scatter more than high ones (rank correlation {r}): one spread for all levels is wrong. "
                "Take it from readings near the limit.").format(r=number_text(found.trend.rank_correlation, digits=2))
    else:
        yield _("Low readings are not seen to scatter more than high ones (rank correlation {r}).").format(
            r=number_text(found.trend.rank_correlation, digits=2))


def _components(total: Reproducibility | None) -> Iterator[str]:
    if total is None or not any(one.told for one in total.components):
        return
    yield _("Between people, days and instruments together two readings differ by a factor of {factor} or less in 95 "
            "of 100 cases ({spread} log10).").format(
                factor=number_text(10.0 ** (1.959964 * math.sqrt(2.0) * total.total_log10), digits=2),
                spread=number_text(total.total_log10))
    for one in total.components:
        words = {"names": _(_NAMES[one.name]), "spread": number_text(one.spread_log10), "levels": one.levels,
                 "others": _(_NAMES.get(one.beside, one.beside))}
        if not one.told:
            yield _(_WHY[one.why]).format(**words)
        elif one.spread_log10 == 0.0:
            yield _("Between {names}: none seen over {levels}; that does not show that there is none.").format(**words)
        elif one.levels < parts.FEW_LEVELS:
            yield _("Between {names}: {spread} log10, hardly known from {levels} of them.").format(**words)
        else:
            yield _("Between {names}: {spread} log10, from {levels} of them.").format(**words)
    if not total.whole:
        yield _("What is not known is not in the sum: it is rather larger.")
