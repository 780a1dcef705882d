"""``tersum titrate``: strength from a titration, both oxidisers of one flask, a titre to expect, a strip."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import asdict
from typing import Any, TypeVar

import click

from tersum.chemistry.titration import THIRD_NEEDED, Titration
from tersum.chemistry.uncertainty import Quantity
from tersum.cli.given import Given
from tersum.cli.output import emit_json
from tersum.documents.text import _

# What no burette and no pipette of a bench holds: "26.400" is no thousand.
MOST_ML = 1000.0
Command = TypeVar("Command", bound=Callable[..., Any])


@click.group(help=_("Work out the strength of a solution from its titration."),
             epilog=_('Example: tersum titrate sample "peracetic acid" --titrant thiosulfate --titrant-mol-l 0.01 '
                      '--titre-ml 26.40 --titre-ml 26.46 --blank-ml 0.10 --sample-ml 10 --burette-ml 50'))
def titrate() -> None:
    pass


def as_json_option(command: Command) -> Command:
    """Add ``--json``."""
    return click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))(command)


@titrate.command(help=_("Strength from one to six titres of one sample."),
                 epilog=_('Example: tersum titrate sample "hydrogen peroxide" --titrant "cerium(IV)" '
                          '--titrant-mol-l 0.1 --titre-ml 14.20 --titre-ml 14.24 --blank-ml 0.05 --sample-ml 10'))
@click.argument("analyte")
@click.option("--titrant", required=True, help=_("permanganate, cerium(IV), thiosulfate or sodium hydroxide."))
@click.option("--titrant-mol-l", required=True, help=_("Strength of the titrant, mol/L."))
@click.option("--titrant-pct", default="0.2", show_default=True, help=_("How well it is known, %, one sigma."))
@click.option("--titre-ml", multiple=True, required=True, help=_("Titre, mL; once for each replicate."))
@click.option("--blank-ml", default="0", show_default=True, help=_("Titre of everything but the sample, mL."))
@click.option("--sample-ml", required=True, help=_("Sample pipetted, mL."))
@click.option("--sample-pct", default="0.2", show_default=True, help=_("How well its volume is known, %, one sigma."))
@click.option("--burette-ml", default="25", show_default=True, help=_("What the burette holds, mL."))
@click.option("--diluted", default="1", show_default=True, help=_("How many times the product was diluted before."))
@click.option("--repeatability-pct", help=_("Relative standard deviation of the method, %: 1 for a burette unless "
                                            "given, 5 for a count of drops."))
@as_json_option
def sample(analyte: str, as_json: bool, **options: Any) -> None:
    from tersum.chemistry.titration import titrated
    from tersum.cli import titrate_text

    given = Given(options)
    done = _titration(given, analyte)
    found = given.run(lambda: titrated(done))
    emit_json("tersum/titrate/1", titrate_text.body(found)) if as_json else titrate_text.show(found)
    if found.answer == THIRD_NEEDED:
        sys.exit(1)


@titrate.command(help=_("Peroxide, then peracid in the same flask, and the active oxygen of both."),
                 epilog=_("Example: tersum titrate both --peroxide-ml 14.20 --peroxide-blank-ml 0.05 "
                          "--cerium-mol-l 0.1 --peracid-ml 26.40 --peracid-blank-ml 0.10 --thiosulfate-mol-l 0.01 "
                          "--sample-ml 10"))
@click.option("--peroxide-ml", multiple=True, required=True, help=_("Titres of the first step, mL."))
@click.option("--peroxide-blank-ml", default="0", show_default=True, help=_("Blank of the first step, mL."))
@click.option("--cerium-mol-l", help=_("Strength of the cerium(IV), mol/L."))
@click.option("--permanganate-mol-l", help=_("Strength of the permanganate, mol/L, where there are no organics."))
@click.option("--peracid-ml", multiple=True, required=True, help=_("Titres of the second step, mL."))
@click.option("--peracid-blank-ml", default="0", show_default=True, help=_("Blank of the second step, mL."))
@click.option("--thiosulfate-mol-l", required=True, help=_("Strength of the thiosulfate, mol/L."))
@click.option("--sample-ml", required=True, help=_("Sample pipetted, mL."))
@click.option("--burette-ml", default="50", show_default=True, help=_("What the burettes hold, mL."))
@click.option("--diluted", default="1", show_default=True, help=_("How many times the product was diluted before."))
@as_json_option
def both(as_json: bool, **options: Any) -> None:
    from tersum.chemistry.titration import peroxide_then_peracid
    from tersum.cli import titrate_text

    if bool(options["cerium_mol_l"]) == bool(options["permanganate_mol_l"]):
        raise click.UsageError(_("Give one of --cerium-mol-l and --permanganate-mol-l."))
    given = Given(options)
    first = "cerium(IV)" if options["cerium_mol_l"] else "permanganate"
    strong = given.number("cerium_mol_l" if options["cerium_mol_l"] else "permanganate_mol_l", most=10.0)
    thiosulfate, pipette = given.number("thiosulfate_mol_l", most=10.0), given.number("sample_ml", most=MOST_ML)
    burette, diluted = given.number("burette_ml"), given.number("diluted")
    steps = [Titration(analyte, titrant, Quantity(mol_l, 0.002 * mol_l),
                       tuple(given.numbers(f"{name}_ml", most=MOST_ML)), Quantity(pipette, 0.002 * pipette),
                       blank_ml=given.number(f"{name}_blank_ml", most=MOST_ML), burette_ml=burette, diluted=diluted)
             for analyte, titrant, mol_l, name in (("hydrogen peroxide", first, strong, "peroxide"),
                                                   ("peracetic acid", "thiosulfate", thiosulfate, "peracid"))]
    found = given.run(lambda: peroxide_then_peracid(*steps))
    emit_json("tersum/titrate/1", titrate_text.both_body(found)) if as_json else titrate_text.show_both(found)
    if THIRD_NEEDED in (found.peroxide.answer, found.peracid.answer):
        sys.exit(1)


@titrate.command(help=_("The titre that a strength should give: to choose the sample before the work."),
                 epilog=_('Example: tersum titrate plan "peracetic acid" --titrant thiosulfate --titrant-mol-l 0.01 '
                          '--strength-g-l 1 --sample-ml 10'))
@click.argument("analyte")
@click.option("--titrant", required=True, help=_("permanganate, cerium(IV), thiosulfate or sodium hydroxide."))
@click.option("--titrant-mol-l", required=True, help=_("Strength of the titrant, mol/L."))
@click.option("--strength-g-l", required=True, help=_("Strength expected, g/L."))
@click.option("--sample-ml", required=True, help=_("Sample, mL."))
@as_json_option
def plan(analyte: str, as_json: bool, **options: Any) -> None:
    from tersum.chemistry.titration import expected_titre_ml
    from tersum.documents.numbers import number_text

    given = Given(options)
    titrant, strength, pipette = (given.number(name) for name in ("titrant_mol_l", "strength_g_l", "sample_ml"))
    titre = given.run(lambda: expected_titre_ml(analyte, options["titrant"], strength, titrant_mol_l=titrant,
                                                sample_ml=pipette))
    if as_json:
        emit_json("tersum/titrate/1", {"expected_titre_ml": titre})
    else:
        print(_("expect {titre} mL").format(titre=number_text(titre)))


@titrate.command(help=_("What the step of a test strip says: an interval, and whether it meets a floor."),
                 epilog=_("Example: tersum titrate strip --steps-mg-l 0,500,1000,2000 --shown-mg-l 1000 "
                          "--floor-mg-l 700"))
@click.option("--steps-mg-l", required=True, help=_("Steps printed on the tube, such as 0,500,1000."))
@click.option("--shown-mg-l", required=True, help=_("The step whose colour matched."))
@click.option("--floor-mg-l", help=_("Least strength wanted."))
@click.option("--answers-to", multiple=True, help=_("What the strip answers to; once for each substance."))
@as_json_option
def strip(as_json: bool, **options: Any) -> None:
    from tersum.chemistry.strips import MEETS, strip_reading
    from tersum.cli import titrate_text

    steps = Given({"steps_mg_l": options["steps_mg_l"].split(",")})
    given = Given(options)
    rising = steps.numbers("steps_mg_l")
    given.checks.faults += steps.checks.faults
    shown, floor = given.number("shown_mg_l"), given.maybe("floor_mg_l")
    found = given.run(lambda: strip_reading(rising, shown, answers_to=options["answers_to"]))
    answer = None if floor is None else found.against(floor)
    if as_json:
        emit_json("tersum/titrate/1", {**asdict(found), "floor_mg_l": floor, "answer": answer})
    else:
        titrate_text.show_strip(found, floor, answer)
    if answer not in (None, MEETS):
        sys.exit(1)


def _titration(given: Given, analyte: str) -> Titration:
    mol_l, pipette = given.number("titrant_mol_l", most=10.0), given.number("sample_ml", most=MOST_ML)
    repeatability = given.maybe("repeatability_pct")
    return Titration(
        analyte, given.options["titrant"], Quantity(mol_l, given.number("titrant_pct") / 100.0 * mol_l),
        tuple(given.numbers("titre_ml", most=MOST_ML)), Quantity(pipette, given.number("sample_pct") / 100.0 * pipette),
        blank_ml=given.number("blank_ml", most=MOST_ML), burette_ml=given.number("burette_ml"),
        diluted=given.number("diluted"), repeatability_frac=None if repeatability is None else repeatability / 100.0)
