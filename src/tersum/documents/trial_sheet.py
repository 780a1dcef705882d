"""The sheet that goes to the panels: what each part gets, in which order, with room to write."""

from __future__ import annotations

from collections.abc import Sequence

from tersum.documents.numbers import number_text
from tersum.documents.text import _, ngettext
from tersum.evidence.assignment import PairsNeeded, Part


def sheet_text(parts: Sequence[Part], seed_hex: str, fingerprint: str) -> str:
    """Return the sheet as Markdown, one table a vehicle."""
    lines = [f"# {_('Panel sheet')}", "",
             _("Read each part before it is treated, then treat in the order given, let it dry, and read an area "
               "beside the first. Whoever reads should not know the treatment. Write < or > where the meter shows a "
               "limit of its range."), ""]
    lines += [_("The label, the safety data sheet and local rules come before this sheet. Parts of one panel lie side "
                "by side: let no two products run into each other, rinse and dry between them, and never use a "
                "hypochlorite beside an acid. Air the cabin, and wear what the label asks."), ""]
    heads = (_("panel"), _("part"), _("turn"), _("treatment"), _("before, RLU"), _("after, RLU"), _("by"))
    for vehicle in dict.fromkeys(one.vehicle for one in parts):
        lines += [f"## {vehicle}", "", "| " + " | ".join(heads) + " |", "|---|---|--:|---|---|---|---|"]
        lines += [f"| {_cell(one.panel)} | {_cell(one.part)} | {one.turn} | {_cell(one.arm)} | | | |"
                  for one in sorted((part for part in parts if part.vehicle == vehicle),
                                    key=lambda part: (part.panel, part.turn))]
        lines.append("")
    lines.append(_("Drawn at random; seed {seed}, plan {plan}.").format(seed=seed_hex, plan=fingerprint))
    return "\n".join(lines) + "\n"


def needed_lines(found: PairsNeeded) -> list[str]:
    """Return how many panels each factor takes."""
    lines = [_("Panels needed, each divided between the treatments, to find a factor with a chance of {power} % "
               "(paired spread {spread} log10):").format(power=number_text(100.0 * found.power),
                                                 spread=number_text(found.spread_log10))]
    lines += [ngettext("  factor {factor}: {pairs} panel", "  factor {factor}: {pairs} panels", pairs).format(
        factor=number_text(one), pairs=pairs) for one, pairs in zip(found.factors, found.pairs, strict=True)]
    return lines


def size_lines(found: PairsNeeded, factor: float, panels: int) -> list[str]:
    """Return how many panels each factor takes, and whether the planned ones are enough."""
    lines = needed_lines(found)
    needed = found.pairs[found.factors.index(factor)]
    words = {"panels": panels, "needed": needed, "factor": number_text(factor)}
    if panels >= needed:
        lines.append(_("The {panels} planned are enough for a factor of {factor}.").format(**words))
    else:
        lines.append(_("The {panels} planned are too few for a factor of {factor}: {needed} are needed.").format(
            **words))
    if panels < 6:
        lines.append(_("With fewer than 6 panels re-randomisation can show nothing at 5 %."))
    return lines


def _cell(text: str) -> str:
    return text.replace("|", "\\|")
