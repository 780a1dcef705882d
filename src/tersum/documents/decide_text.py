"""A decided table of readings in plain sentences: counts, the rule, and what was not recorded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tersum.documents.numbers import number_text
from tersum.documents.sentences import stage_word, verdict_word
from tersum.documents.text import _, ngettext
from tersum.errors import N_
from tersum.evidence.repeatability import repeatability_limit
from tersum.visit.decision import Terms
from tersum.visit.outcome import ORDER

# What stays open where a column is missing, for the columns that catch a spoiled reading.
_LEFT_OPEN = {
    "dry": N_("{column}: not recorded; a wet surface, which thins the sample, would not be seen."),
    "rinsed": N_("{column}: not recorded; chemical left on the surface upsets the reading and would not be seen."),
    "fresh_area": N_("{column}: not recorded; a spot swabbed twice, which reads low, would not be seen."),
    "swab_in_date": N_("{column}: not recorded; a swab past its date would not be seen."),
    "instrument_checked": N_("{column}: not recorded; an instrument that fails its own check would not be seen."),
    "blank": N_("{column}: not recorded; nothing is taken off the readings."),
    "round": N_("{column}: not recorded; all readings are taken as round 1."),
    "swab": N_("{column}: not recorded; the order in the file is taken as the order of the swabs."),
}
_BASES = {
    "book": N_("a book value, taken as known, since no instrument file with duplicates is given"),
    "duplicates": N_("from the instrument's own duplicates"),
    "stated": N_("stated in the instrument file"),
}


def statement_lines(points: int, swabbed: int, done: int) -> list[str]:
    """Return what all points of a table say together, for anyone."""
    lines = [ngettext(
        "{done} of {swabbed} swabbed point at or below the release level; points not swabbed were not measured.",
        "{done} of {swabbed} swabbed points at or below the release level; points not swabbed were not measured.",
        swabbed).format(done=done, swabbed=swabbed)]
    if swabbed < points:
        lines.append(ngettext("{open} of {points} point named in the table has no reading that counts.",
                              "{open} of {points} points named in the table have no reading that counts.",
                              points).format(open=points - swabbed, points=points))
    return lines


def verdict_counts(counts: Mapping[str, int]) -> str:
    """Return how many points have each verdict, those with work to do first."""
    return "; ".join(f"{verdict_word(verdict)}: {counts[verdict]}" for verdict in ORDER if counts.get(verdict))


def rule_line(terms: Terms) -> str:
    """Return what was agreed before any reading."""
    return _("Rule: {rule}, version {version}, on the readings {stage}; swabs planned at each point: {looks}; accepted "
             "risk of releasing a point that lies at the limit: {risk} %.").format(
                 rule=terms.rule, version=terms.version, stage=stage_word(terms.stage), looks=terms.looks,
                 risk=number_text(100.0 * terms.risk)) if terms.rule != "plain limit" else _(
        "Rule: {rule}, version {version}, on the readings {stage}; swabs planned at each point: {looks}. A point at "
        "the limit is released in half of all cases.").format(
            rule=terms.rule, version=terms.version, stage=stage_word(terms.stage), looks=terms.looks)


def spread_line(terms: Terms) -> str:
    """Return how far two swabs of one surface lie apart, and how that is known."""
    factor = float(10.0 ** repeatability_limit(terms.spread_log10))
    return _("Two swabs of one surface differ by a factor of up to {factor} in 19 of 20 pairs (spread {spread} log10, "
             "{basis}).").format(factor=number_text(factor, digits=2), spread=number_text(terms.spread_log10),
                                 basis=_(_BASES[terms.spread_basis]))


def few_duplicates_line(pairs: int, enough: int) -> str:
    """Return that few duplicates make the release level strict."""
    return ngettext("Only {pairs} duplicate pair: with {enough} or more the release level comes closer to the limit.",
                    "Only {pairs} duplicate pairs: with {enough} or more the release level comes closer to the limit.",
                    pairs).format(pairs=pairs, enough=enough)


def not_recorded_lines(columns: Sequence[str]) -> list[str]:
    """Return what stays open because columns are missing, one line for each that matters and one for the rest."""
    lines = [_(_LEFT_OPEN[column]).format(column=column) for column in columns if column in _LEFT_OPEN]
    rest = [column for column in columns if column not in _LEFT_OPEN]
    if rest:
        lines.append(_("Not recorded either: {columns}.").format(columns=", ".join(rest)))
    return lines


def no_limit_lines(*, limit_given: bool, surface_recorded: bool) -> list[str]:
    """Return why no point may have a limit."""
    if not limit_given:
        return [_("No limit is given: nothing is released, and the readings build the baseline. No limit ships with "
                  "Tersum.")]
    if not surface_recorded:
        return [_("The column surface is missing: no limit of the file can be chosen.")]
    return []
