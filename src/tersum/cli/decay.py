"""``tersum decay``: how a stored solution loses strength, and until when it may be used."""

from __future__ import annotations

import sys
from typing import Any

import click

from tersum.cli.given import Given, option
from tersum.cli.output import emit_json
from tersum.documents.text import _
from tersum.errors import N_
from tersum.units import coded, parse_decimal


@click.command(
    help=_("Fit how a stored solution loses strength, and say how long to use it."),
    epilog=_("Example: tersum decay --point 0=1000 --point 24=905 --point 48=822 --point 72=738 --point 96=672 "
             "--floor-mg-l 800 --label-life-h 48"))
@click.argument("file", required=False, type=click.Path())
@click.option("--point", multiple=True, metavar="AGE_H=MG_L",
              help=_("Age and strength found, such as 24=905; or a FILE with the columns age_h and strength_mg_l."))
@click.option("--floor-mg-l", required=True, help=_("Lowest strength still fit for use, mg/L."))
@click.option("--label-life-h", help=_("Time of use that the label allows, h; it wins where it is shorter."))
@click.option("--relative-u-pct", help=_("Standard uncertainty of one titration, %, to tell scatter from a wrong law."))
@click.option("--active", help=_('The active, such as "peracetic acid", to warn of published rates.'))
@click.option("--series-c", help=_("Temperature at which the series was kept, °C."))
@click.option("--store-c", help=_("Temperature at which the solution will be kept, °C; with --energy-kj-mol."))
@click.option("--energy-kj-mol", help=_("Activation energy, from one's own series at two temperatures, kJ/mol."))
@click.option("--energy-pct", default="10", show_default=True, help=_("How well it is known, %, one sigma."))
@click.option("--curve", is_flag=True, help=_("With --json: add strength against age, to draw."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def decay(file: str | None, as_json: bool, **options: Any) -> None:
    from tersum.chemistry.arrhenius import warnings
    from tersum.chemistry.decay import decay as fitted
    from tersum.chemistry.use_by import BELOW_FLOOR, fading, use_by
    from tersum.cli import decay_text

    if bool(file) == bool(options["point"]):
        raise click.UsageError(_("Give the series as a FILE, or by --point."))
    given = Given(options)
    ages, strengths = _file(file) if file else _points(given)
    floor, label, relative = given.number("floor_mg_l"), given.maybe("label_life_h"), given.maybe("relative_u_pct")
    found = given.run(lambda: fitted(ages, strengths, relative_u=None if relative is None else relative / 100.0))
    found = _moved(given, found)
    by = given.run(lambda: use_by(found, floor_mg_l=floor, label_life_h=label))
    warned = warnings(options["active"], by.hours) if options["active"] else ()
    if as_json:
        drawn = fading(found, by, floor_mg_l=floor, measured_age_h=tuple(ages), measured_mg_l=tuple(strengths))
        emit_json("tersum/decay/1", decay_text.body(found, by, warned, drawn if options["curve"] else None))
    else:
        decay_text.show(found, by, warned)
    if by.basis == BELOW_FLOOR:
        sys.exit(1)


def _moved(given: Given, found: Any) -> Any:
    """Return the series as it runs at the temperature of storage, where that is another one."""
    from tersum.chemistry.arrhenius import decay_at
    from tersum.chemistry.uncertainty import Quantity

    names = ("series_c", "store_c", "energy_kj_mol")
    if all(given.options[name] is None for name in names):
        return found
    if any(given.options[name] is None for name in names):
        raise click.UsageError(_("--series-c, --store-c and --energy-kj-mol go together."))
    here, there, energy = (given.number(name) for name in names)
    wide = given.number("energy_pct") / 100.0 * energy
    return given.run(lambda: decay_at(found, energy_kj_mol=Quantity(energy, wide), from_c=here, to_c=there))


def _file(path: str) -> tuple[list[float], list[float]]:
    from tersum.records.series_file import read_series

    columns = read_series(path, ("age_h", "strength_mg_l"))
    return columns["age_h"], columns["strength_mg_l"]


def _points(given: Given) -> tuple[list[float], list[float]]:
    ages, strengths = [], []
    for text in given.options["point"]:
        left, mark, right = text.partition("=")
        if not mark:
            given.checks.add(coded("not-a-pair", N_("{field} is no pair: got {value}; accepted: {accepted}."),
                                   option("point"), text, N_("an age in hours, = and a strength in mg/L")))
            continue
        age = given.take(lambda: float(parse_decimal(left, field="--point")))  # noqa: B023 - called at once
        strength = given.take(lambda: float(parse_decimal(right, field="--point")))  # noqa: B023
        if age is not None and strength is not None:
            ages.append(age)
            strengths.append(strength)
    given.done()
    return ages, strengths
