"""``tersum residue``: chemical left on the surface, what spikes show of it, and what to do."""

from __future__ import annotations

import csv
import sys
from dataclasses import asdict

import click

from tersum.cli.output import blocks, emit_json, table
from tersum.documents.text import _


@click.command(
    help=_("Say how much chemical left on the surface upsets readings, from spikes."),
    epilog=_("Example: tersum residue examples/residue/spikes.csv. Columns: chemistry, surface, instrument, stage, "
             "kind (swab: spiked after use; panel; matrix: treated clean panel, no spike), unspiked, spiked, spike; "
             "net RLU. A spike never goes on a customer's surface. Exit 0: all may be used as "
             "read; 1: not so, or unknown."))
@click.argument("spikes", metavar="SPIKES.csv")
@click.option("--as-read", nargs=2, type=float, default=(0.7, 1.3), show_default=True, metavar="LOW HIGH",
              help=_("Shares between which a reading is used as read; common practice, no source."))
@click.option("--counted", nargs=2, type=float, default=(0.3, 1.5), show_default=True, metavar="LOW HIGH",
              help=_("Shares beyond which a reading is not counted; common practice, no source."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
@click.option("--csv", "as_csv", is_flag=True, help=_("Print the table as CSV."))
@click.pass_context
def residue(ctx: click.Context, /, spikes: str, as_read: tuple[float, float], counted: tuple[float, float],
            as_json: bool, as_csv: bool) -> None:
    from tersum.documents import residue_text
    from tersum.evidence.recovery import AS_READ, Policy
    from tersum.evidence.residue import UNKNOWN, residues
    from tersum.records.evidence_tables import read_spikes

    found = residues(read_spikes(spikes), Policy(as_read, counted))
    lines = [*residue_text.residue_lines(found), *residue_text.faked_lines(found)]
    if as_json:
        emit_json("tersum/residue/1", {"policy": {"as_read": list(as_read), "counted": list(counted)},
                                       "groups": [asdict(one) for one in found], "sentences": lines})
    elif as_csv:
        out = csv.writer(sys.stdout, lineterminator="\n")
        out.writerow(("chemistry", "surface", "instrument", "stage", "kind", "repeats", "share", "low", "high",
                      "bias_log10", "verdict"))
        out.writerows((one.chemistry, one.surface, one.instrument, one.stage, one.kind, one.repeats, one.share,
                       *one.interval, one.bias_log10, one.verdict) for one in found)
    else:
        unknown = sum(one.verdict == UNKNOWN for one in found)  # their lines stand first, above the table
        blocks([line] for line in lines[:unknown])
        table((_("chemical"), _("surface"), _("stage"), _("spiked"), _("spikes"), _("share read"), _("what to do")),
              [(one.chemistry, one.surface, one.stage, one.kind, one.repeats, residue_text.share_words(one),
                residue_text.verdict_words(one)) for one in found], right=(4,))
        blocks([line] for line in lines[unknown:])
    ctx.exit(0 if all(one.verdict == AS_READ for one in found) else 1)
