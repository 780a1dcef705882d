"""``tersum together``: whether two products may ever meet, and what stands against it."""

from __future__ import annotations

import sys

import click

from tersum.cli.output import emit_json
from tersum.cli.said import said
from tersum.documents.text import _

SETTINGS = click.Choice(["mixture", "surface", "vessel", "cloth"])


@click.command(help=_("Say whether two products may meet: mixed, on a surface, in a vessel, in a cloth."),
               epilog=_('Example: tersum together "Demo Concentrate A" "Demo Cleaner B" --setting cloth. A FILE.toml '
                        "with one product, or the name of an ingredient, will do too. Nothing overrides a no: rinse "
                        "and drain between them, and record it. Exit 0: nothing known stands against it; 1: they must "
                        "not meet."))
@click.argument("first", metavar="NAME|FILE.toml")
@click.argument("second", metavar="NAME|FILE.toml")
@click.option("--setting", type=SETTINGS, default="mixture", show_default=True, help=_("Where they would meet."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def together(first: str, second: str, setting: str, as_json: bool) -> None:
    from tersum.chemistry.together import meeting
    from tersum.documents import together_text

    held = [_classes(first), _classes(second)]
    found = meeting(held[0], held[1], setting=setting)
    lines = together_text.meeting_lines((first, second), held, found)
    if as_json:
        emit_json("tersum/together/1", {
            "first": first, "second": second, "setting": setting, "may_meet": found.may, "classes": held,
            "pairs": [{"first": one.first, "second": one.second, "danger": one.danger, "happens": one.happens.text,
                       "source": one.happens.source, "known": one.happens.known} for one in found.pairs],
            "sentences": lines, "cautions": together_text.cautions()})
    else:
        said(lines, together_text.cautions())
    sys.exit(0 if found.may else 1)


def _classes(name: str) -> list[str]:
    from tersum.chemistry.together import UNKNOWN, classes_of, classes_of_ingredient
    from tersum.cli.mix import product_named

    of_one = list(classes_of_ingredient(name))
    return of_one if of_one != [UNKNOWN] else list(classes_of(product_named(name)))
