"""``tersum limits``: learn a limit from one's own readings after a proper clean, where there are enough of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from tersum.cli.limits_culture import learn_from_plates, write_cuts
from tersum.cli.limits_review import review
from tersum.cli.output import emit_json, line, remark
from tersum.documents.text import _, ngettext
from tersum.errors import N_, Faults, OutOfRange, TersumError
from tersum.units import parse_decimal

LEARNT, TOO_LITTLE = 0, 1


@click.group(help=_("Learn a limit from one's own readings."))
def limits() -> None:
    pass


@limits.command(
    help=_("Learn a limit for each kind of surface, where there are enough readings of it."),
    epilog=_("Example: tersum limits learn examples/*/readings.csv --swab \"Demo Swab\" --area-cm2 100 --visits all. "
             "Each file is one visit. Counted is the first swab of each point in round 1 after the clean. Exit 0: "
             "every kind of surface has a limit; 1: one has too few readings, and nothing is written; 3: a table has "
             "faults."))
@click.argument("readings", nargs=-1, required=True, metavar="READINGS.csv...")
@click.option("--visits", type=click.Choice(["all", "passed"]), required=True,
              help=_("Whether these are all visits of a period, or only those that had passed."))
@click.option("--swab", required=True, metavar="TYPE", help=_("The swab type all of them were read with."))
@click.option("--area-cm2", required=True, metavar="CM2", help=_("The area swabbed at each point."))
@click.option("--vehicle", "vehicles", multiple=True, metavar="NAME",
              help=_("The vehicle or room of each file, in their order; left out: each file is another."))
@click.option("--surface", "wanted", multiple=True, metavar="NAME",
              help=_("Only this kind of surface; may be repeated."))
@click.option("--method", type=click.Choice(["percentile", "tolerance", "culture"]), default="percentile",
              show_default=True, help=_("A reading in order; a log-normal level with the differences between vehicles; "
                                        "or the cut that separates plates best, from tables of rlu and cfu."))
@click.option("--limit-cfu", metavar="CFU", help=_("With culture: from this count on a plate calls dirty."))
@click.option("--instrument", metavar="TYPE", help=_("With culture: the instrument type that read the light."))
@click.option("--share", metavar="PERCENT", default="95", show_default=True, help=_("How many in 100 lie at or below."))
@click.option("--confidence", metavar="PERCENT", default="95", show_default=True, help=_("How sure that is."))
@click.option("--stage", type=click.Choice(["cleaned", "treated"]), default="cleaned", show_default=True,
              help=_("The stage that is read."))
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, metavar="N",
              help=_("Of the draws behind the log-normal level."))
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), metavar="LIMITS.toml",
              help=_("Write the limits there; never over an existing file."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
@click.pass_context
def learn(ctx: click.Context, /, readings: tuple[str, ...], as_json: bool, out: Path | None, **given: Any) -> None:
    from tersum.documents import limits_text
    from tersum.records.learning import Method, learnt

    share, sure = (_share(f"--{name}", given[name]) for name in ("share", "confidence"))
    area = number("--area-cm2", given["area_cm2"])
    if out is not None and out.exists():
        raise _taken(out)
    day = datetime.now(UTC).date().isoformat()
    if given["method"] == "culture":
        told, cuts = learn_from_plates(readings, given, day, as_json=as_json)
        if out is not None and told:
            write_cuts(out, cuts, given, area, day)
        if out is not None:
            remark(_("Written to {file}.").format(file=out) if told else _("Nothing is written."))
        ctx.exit(LEARNT if told else TOO_LITTLE)
    found, method = baseline_of(readings, given), Method(given["method"], share, sure, given["seed"])
    made = {surface: learnt(found.of_surface(surface), method, only_passed=given["visits"] == "passed")
            for surface in given["wanted"] or found.surfaces()}
    whole = bool(made) and all(limit is not None for limit, _lacks in made.values())
    if out is not None and whole:
        _write(out, made, found, (given["swab"], area), method.seed, day)
    if as_json:
        emit_json("tersum/limits-learnt/1", {
            "points": len(found.points), "not_counted": found.not_counted, "without_class": found.without_class,
            "readings_sha256": found.sha256, "frozen_on": day, "written": out is not None and whole,
            "surfaces": [{"surface": surface, "limit": None if limit is None else asdict(limit),
                          "lacks": [asdict(one) for one in lacks]} for surface, (limit, lacks) in made.items()]})
    else:
        _show(made, found, limits_text)
        if out is not None:
            remark(_("Written to {file}.").format(file=out) if whole else _("Nothing is written."))
    ctx.exit(LEARNT if whole else TOO_LITTLE)


def baseline_of(readings: Sequence[str], given: dict[str, Any]) -> Any:
    """Return the baseline of the tables named, of one instrument type and without faults."""
    from tersum.records.baseline import read_baseline
    from tersum.records.columns import Expected

    if given["vehicles"] and len(given["vehicles"]) != len(readings):
        raise click.UsageError(_("Give --vehicle as often as there are files, in their order, or not at all."))
    found = read_baseline(zip(readings, given["vehicles"] or readings, strict=True), stage=given["stage"],
                          expected=Expected(datetime.now(UTC)))
    if len(found.faults):
        raise Faults(list(found.faults))
    types = sorted({point.instrument for point in found.points})
    if len(types) > 1:
        raise OutOfRange("instrument", ", ".join(types), N_("readings of one instrument type: a limit belongs to one"))
    return found


def _show(learnt: dict[str, Any], found: Any, limits_text: Any) -> None:
    if not learnt:
        line(_("No reading after a clean has both a surface and an instrument: no limit can be learnt."))
    for surface, (limit, lacks) in learnt.items():
        if limit is not None:
            line(limits_text.limit_line(surface, limit))
            continue
        line(_("{surface}: no limit yet.").format(surface=surface))
        for one in lacks:
            line(f"  {limits_text.lack_line(one)}")
    if found.not_counted:
        remark(ngettext("{count} reading does not count and is left aside.",
                        "{count} readings do not count and are left aside.", found.not_counted).format(
                            count=found.not_counted))
    if found.without_class:
        remark(_("{count} points name no surface or no instrument, and belong to no class.").format(
            count=found.without_class))
    if any(limit is not None for limit, _lacks in learnt.values()):
        for text in limits_text.beside_lines():
            remark(text)


def _write(out: Path, learnt: dict[str, Any], found: Any, equipment: tuple[str, float], seed: int, day: str) -> None:
    from tersum.documents import limits_text
    from tersum.records.limits_file import Frozen
    from tersum.records.limits_learnt import limits_text_of
    from tersum.visit.plan import Limit

    instrument, rows = found.points[0].instrument, []
    for surface, (limit, _lacks) in learnt.items():
        rlu = round(limit.rlu, 6)
        rows.append((Limit(instrument, *equipment, surface, rlu, limits_text.basis_text(limit, day), "computed"),
                     limits_text.note_text(limit),
                     Frozen(day, limit.method, 100.0 * limit.coverage, 100.0 * limit.confidence, limit.n,
                            limit.vehicles, seed, found.sha256, rlu)))
    try:
        with out.open("x", encoding="utf-8") as stream:
            stream.write(limits_text_of(rows))
    except FileExistsError:
        raise _taken(out) from None


def _taken(out: Path) -> TersumError:
    refused = OutOfRange("--out", str(out), N_("a file that does not exist: a frozen limit is not written over"))
    refused.exit_code = 6
    return refused


def _share(option: str, text: str) -> float:
    found = number(option, text)
    if not 50.0 <= found < 100.0:
        raise click.UsageError(OutOfRange(option, text, N_("50 or more and below 100")).sentence(_))
    return found / 100.0


def number(option: str, text: str) -> float:
    """Return an option's number, above 0."""
    try:
        found = float(parse_decimal(text, field=option))
        if found <= 0.0:
            raise OutOfRange(option, text, N_("more than 0"))
    except TersumError as refused:
        raise click.UsageError(refused.sentence(_)) from None
    return found


limits.add_command(review)
