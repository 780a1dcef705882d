"""``tersum strength``: convert strengths, dilute in steps, and treat a tank that is partly used."""

from __future__ import annotations

import sys
from dataclasses import asdict
from typing import Any

import click

from tersum.cli.given import Given
from tersum.cli.output import emit_json, remark, table
from tersum.documents.text import _
from tersum.errors import N_

REASONS = {"oxidiser": N_("It is an oxidiser, or nobody knows: it decomposes with dirt and metals."),
           "strength-not-measured": N_("Its strength was not measured."),
           "may-be-dirty": N_("Something may have got in."), "past-its-use-by": N_("It is past its use-by time.")}


@click.group(help=_("Convert strengths, and treat a tank that is partly used."),
             epilog=_("Example: tersum strength fills --area-m2 24 --rate-ml-m2 50 --tank-l 0.6 --loss-pct 15"))
def strength() -> None:
    pass


@strength.command(help=_("One strength in every unit: mg/L, g/L, % w/v, % w/w, mg/kg, volumes of oxygen."),
                  epilog=_('Example: tersum strength convert "4 % w/w" --density-kg-l 1.09'))
@click.argument("text")
@click.option("--density-kg-l", help=_("Density of the solution, kg/L; needed for units by mass."))
@click.option("--ppm", type=click.Choice(["mg/L", "mg/kg"]), help=_('What "ppm" means here.'))
@click.option("--substance", help=_('"hydrogen peroxide" adds volumes of oxygen.'))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def convert(text: str, as_json: bool, **options: Any) -> None:
    from tersum.chemistry.strength import mg_kg_from_mg_l, volume_strength
    from tersum.documents.numbers import number_text
    from tersum.units import parse_strength

    given = Given(options)
    density = given.maybe("density_kg_l", most=10.0)
    found = given.run(lambda: parse_strength(text, density_kg_l=density, ppm=options["ppm"]))
    values = {"mg/L": found.mg_l, "g/L": found.mg_l / 1000.0, "% w/v": found.mg_l / 1e4}
    if density is not None:
        values["mg/kg"] = given.run(lambda: mg_kg_from_mg_l(found.mg_l, density))
        values["% w/w"] = values["mg/kg"] / 1e4
    if options["substance"] == "hydrogen peroxide":
        values["volumes"] = given.run(lambda: volume_strength(values["g/L"]))
    if as_json:
        emit_json("tersum/strength/1", {"reading": found.reading, "density_kg_l": density, **values})
    else:
        table([_("unit"), _("strength")], [[_("volumes") if unit == "volumes" else unit, number_text(value, digits=4)]
                                           for unit, value in values.items()],
              right=(1,))


@strength.command(help=_("A dilution in steps: the shares multiply, and their uncertainties add up."),
                  epilog=_("Example: tersum strength steps --step-pct 10 --step-pct 2 --stock-g-l 50"))
@click.option("--step-pct", multiple=True, required=True, help=_("Share that goes in at a step, %; once for each."))
@click.option("--relative-pct", default="1", show_default=True, help=_("How well each step is measured, %, one sigma."))
@click.option("--stock-g-l", help=_("Strength of the concentrate, g/L."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def steps(as_json: bool, **options: Any) -> None:
    from tersum.chemistry.serial import serial
    from tersum.chemistry.uncertainty import Quantity
    from tersum.documents.numbers import number_text

    given = Given(options)
    relative, stock = given.number("relative_pct") / 100.0, given.maybe("stock_g_l")
    shares = [Quantity(pct / 100.0, relative * pct / 100.0) for pct in given.numbers("step_pct")]
    found = given.run(lambda: serial(shares, stock_g_l=None if stock is None else Quantity(stock)))
    if as_json:
        emit_json("tersum/strength/1", asdict(found))
        return
    print(_("1 in {whole} ± {pct} %").format(whole=number_text(1.0 / found.concentrate_frac.value, digits=4),
                                             pct=number_text(200.0 * found.concentrate_frac.relative)))
    if found.strength_g_l is not None:
        print(_("{value} g/L").format(value=number_text(found.strength_g_l.value, digits=4)))


@strength.command(name="top-up", help=_("What to do with what is left in a tank, and what to add if it may be."),
                  epilog=_("Example: tersum strength top-up --left-l 4 --left-g-l 0.8 --tank-l 10 --target-g-l 1 "
                           "--stock-g-l 50"))
@click.option("--left-l", required=True, help=_("Volume left, L."))
@click.option("--left-g-l", required=True, help=_("Its strength, g/L."))
@click.option("--tank-l", required=True, help=_("Volume wanted, L."))
@click.option("--target-g-l", required=True, help=_("Strength wanted, g/L."))
@click.option("--stock-g-l", required=True, help=_("Strength of the concentrate, g/L."))
@click.option("--measured", is_flag=True, help=_("The strength left was titrated."))
@click.option("--clean", is_flag=True, help=_("No cloth, brush or soil went back into the tank."))
@click.option("--no-oxidiser", is_flag=True, help=_("It is neither peracid, peroxide nor hypochlorite."))
@click.option("--left-use-by-h", default="0", show_default=True, help=_("Hours that the remainder may still be used."))
@click.option("--fresh-use-by-h", default="24", show_default=True, help=_("Hours that a fresh mix may be used."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def top_up(as_json: bool, **options: Any) -> None:
    from tersum.chemistry.tank_remainder import DISCARD, remainder
    from tersum.chemistry.topping_up import top_up as added
    from tersum.documents.bench_text import word
    from tersum.documents.numbers import number_text

    given = Given(options)
    left, strong, tank, target, stock = (given.number(name) for name in
                                         ("left_l", "left_g_l", "tank_l", "target_g_l", "stock_g_l"))
    old, fresh = given.number("left_use_by_h"), given.number("fresh_use_by_h")
    said = given.run(lambda: remainder(oxidiser=not options["no_oxidiser"], strength_measured=options["measured"],
                                       clean=options["clean"], left_use_by_h=old, fresh_use_by_h=fresh))
    found = given.run(lambda: added(left, strong, tank_l=tank, target_g_l=target, stock_g_l=stock))
    if as_json:
        emit_json("tersum/strength/1", {**asdict(found), **asdict(said)})
    else:
        print(word(said.advice))
        for reason in said.reasons:
            print(_(REASONS[reason]))
        if said.advice != DISCARD:
            print(_("add {stock} L of concentrate to {water} L of water, then this to the tank").format(
                stock=number_text(found.stock_l), water=number_text(found.water_l)))
            print(_("use within {hours} h: the earliest of its parts").format(hours=number_text(said.use_by_h)))
    if said.advice == DISCARD:
        sys.exit(1)


@strength.command(help=_("The ratio that a measured strength stands for."),
                  epilog=_("Example: tersum strength made --stock-g-l 55 --measured-g-l 0.95 --planned-parts 50"))
@click.option("--stock-g-l", required=True, help=_("Strength of the concentrate, g/L."))
@click.option("--measured-g-l", required=True, help=_("Strength measured, g/L."))
@click.option("--stock-pct", default="3", show_default=True, help=_("How well the first is known, %, one sigma."))
@click.option("--measured-pct", default="3", show_default=True, help=_("How well the second is known, %, one sigma."))
@click.option("--planned-parts", help=_("Parts of water that were planned."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def made(as_json: bool, **options: Any) -> None:
    from tersum.chemistry.topping_up import ratio_made
    from tersum.documents.numbers import number_text

    given = Given(options)
    stock, measured = given.number("stock_g_l"), given.number("measured_g_l")
    wide, narrow, planned = given.number("stock_pct"), given.number("measured_pct"), given.maybe("planned_parts")
    found = given.run(lambda: ratio_made(stock, measured, stock_relative=wide / 100.0, measured_relative=narrow / 100.0,
                                         planned_parts=planned))
    if as_json:
        emit_json("tersum/strength/1", asdict(found))
    elif found.as_planned is False:
        print(_("not the planned ratio: look for the fault in concentrate, dose or titration"))
    else:
        print(_("1 + {parts} (1 + {low} to 1 + {high})").format(
            parts=number_text(found.parts_water), low=number_text(found.parts_water - 2.0 * found.standard_uncertainty),
            high=number_text(found.parts_water + 2.0 * found.standard_uncertainty)))
    if found.as_planned is False:
        sys.exit(1)


@strength.command(help=_("How much solution an area takes, and how many fills of the tank."),
                  epilog=_("Example: tersum strength fills --area-m2 24 --rate-ml-m2 50 --tank-l 0.6 --loss-pct 15"))
@click.option("--area-m2", required=True, help=_("Area, m2."))
@click.option("--rate-ml-m2", required=True, help=_("What one square metre takes, mL."))
@click.option("--tank-l", required=True, help=_("Usable volume of the tank, L."))
@click.option("--loss-pct", default="0", show_default=True, help=_("What does not reach the surface, %."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def fills(as_json: bool, **options: Any) -> None:
    from tersum.chemistry.tank_fills import tank_fills
    from tersum.documents.numbers import number_text
    from tersum.documents.text import ngettext

    given = Given(options)
    area, rate, tank, loss = (given.number(name) for name in ("area_m2", "rate_ml_m2", "tank_l", "loss_pct"))
    found = given.run(lambda: tank_fills(area, rate, tank_l=tank, loss_frac=loss / 100.0))
    if as_json:
        emit_json("tersum/strength/1", asdict(found))
        return
    print(ngettext("{volume} L: {fills} fill of {last} L", "{volume} L: {fills} fills, the last of {last} L",
                   found.fills).format(volume=number_text(found.volume_l), fills=found.fills,
                                       last=number_text(found.last_fill_l)))
    remark(_("Foam, dead volume and overspray are losses: measure them once."))
