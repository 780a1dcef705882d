"""``tersum steam``: rate and dryness from power, the state at the nozzle, the dose, and what may go into the boiler."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import asdict
from typing import Any, TypeVar

import click

from tersum.cli.given import Given, option
from tersum.cli.output import emit_json, remark, table
from tersum.documents.text import _

Command = TypeVar("Command", bound=Callable[..., Any])


@click.group(help=_("Say what a steam boiler of this power can give, and what may go into it."),
             epilog=_("Example: tersum steam rate --power-kw 3 --gauge-mpa 0.4 --dryness-pct 95"))
def steam() -> None:
    pass


def boiling(command: Command) -> Command:
    """Add the options of a boiler's pressure."""
    for one in reversed((
        click.option("--gauge-mpa", help=_("Pressure on the gauge, MPa (1 bar = 0.1 MPa).")),
        click.option("--absolute-mpa", help=_("Absolute pressure, MPa, in place of --gauge-mpa.")),
        click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object.")),
    )):
        command = one(command)
    return command


@steam.command(help=_("The most steam that a power can make."),
               epilog=_("Example: tersum steam rate --power-kw 3 --absolute-mpa 0.5 --dryness-pct 95"))
@click.option("--power-kw", required=True, help=_("Heating power, kW."))
@click.option("--dryness-pct", default="100", show_default=True, help=_("Dryness of the steam that leaves, %."))
@click.option("--feed-c", default="15", show_default=True, help=_("Temperature of the water fed, °C."))
@click.option("--efficiency-pct", default="100", show_default=True, help=_("Share of the power that reaches it, %."))
@boiling
def rate(as_json: bool, **options: Any) -> None:
    from tersum.chemistry.steam import nozzle, steam_rate
    from tersum.documents.numbers import number_text

    given = Given(options)
    pressure = _pressure(given)
    power, x, feed, share = (given.number(name, most=999.0) for name in
                             ("power_kw", "dryness_pct", "feed_c", "efficiency_pct"))
    found = given.run(lambda: steam_rate(power, pressure_mpa=pressure, dryness_frac=x / 100.0, feed_c=feed,
                                         efficiency_frac=share / 100.0))
    out = given.run(lambda: nozzle(pressure, x / 100.0))
    if as_json:
        emit_json("tersum/steam/1", {**asdict(found), "nozzle": asdict(out), "pressure_mpa": pressure})
        return
    table([_("what"), _("how much")],
          [[_("steam, at most"), _("{rate} kg/h").format(rate=number_text(found.rate_kg_h))],
           [_("in the boiler"), _("{temp} °C, dryness {x} %").format(
               temp=number_text(found.boiler.temp_c, digits=4), x=number_text(100.0 * found.boiler.dryness_frac))],
           [_("outside the nozzle"), _("{temp} °C, dryness {x} %").format(
               temp=number_text(out.temp_c, digits=4), x=number_text(100.0 * out.dryness_frac))]])
    remark(_("What a surface reaches depends on distance, travel and material: measure it with a contact probe."))


@steam.command(help=_("How dry the steam can be at most, from the water that the machine uses."),
               epilog=_("Example: tersum steam dryness --power-kw 3 --consumption-kg-h 6 --absolute-mpa 0.5"))
@click.option("--power-kw", required=True, help=_("Heating power, kW."))
@click.option("--consumption-kg-h", required=True, help=_("Water used, weighed over time, kg/h."))
@click.option("--feed-c", default="15", show_default=True, help=_("Temperature of the water fed, °C."))
@click.option("--efficiency-pct", default="100", show_default=True, help=_("Share of the power that reaches it, %."))
@boiling
def dryness(as_json: bool, **options: Any) -> None:
    from tersum.chemistry.steam import dryness as dryness_of
    from tersum.documents.bench_text import flag_text, flag_texts, word
    from tersum.documents.numbers import number_text

    given = Given(options)
    pressure = _pressure(given)
    power, used, feed, share = (given.number(name, most=999.0) for name in
                                ("power_kw", "consumption_kg_h", "feed_c", "efficiency_pct"))
    found = given.run(lambda: dryness_of(power, consumption_kg_h=used, pressure_mpa=pressure, feed_c=feed,
                                         efficiency_frac=share / 100.0))
    if as_json:
        emit_json("tersum/steam/1", {**asdict(found), "flags": flag_texts(found.flags)})
        return
    print(_("{answer}, dryness at most {x} %").format(answer=word(found.answer),
                                                      x=number_text(100.0 * found.dryness_frac)))
    for flag in found.flags:
        print(flag_text(flag))


@steam.command(help=_("Active that the steam brings to a surface."),
               epilog=_("Example: tersum steam dose --can-mg-l 200 --consumption-l-h 1.5 --area-m2-h 30"))
@click.option("--can-mg-l", required=True, help=_("Strength in the can, mg/L."))
@click.option("--consumption-l-h", required=True, help=_("Water used, L/h."))
@click.option("--area-m2-h", required=True, help=_("Surface treated an hour, m2/h."))
@click.option("--carry-over-pct", help=_("Share of the active that leaves with the steam, %, as titrated."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def dose(as_json: bool, **options: Any) -> None:
    from tersum.chemistry.steam import dose as dose_of
    from tersum.documents.bench_text import word
    from tersum.documents.numbers import number_text

    given = Given(options)
    can, used, area = (given.number(name) for name in ("can_mg_l", "consumption_l_h", "area_m2_h"))
    carried = given.maybe("carry_over_pct")
    found = given.run(lambda: dose_of(can, consumption_l_h=used, area_m2_h=area,
                                      carry_over_frac=None if carried is None else carried / 100.0))
    if as_json:
        emit_json("tersum/steam/1", asdict(found))
    elif found.dose_mg_m2 is None:
        print(_("dose {answer}; at most {most} mg/m2").format(answer=word(found.answer),
                                                              most=number_text(found.at_most_mg_m2)))
    else:
        print(_("dose {dose} mg/m2 ({answer})").format(dose=number_text(found.dose_mg_m2), answer=word(found.answer)))
    if found.dose_mg_m2 is None:
        sys.exit(1)


@steam.command(help=_("Whether something may go into the boiler with the water."),
               epilog=_('Example: tersum steam boiler "peracetic acid" (refused without both permissions)'))
@click.argument("substance", nargs=-1)
@click.option("--machine-permission", nargs=3, metavar="MAKER DOCUMENT DATE",
              help=_("Written permission of the machine's maker on file."))
@click.option("--product-permission", nargs=3, metavar="MAKER DOCUMENT DATE",
              help=_("Written permission of the product's maker on file."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def boiler(substance: tuple[str, ...], as_json: bool, machine_permission: tuple[str, str, str] | None,
           product_permission: tuple[str, str, str] | None) -> None:
    from tersum.chemistry.boiler_chemicals import REFUSED, WrittenPermission, chemical_in_boiler
    from tersum.documents.bench_text import flag_text, flag_texts, word

    machine = WrittenPermission(*machine_permission) if machine_permission else None
    product = WrittenPermission(*product_permission) if product_permission else None
    found = chemical_in_boiler(substance, machine=machine, product=product)
    if as_json:
        emit_json("tersum/steam/1", {"answer": found.answer, "reasons": flag_texts(found.reasons)})
    else:
        print(word(found.answer))
        for reason in found.reasons:
            print(flag_text(reason))
    if found.answer == REFUSED:
        sys.exit(5)


def _pressure(given: Given) -> float:
    from tersum.chemistry.steam import absolute_mpa

    gauge, absolute = given.maybe("gauge_mpa", most=100.0), given.maybe("absolute_mpa", most=100.0)
    if (gauge is None) == (absolute is None):
        raise click.UsageError(_("Give one of --gauge-mpa and --absolute-mpa."))
    if absolute is not None:
        return absolute
    assert gauge is not None
    found = given.take(lambda: absolute_mpa(gauge))
    for fault in given.checks.faults:
        fault.field = option(fault.field) if fault.field == "gauge_mpa" else fault.field
    return found or 0.5
