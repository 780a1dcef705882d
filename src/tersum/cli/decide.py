"""``tersum decide``: any table of readings to the verdict at each point, with all faults of the table at once."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from pathlib import Path
from typing import BinaryIO, TypeVar

import click

from tersum.catalogue.load import book_repeatability
from tersum.cli.decide_output import Shown, show, show_json, write_files
from tersum.cli.progress import Progress
from tersum.documents.text import _
from tersum.errors import N_, Faults, OutOfRange, TersumError
from tersum.evidence.reduction import log10_from_percent
from tersum.records.columns import OPTIONAL, REQUIRED, Expected
from tersum.records.decided import DecidedTable
from tersum.records.instrument_file import InstrumentFile, read_instrument
from tersum.records.intake import FaultList, RowFault, open_input
from tersum.records.limit_choice import LimitChoice, limit_choice
from tersum.records.limits_file import Limits, read_limits
from tersum.records.readings_file import read_readings
from tersum.records.readings_table import ReadingsTable
from tersum.units import parse_decimal
from tersum.visit.decision import DONE, Terms
from tersum.visit.readings import STAGES
from tersum.visit.rules import LATEST, check_terms

STDIN = "-"
HIGHEST_LIMIT_RLU = 1e9
_BAD_INPUT, _NOT_FOUND = 3, 4
T = TypeVar("T")


@dataclass(frozen=True)
class Beside:
    """What the files beside the readings say; ``whole`` is False where one of them has a fault."""

    limits: Limits | None
    instrument: InstrumentFile | None
    whole: bool


@click.command(help=_("Decide which points are done and which must be done again."),
               epilog=_("Example: {command}. Columns: {required}; where known also {optional}. Stages: {stages}. - as "
                        "the table reads the standard input. Exit 0: every point is done; 1: see what is left to do; "
                        "3: the table has faults, and its good rows are decided; 4: there is no such file.").format(
                            command="tersum decide examples/minibus-2/readings.csv --limit 250",
                            required=", ".join(REQUIRED), optional=", ".join(OPTIONAL), stages=", ".join(STAGES)))
@click.argument("readings", metavar="READINGS.csv")
@click.option("--limit", metavar="RLU", help=_("One limit for every point, of the one instrument type used."))
@click.option("--limits", metavar="LIMITS.toml", help=_("Limits by instrument, swab, area and surface."))
@click.option("--instrument", metavar="INSTRUMENT.toml", help=_("The meter, its range, and its own duplicates."))
@click.option("--looks", type=click.IntRange(1, 5), default=2, show_default=True, metavar="N",
              help=_("Swabs planned at a point before it is cleaned again."))
@click.option("--stage", type=click.Choice(STAGES[1:]), default=STAGES[1], show_default=True,
              help=_("The stage that decides."))
@click.option("--rule", type=click.Choice(tuple(LATEST)), default="limit", show_default=True,
              help=_("The rule that was agreed."))
@click.option("--reduction", metavar="PERCENT", help=_("The reduction that was agreed, such as 90."))
@click.option("--zone", metavar="NAME", help=_("The zone of times written without one, such as Europe/Berlin."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), metavar="DIR",
              help=_("Also write the decisions as JSON, CSV and Markdown."))
@click.pass_context
def decide(ctx: click.Context, readings: str, limit: str | None, limits: str | None, instrument: str | None,
           looks: int, stage: str, rule: str, reduction: str | None, zone: str | None, as_json: bool,
           out: Path | None) -> None:
    if limit is not None and limits is not None:
        raise click.UsageError(_("Give either --limit or --limits, not both."))
    if rule == "limit and reduction" and reduction is None:
        raise click.UsageError(_("The rule {rule} needs --reduction.").format(rule=f'"{rule}"'))
    limit_rlu = None if limit is None else _number("--limit", limit, HIGHEST_LIMIT_RLU)
    target = None if reduction is None else float(log10_from_percent(_number("--reduction", reduction, 99.999999)))
    expected_zone = _zone(zone)
    faults = FaultList()
    beside = _beside(limits, instrument, faults)
    terms = _terms(beside.instrument, rule=rule, stage=stage, looks=looks, target_log10=target)
    ctx.exit(_decided(readings, terms, beside, faults, limit_rlu=limit_rlu, zone=expected_zone, out=out,
                      as_json=as_json))


def _decided(readings: str, terms: Terms, beside: Beside, faults: FaultList, *, limit_rlu: float | None,
             zone: tzinfo | None, out: Path | None, as_json: bool) -> int:
    """Read, decide and show a table; return the exit code."""
    progress = Progress()
    with _read(readings, beside.instrument, zone, faults, progress) as table:
        choice = LimitChoice()
        if beside.whole:
            choice = limit_choice(table, limit_rlu=limit_rlu, limits=beside.limits, instrument=beside.instrument)
        with DecidedTable(terms, choice.for_point) as decided:
            if beside.whole:
                decided.fill(table, lambda count: progress.say(_("{count} points decided").format(count=count)))
            progress.done()
            shown = Shown(table, decided, terms, beside.limits, beside.instrument, limit_rlu is not None)
            if out is not None and len(decided):
                write_files(out, shown)
            if as_json:
                show_json(shown)
            else:
                show(shown)
            return _exit_code(shown)


def _exit_code(shown: Shown) -> int:
    if len(shown.faults):
        return _NOT_FOUND if any(fault.code == "not-found" for fault in shown.faults) else _BAD_INPUT
    return 0 if shown.decided.verdicts.keys() == {DONE} else 1


def _read(readings: str, instrument: InstrumentFile | None, zone: tzinfo | None, faults: FaultList,
          progress: Progress) -> ReadingsTable:
    expected = Expected(datetime.now(UTC), zone, instruments=None if instrument is None else [instrument.type],
                        over_range_rlu=None if instrument is None else instrument.over_range_rlu)
    source: AbstractContextManager[BinaryIO]
    try:
        source = nullcontext(sys.stdin.buffer) if readings == STDIN else open_input(readings)
    except RowFault as fault:
        faults.add(fault)
        return ReadingsTable(readings, faults)
    with source as stream:
        return read_readings(stream, file="stdin" if readings == STDIN else readings, expected=expected, faults=faults,
                             progress=lambda row: progress.say(_("{row} rows read").format(row=row)))


def _beside(limits: str | None, instrument: str | None, faults: FaultList) -> Beside:
    before = len(faults)
    read_l, read_i = _tried(limits, read_limits, faults), _tried(instrument, read_instrument, faults)
    return Beside(read_l, read_i, len(faults) == before)


def _tried(path: str | None, read: Callable[[str], T], faults: FaultList) -> T | None:
    """Return what a file says, or None with its faults noted."""
    if path is None:
        return None
    try:
        return read(path)
    except Faults as found:
        for fault in found.faults:
            faults.add(fault if isinstance(fault, RowFault) else RowFault(path, fault))
    except RowFault as fault:
        faults.add(fault)
    return None


def _terms(instrument: InstrumentFile | None, *, rule: str, stage: str, looks: int,
           target_log10: float | None) -> Terms:
    spread, freedom, basis = book_repeatability().number, math.inf, "book"
    if instrument is not None and instrument.repeatability is not None:
        own = instrument.repeatability
        spread, freedom, basis = own.spread_log10, own.degrees_of_freedom, own.basis
    terms = Terms(rule=rule, version=LATEST[rule], stage=stage, looks=looks, spread_log10=spread,
                  degrees_of_freedom=freedom, spread_basis=basis, reduction_target_log10=target_log10,
                  detection_rlu=None if instrument is None else instrument.detection_rlu)
    check_terms(terms)
    return terms


def _number(option: str, text: str, most: float) -> float:
    """Return the number of an option, above 0; what is not accepted is a misuse."""
    try:
        number = float(parse_decimal(text, field=option))
        if not 0.0 < number <= most:
            raise OutOfRange(option, text, N_("more than 0, to {most:.8g}"), most=most)
    except TersumError as refused:
        raise click.UsageError(refused.sentence(_)) from None
    return number


def _zone(name: str | None) -> tzinfo | None:
    if name is None:
        return None
    from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        refused = OutOfRange("--zone", name, N_("a name of the time zone database, such as Europe/Berlin"))
        raise click.UsageError(refused.sentence(_)) from None
