"""``tersum condensate``: what the pH of a solution and of its steam condensate are consistent with."""

from __future__ import annotations

import math
import sys
from dataclasses import asdict
from typing import Any

import click

from tersum.cli.given import Given
from tersum.cli.output import emit_json, remark, table
from tersum.documents.text import _

# What no value of its kind exceeds, so that 3.387 is no thousand.
NUMBERS = {"solution_ph": 15.0, "condensate_ph": 15.0, "solution_c": 100.0, "condensate_c": 100.0, "u_ph": 1.0,
           "peracid_mg_l": math.inf, "solution_us_cm": math.inf, "condensate_us_cm": math.inf}


@click.command(
    help=_("Weigh the pH of a solution against its condensate's."),
    epilog=_('Example: tersum condensate --solution-ph 4.37 --condensate-ph 3.55 --solution-c 25 --condensate-c 25 '
             '--alkalinity "3 mmol/L" --u-ph 0.03 --calibration good --peracid-mg-l 380'))
@click.option("--solution-ph", help=_("pH of the solution in the boiler or can."))
@click.option("--condensate-ph", help=_("pH of the condensate."))
@click.option("--solution-c", help=_("Temperature of the solution when read, °C."))
@click.option("--condensate-c", help=_("Temperature of the condensate when read, °C."))
@click.option("--alkalinity", help=_('Alkalinity of the fill water with its unit, such as "3 mmol/L".'))
@click.option("--u-ph", help=_("Standard uncertainty of each reading, pH."))
@click.option("--calibration", type=click.Choice(["good", "clean-and-repeat", "replace"]),
              help=_("Verdict of the meter's calibration on record."))
@click.option("--peracid-mg-l", help=_("Peracetic acid in the solution, mg/L; 0 for none."))
@click.option("--solution-us-cm", help=_("Conductivity of the solution, µS/cm."))
@click.option("--condensate-us-cm", help=_("Conductivity of the condensate, µS/cm."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def condensate(as_json: bool, **options: Any) -> None:
    from tersum.chemistry.alkalinity import parse_alkalinity
    from tersum.chemistry.condensate import CONSISTENT, CondensateCase
    from tersum.chemistry.condensate import condensate as weighed

    given = Given(options)
    numbers = {name: given.maybe(name, most=most) for name, most in NUMBERS.items()}
    text = options["alkalinity"]
    alkalinity = None if text is None else given.take(lambda: parse_alkalinity(text, field="--alkalinity"))
    case = CondensateCase(**numbers, alkalinity_mmol_l=alkalinity, calibration=options["calibration"])
    said = given.run(lambda: weighed(case))
    if as_json:
        from tersum.documents.bench_text import flag_texts

        emit_json("tersum/condensate/1", {**asdict(said), "flags": flag_texts(said.flags)})
    else:
        _show(said)
    if said.answer != CONSISTENT:
        sys.exit(1)


def _show(said: Any) -> None:
    from tersum.cli.given import option
    from tersum.cli.meter_text import show_ratio
    from tersum.documents.bench_text import flag_text, settle_text, word

    named = [word(name) for name in said.named]
    print(word(said.answer) + (": " + _(" or ").join(named) if named else ""))
    if said.missing:
        print(_("missing: {names}").format(names=", ".join(
            option("alkalinity" if name == "alkalinity_mmol_l" else name) for name in said.missing)))
    if said.ratio:
        show_ratio(said.ratio)
    if said.hypotheses:
        print()
        table([_("explanation"), _("the condensate is"), _("pH it can give"), _("weight")],
              [[word(one.name), word(one.answer), _range(one), _percent(one.weight)] for one in said.hypotheses],
              right=(3,))
    for flag in said.flags:
        print(flag_text(flag))
    remark(_("No pH shows that oxygen was released. What would settle it:"))
    for code in said.would_settle:
        remark(f"- {settle_text(code)}")


def _range(one: Any) -> str:
    from tersum.cli.ph_text import ph_number

    if one.low_ph != one.low_ph:
        return ""
    return _("{low} to {high}").format(low=ph_number(one.low_ph), high=ph_number(one.high_ph))


def _percent(weight: float) -> str:
    return "?" if weight != weight else f"{100.0 * weight:.0f} %"
