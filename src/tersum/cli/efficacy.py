"""``tersum efficacy``: efficacy tests of a file evaluated, what each asks, and what a claim word covers."""

from __future__ import annotations

import sys
from typing import Any

import click

from tersum.cli.given import Given
from tersum.cli.output import emit_json, remark, table
from tersum.documents.text import _


@click.group(help=_("Evaluate efficacy tests as standards ask, and say what a claim covers."),
             epilog=_("Example: tersum efficacy test examples/efficacy/efficacy.toml"))
def efficacy() -> None:
    pass


@efficacy.command(help=_("Evaluate the runs of a file: met, not met, invalid, or cannot tell."),
                  epilog=_("Example: tersum efficacy test examples/efficacy/efficacy.toml --json. Exit 1 unless every "
                           "run is met."))
@click.argument("file", metavar="EFFICACY.toml")
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def test(file: str, as_json: bool) -> None:
    from tersum.cli import efficacy_output
    from tersum.lethality.log_reduction import MET
    from tersum.records.efficacy_file import read_efficacy

    found = read_efficacy(file)
    emit_json("tersum/efficacy/1", efficacy_output.body(found)) if as_json else efficacy_output.show(found)
    if any(one.answer != MET for one in found.results):
        sys.exit(1)


@efficacy.command(help=_("List the tests that are known, what each asks, and how that is known."),
                  epilog=_("Example: tersum efficacy tests"))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def tests(as_json: bool) -> None:
    from tersum.lethality.efficacy import requirement, requirements, rules_of
    from tersum.lethality.efficacy_run import GROWTH_METHODS, layout

    rows = [[name, f"{one.required_log10:g} log10", layout(name), one.known]
            for name, one in ((name, requirement(name)) for name in requirements())]
    rows += [[name, _("{most} of {carriers} carriers").format(most=f"{rules['most_positive'].number:g}",
                                                             carriers=f"{rules['carriers'].number:g}"), layout(name),
              rules["most_positive"].known] for name, rules in ((name, rules_of(name)) for name in GROWTH_METHODS)]
    if as_json:
        emit_json("tersum/efficacy-tests/1", {"tests": [dict(zip(("test", "asked", "noted_as", "known"), row,
                                                                strict=True)) for row in rows]})
    else:
        table([_("test"), _("asked"), _("noted as"), _("how it is known")], rows)


@efficacy.command(help=_("Say what a claim word on a label covers, and whether it covers an organism."),
                  epilog=_('Example: tersum efficacy claim "limited virucidal" --organism norovirus. Exit 1 where it '
                           "is not covered, or cannot be told."))
@click.argument("word")
@click.option("--organism", help=_("An organism or class, such as norovirus."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def claim(word: str, organism: str | None, as_json: bool) -> None:
    from dataclasses import asdict

    from tersum.documents.efficacy_text import CLAIM_CAUTIONS, COVERAGE, claim_lines
    from tersum.lethality import label_claims

    found = label_claims.claim(word)
    answer = None if organism is None else label_claims.covers(word, organism)
    if as_json:
        emit_json("tersum/claim/1", {**asdict(found), "organism": organism, "answer": answer,
                                     "cautions": [{"code": code, "sentence": _(CLAIM_CAUTIONS[code])}
                                                  for code in label_claims.CAUTIONS]})
    else:
        if answer is not None:
            print(_(COVERAGE[answer]).format(claim=word, organism=organism))
            print()
        for line in claim_lines(found):
            print(line)
        for code in label_claims.CAUTIONS:
            remark(_(CLAIM_CAUTIONS[code]))
    if answer not in (None, label_claims.COVERED):
        sys.exit(1)


@efficacy.command(
    help=_("Teach with a published curve of dose and response: by what factor a reduction changes a probability. It "
           "says nothing of a surface or a person."),
    epilog=_('Example: tersum efficacy risk "Campylobacter jejuni, human" --dose 10 --dose 1000 --log10-reduction 2'))
@click.argument("curve", required=False)
@click.option("--rate", metavar="K", help=_("Own exponential curve: probability per organism."))
@click.option("--alpha", metavar="A", help=_("Own beta-Poisson curve: its shape."))
@click.option("--n50", metavar="N", help=_("Own beta-Poisson curve: its dose of half."))
@click.option("--dose", multiple=True, required=True, metavar="N",
              help=_("Organisms taken in, before the reduction; may be given again."))
@click.option("--log10-reduction", default="3", show_default=True, metavar="N", help=_("By which the dose falls."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def risk(curve: str | None, as_json: bool, **options: Any) -> None:
    from tersum.catalogue import load
    from tersum.cli import risk_output
    from tersum.lethality.residual_risk import dose_response, own_curve, relative_change

    given = Given(options)
    own = {name: given.maybe(name, most=1e15) for name in ("rate", "alpha", "n50")}
    doses, logs = given.numbers("dose"), given.number("log10_reduction", most=15.0)
    given.done()
    if (curve is None) is all(one is None for one in own.values()):
        raise click.UsageError(_("Give the name of a curve, or --rate, or --alpha with --n50: one of these. Curves: "
                                 "{names}.").format(names="; ".join(load.table("dose_response"))))
    used = given.run(lambda: own_curve(**own) if curve is None else dose_response(curve))
    found = given.run(lambda: relative_change(used, doses, log10_reduction=logs))
    if as_json:
        emit_json("tersum/dose-response/1", risk_output.body(used, doses, logs, found))
    else:
        risk_output.show(used, doses, logs, found)
