"""``tersum trial``: plan a trial of treatments, draw who gets what, and print the sheet that goes to the panels."""

from __future__ import annotations

import csv
import io
import math
import secrets
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from tersum.cli.output import emit_json, line, remark, table
from tersum.cli.picture import beside, result_options
from tersum.documents.text import _
from tersum.errors import N_, OutOfRange, TersumError
from tersum.units import parse_decimal

FACTORS = (1.25, 1.5, 2.0, 3.0)
SHEET = ("vehicle", "panel", "part", "turn", "arm", "swab", "before", "after", "note")


@click.group(help=_("Plan a trial of treatments before it is run."))
def trial() -> None:
    pass


@trial.command(
    help=_("Draw which part of which panel gets which treatment, and write the plan and the panel sheet."),
    epilog=_('Example: tersum trial plan --arm "cloth A" --arm "cloth B" --control "cloth B" --vehicles 3 --panels 4 '
             "--out trial. Name the panels (--panel \"van 1/seat 2\") or count them. The plan is settled before any "
             "panel is read: a panel chosen for its reading comes down by itself."))
@click.option("--arm", "arms", multiple=True, required=True, metavar="NAME", help=_("A treatment; give two or more."))
@click.option("--control", required=True, metavar="ARM", help=_("The treatment the others are compared with."))
@click.option("--panel", "named", multiple=True, metavar="VEHICLE/PANEL", help=_("One panel; may be given again."))
@click.option("--vehicles", type=click.IntRange(1, 200), metavar="N", help=_("So many vehicles, numbered."))
@click.option("--panels", type=click.IntRange(1, 200), metavar="N", help=_("So many panels in each, numbered."))
@click.option("--margin", metavar="FACTOR", help=_("The largest factor that does not matter."))
@click.option("--factor", metavar="FACTOR", default="2", show_default=True, help=_("The factor worth finding."))
@click.option("--pair-spread", metavar="LOG10",
              help=_("Spread of paired log10 differences; left out: 1.41 times the book value of one swab."))
@click.option("--power", metavar="SHARE", default="0.8", show_default=True, help=_("Chance wanted of finding it."))
@click.option("--untreated", metavar="ARM", help=_("The arm that is left untreated."))
@click.option("--water-only", metavar="ARM", help=_("The arm that is wiped with water only."))
@click.option("--all-pairs", is_flag=True, help=_("Compare each treatment with each, not with the control alone."))
@click.option("--seed-hex", metavar="HEX", help=_("The seed of the draw; left out: one is made and written down."))
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), metavar="DIR",
              help=_("Write trial.toml, trial.csv and panel-sheet.md there."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def plan(as_json: bool, **given: Any) -> None:
    from tersum.documents.trial_sheet import sheet_text, size_lines
    from tersum.evidence.assignment import pairs_needed
    from tersum.records.trial_plan import plan_text

    made = _plan(given)
    spread = _spread(given["pair_spread"])
    power = _number("--power", given["power"])
    parts = made.parts()
    found = pairs_needed(sorted({*FACTORS, made.factor}), spread_log10=spread, power=power)
    lines = size_lines(found, made.factor, len(made.panels))
    if given["out"] is not None:
        _write(given["out"], {"trial.toml": plan_text(made), "trial.csv": _csv(parts),
                              "panel-sheet.md": sheet_text(parts, made.seed.hex(), made.fingerprint)})
        remark(_("Written to {folder}: trial.toml, trial.csv, panel-sheet.md. Take the sheet to the panels, write the "
                 "readings into trial.csv; then: tersum compare {folder}/trial.csv --plan {folder}/trial.toml").format(
            folder=given["out"]))
    if as_json:
        emit_json("tersum/trial-plan/1", {
            "control": made.control, "arms": list(made.arms), "seed_hex": made.seed.hex(),
            "plan_sha256": made.fingerprint, "pair_spread_log10": spread, "power": power,
            "pairs_needed": [{"factor": factor, "pairs": pairs}
                             for factor, pairs in zip(found.factors, found.pairs, strict=True)],
            "parts": [[one.vehicle, one.panel, one.part, one.turn, one.arm] for one in parts], "sentences": lines})
        return
    table((_("vehicle"), _("panel"), _("part"), _("turn"), _("treatment")),
          [(one.vehicle, one.panel, one.part, one.turn, one.arm) for one in parts], right=(3,))
    for text in lines:
        line(text)


@trial.command(
    help=_("Say how many panels find which factor, and draw the chance of finding it."),
    epilog=_("Example: tersum trial power --factor 1.5 --factor 2 --pair-spread 0.35 --picture power.svg"))
@click.option("--factor", "factors", multiple=True, metavar="FACTOR",
              help=_("A factor worth finding; may be given again; left out: 1.25, 1.5, 2 and 3."))
@click.option("--pair-spread", metavar="LOG10",
              help=_("Spread of paired log10 differences; left out: 1.41 times the book value of one swab."))
@click.option("--power", metavar="SHARE", default="0.8", show_default=True, help=_("Chance wanted of finding it."))
@result_options
def power(factors: tuple[str, ...], pair_spread: str | None, power: str, **given: Any) -> None:
    from tersum.documents.charts.power_curve import power_curve
    from tersum.documents.trial_sheet import needed_lines
    from tersum.evidence.assignment import pairs_needed, power_curves

    wanted = sorted({_number("--factor", one) for one in factors} or FACTORS)
    terms = {"spread_log10": _spread(pair_spread), "power": _number("--power", power)}
    needed, curves = pairs_needed(wanted, **terms), power_curves(wanted, **terms)
    beside(given, lambda look: power_curve(curves, **look))
    if given["as_json"]:
        emit_json("tersum/trial-power/1", {
            "pair_spread_log10": needed.spread_log10, "power": needed.power,
            "pairs_needed": [{"factor": factor, "pairs": pairs}
                             for factor, pairs in zip(needed.factors, needed.pairs, strict=True)],
            "pairs": curves.pairs, "chances": [list(one) for one in curves.chances]})
    elif given["as_csv"]:
        rows = csv.writer(sys.stdout, lineterminator="\n")
        rows.writerow(("pairs", *(f"factor_{factor:g}" for factor in curves.factors)))
        rows.writerows((n, *(f"{one:.4f}" for one in chances))
                       for n, *chances in zip(curves.pairs, *curves.chances, strict=True))
    else:
        for text in needed_lines(needed):
            line(text)


def _plan(given: dict[str, Any]) -> Any:
    from tersum.evidence.assignment import Panel
    from tersum.records.trial_plan import TrialPlan

    arms = tuple(given["arms"])
    for option in ("control", "untreated", "water_only"):
        if given[option] is not None and given[option] not in arms:
            raise click.UsageError(_("--{option} names no --arm: got {value}.").format(
                option=option.replace("_", "-"), value=given[option]))
    margin = None if given["margin"] is None else _number("--margin", given["margin"])
    if margin is not None and margin <= 1.0:
        raise OutOfRange("--margin", margin, N_("a factor above 1, such as 1.25"))
    made = TrialPlan(given["control"], arms, tuple(Panel(*one) for one in _panels(given)), _seed(given["seed_hex"]),
                     datetime.now(UTC).date().isoformat(), margin=margin, factor=_number("--factor", given["factor"]),
                     untreated=given["untreated"], water_only=given["water_only"], all_pairs=given["all_pairs"])
    made.parts()  # refuses what does not fit together before anything is written
    return made


def _panels(given: dict[str, Any]) -> list[tuple[str, str]]:
    counted = given["vehicles"] is not None or given["panels"] is not None
    if bool(given["named"]) == counted:
        raise click.UsageError(_("Name the panels with --panel, or count them with --vehicles and --panels."))
    if counted:
        return [(_("vehicle {number}").format(number=v), _("panel {number}").format(number=p))
                for v in range(1, (given["vehicles"] or 1) + 1) for p in range(1, (given["panels"] or 1) + 1)]
    found = []
    for text in given["named"]:
        vehicle, mark, panel = (part.strip() for part in text.partition("/"))
        if not (vehicle and mark and panel):
            raise click.UsageError(_("--panel takes a vehicle and a panel, such as van 1/seat 2; got {text}.").format(
                text=text))
        found.append((vehicle, panel))
    return found


def _seed(text: str | None) -> bytes:
    if text is None:
        return secrets.token_bytes(16)
    try:
        return bytes.fromhex(text)
    except ValueError:
        refused = OutOfRange("--seed-hex", text, N_("32 hexadecimal digits or more"))
        raise click.UsageError(refused.sentence(_)) from None


def _spread(text: str | None) -> float:
    from tersum.catalogue.load import book_repeatability

    return math.sqrt(2.0) * book_repeatability().number if text is None else _number("--pair-spread", text)


def _number(option: str, text: str) -> float:
    try:
        return float(parse_decimal(text, field=option))
    except TersumError as refused:
        raise click.UsageError(refused.sentence(_)) from None


def _csv(parts: Any) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(SHEET)
    for one in parts:
        writer.writerow((one.vehicle, one.panel, one.part, one.turn, one.arm, 1, "", "", ""))
    return text.getvalue()


def _write(folder: Path, files: dict[str, str]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for name in files:
        if (folder / name).exists():
            refused = OutOfRange("--out", str(folder / name), N_("a folder without it: a plan is not written over"))
            refused.exit_code = 6
            raise refused
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
