"""``tersum contact``: was the contact time met, how long to keep wet, and published CT values of water."""

from __future__ import annotations

import sys
from dataclasses import asdict
from typing import Any

import click

from tersum.cli.given import Given
from tersum.cli.output import emit_json
from tersum.cli.said import said
from tersum.documents.text import _
from tersum.errors import TersumError

SCHEMA = "tersum/contact/1"


@click.group(help=_("Hold an observed wet time against the label, and say when a mix needs longer."),
             epilog=_("Example: tersum contact wet --mark 0=wet --mark 4=dry --ended-min 6 --label-min 5"))
def contact() -> None:
    pass


@contact.command(help=_("Whether a surface stayed wet for the label's time, from what was seen and when."),
                 epilog=_("Example: tersum contact wet examples/bench/wet.csv --ended-min 8 --label-min 5. Columns: "
                          "minute and surface (wet, dry or wiped). Exit 0: met; 1: not met, or it cannot be told."))
@click.argument("marks", metavar="[WET.csv|WET.toml]", required=False)
@click.option("--mark", multiple=True, metavar="MINUTE=WORD",
              help=_("What was seen: wet, dry or wiped, such as 4=dry."))
@click.option("--ended-min", required=True, help=_("When the step ended, minutes."))
@click.option("--label-min", required=True, help=_("Contact time of the label, minutes."))
@click.option("--found-dry", is_flag=True, help=_("Nobody watched it dry: dry only says that it was found so."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def wet(marks: str | None, found_dry: bool, as_json: bool, **options: Any) -> None:
    from tersum.arguments import real
    from tersum.documents import wet_text
    from tersum.lethality.wet_time import MET, contact_met, wet_time

    given = Given(options)
    seen = _marks(given, marks, options["mark"])
    ended, label = given.number("ended_min", most=10_000.0), given.number("label_min", most=10_000.0)
    given.take(lambda: real("--label-min", label, above=0.0))
    found = given.run(lambda: contact_met(wet_time(seen, ended_min=ended, watched=not found_dry), label))
    lines, cautions = wet_text.met_lines(found), wet_text.met_cautions()
    if as_json:
        emit_json(SCHEMA, {**asdict(found), "sentences": lines, "cautions": cautions})
    else:
        said(lines, cautions)
    if found.answer != MET:
        sys.exit(1)


@contact.command(help=_("How long to keep a surface wet: the label's time, longer where a tested law asks for more."),
                 epilog=_("Example: tersum contact needed --label-min 5 --log10 3 --strength-mg-l 1000 --temp-c 20 "
                          "--model examples/bench/law.toml. Exit 0: a time that holds; 1: no time will do, or it "
                          "cannot be told."))
@click.option("--label-min", required=True, help=_("Contact time of the label for the claim, minutes."))
@click.option("--log10", required=True, help=_("Log10 reduction of that claim."))
@click.option("--strength-mg-l", required=True, help=_("Strength as made, mg/L of active."))
@click.option("--temp-c", required=True, help=_("Temperature of the surface, °C."))
@click.option("--label-tested-c", help=_("Temperature the label's claim was shown at, °C; 20 in most European tests."))
@click.option("--ph", help=_("pH of the solution."))
@click.option("--soil", default="clean", show_default=True, help=_("Kind of soil left on the surface."))
@click.option("--soil-demand-mg-l", default="0", show_default=True, help=_("What that soil uses up, mg/L, measured."))
@click.option("--model", metavar="MODEL.toml", help=_("A law with what it was tested at and its source."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def needed(as_json: bool, **options: Any) -> None:
    from tersum.documents import contact_text
    from tersum.lethality.contact import times_longer
    from tersum.lethality.label_time import LABEL, LONGER, Situation, contact_needed
    from tersum.records.kinetics_file import read_kinetics

    given = Given(options)
    law = given.take(lambda: read_kinetics(options["model"])) if options["model"] else None
    situation = Situation(given.number("strength_mg_l", most=999.0), given.number("temp_c", most=200.0),
                          given.number("soil_demand_mg_l"), given.maybe("ph", most=15.0), options["soil"])
    label, wanted = given.number("label_min", most=10_000.0), given.number("log10", most=20.0)
    shown_at = given.maybe("label_tested_c", most=200.0)
    given.done()
    found = given.run(lambda: contact_needed(label, wanted, situation=situation,
                                             kinetics=law.kinetics if law else None,
                                             tested=law.tested if law else None, label_tested_c=shown_at))
    lines = contact_text.needed_lines(found, law.tested if law else None, organism=law.organism if law else "")
    if law:
        lines += [contact_text.too_weak_line(times_longer(law.kinetics, 0.9)), *_soil(law.active, options["soil"])]
        lines.append(_("Law: {organism}, {active}; source: {source}.").format(
            organism=law.organism, active=law.active, source=law.source))
    cautions = contact_text.needed_cautions()
    if as_json:
        emit_json(SCHEMA, {**vars(found), "outside": dict(found.outside), "source": law.source if law else None,
                           "sentences": lines, "cautions": cautions})
    else:
        said(lines, cautions)
    if found.answer not in (LABEL, LONGER) or not found.demonstrated:
        sys.exit(1)


@contact.command(help=_("A published CT value of disinfection in water, from its table or an equation fitted to it."),
                 epilog=_('Example: tersum contact water "free chlorine" giardia --log10 3 --temp-c 10 '
                          "--strength-mg-l 1 --ph 7"))
@click.argument("disinfectant")
@click.argument("organism")
@click.option("--log10", required=True, help=_("The reduction the table is made for."))
@click.option("--temp-c", required=True, help=_("Temperature of the water, °C."))
@click.option("--strength-mg-l", help=_("Strength, mg/L, where the table asks for it."))
@click.option("--ph", help=_("pH, where the table asks for it."))
@click.option("--equation", is_flag=True, help=_("Use the equation instead of the table."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def water(disinfectant: str, organism: str, equation: bool, as_json: bool, **options: Any) -> None:
    from tersum.documents import contact_text
    from tersum.lethality.ct_equations import ct_from_equation
    from tersum.lethality.ct_tables import ct_from_table

    given = Given(options)
    log10, temp = (given.number(name, most=200.0) for name in ("log10", "temp_c"))
    strength, acidity = (given.maybe(name, most=200.0) for name in ("strength_mg_l", "ph"))
    looked = ct_from_equation if equation else ct_from_table
    found = given.run(lambda: looked(disinfectant, organism, log10=log10, temp_c=temp,
                                     strength_mg_l=strength, ph=acidity))
    lines, cautions = contact_text.ct_lines(found), contact_text.ct_cautions()
    if as_json:
        emit_json(SCHEMA, {**asdict(found), "sentences": lines, "cautions": cautions})
    else:
        said(lines, cautions)


def _marks(given: Given, path: str | None, pairs: tuple[str, ...]) -> list[tuple[float, str]]:
    from tersum.records.row_file import number, one_of, read_rows

    if bool(path) == bool(pairs):
        raise click.UsageError(_("Give a file of marks, or --mark for each."))
    surfaces = one_of(("wet", "dry", "wiped"))
    if path:
        rows = given.take(lambda: read_rows(path, {"minute": number, "surface": surfaces})) or []
        return [(one["minute"], one["surface"]) for one in rows]
    found = []
    for minute, word in given.pairs("mark"):
        try:
            found.append((number("--mark", minute), surfaces("--mark", word)))
        except TersumError as fault:
            given.checks.add(fault)
    return found


def _soil(active: str, soil: str) -> list[str]:
    from tersum.documents import contact_text
    from tersum.lethality.carrier_dose import soil_factor

    try:
        return [contact_text.soil_line(active, soil, soil_factor(active, soil))] if soil != "clean" else []
    except TersumError:
        return [_("What this soil does to {active} is not in the figures at hand: measure the demand, or use the claim "
                  "for dirty conditions.").format(active=active)]
